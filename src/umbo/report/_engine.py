"""The typesetter: templates of this package, fonts carried along, no network, no clock, accessible pages."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import typst

from umbo.chart import FONT_FOLDER

__all__ = ["compile_template", "query_template"]

_TEMPLATES = Path(__file__).parent

#: Read aloud (PDF/UA-1, ISO 14289-1) and kept for long (PDF/A-2a, ISO 19005-2).
_STANDARDS: list[typst.PDFStandard] = ["ua-1", "a-2a"]


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(FONT_FOLDER)])


def compile_template(template: str, data: dict[str, Any], *, timestamp_s: int = 0) -> bytes:
    """Make a PDF of a template; the template reads the data as JSON, so that no text is taken for markup.

    Parameters
    ----------
    template : str
        File name in this package.
    data : dict
        Plain data.
    timestamp_s : int
        Date of the document, since 1970; never the clock's. [s]

    Returns
    -------
    bytes
        The PDF file, the same for the same data.

    Raises
    ------
    TypstError
        If a text holds a character without a glyph.
    """
    compiler = _compiler(template, data)
    pdf = compiler.compile(format="pdf", pdf_standards=_STANDARDS, timestamp=timestamp_s)
    if not isinstance(pdf, bytes):
        raise TypeError(pdf)
    return pdf


def query_template(template: str, data: list[dict[str, Any]], label: str) -> Any:  # noqa: ANN401  (the template's word)
    """Ask a template for the value it has put under a label.

    Parameters
    ----------
    template : str
        File name in this package.
    data : list of dict
        Plain data.
    label : str
        Label of one metadata element.
    """
    found = _compiler(template, data).query(f"<{label}>", field="value", one=True)
    return json.loads(found)


def _compiler(template: str, data: object) -> typst.Compiler:
    return typst.Compiler(
        str(_TEMPLATES / template),
        root=str(_TEMPLATES),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
    )
