"""Writing SVG elements: escaped text, two decimals, attributes in a fixed order."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET  # building and writing only; nothing is parsed here
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["clean", "node", "path_data", "pixels", "serialise"]

# Not allowed in XML 1.0, or able to reorder neighbouring text (bidirectional overrides and isolates).
_FORBIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
)


def clean(text: str) -> str:
    """Text that any XML reader accepts, on one line."""
    return " ".join(_FORBIDDEN.sub("\ufffd", text).split())


def pixels(value: float) -> str:
    """Coordinate as text, rounded to a hundredth of a pixel, without trailing zeros or minus zero. [px]"""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def node(
    parent: ET.Element | None, tag: str, text: str | None = None, /, **attributes: str | float | None
) -> ET.Element:
    """Add one element; ``stroke_width=2`` becomes ``stroke-width="2"``, None leaves the attribute out."""
    values = {
        key.rstrip("_").replace("_", "-"): clean(value) if isinstance(value, str) else pixels(value)
        for key, value in attributes.items()
        if value is not None
    }
    element = ET.Element(tag, values) if parent is None else ET.SubElement(parent, tag, values)
    element.text = None if text is None else clean(text)
    return element


def path_data(x_px: ArrayLike, y_px: ArrayLike, *, closed: bool = False) -> str:
    """One polyline (n,) as the text of a path. [px]"""
    xs, ys = np.atleast_1d(x_px).tolist(), np.atleast_1d(y_px).tolist()
    steps = [f"{pixels(x)},{pixels(y)}" for x, y in zip(xs, ys, strict=True)]
    return "M" + "L".join(steps) + ("Z" if closed else "")


def serialise(root: ET.Element) -> str:
    """Write the finished document, without an XML declaration so that it can stand inside a page."""
    return ET.tostring(root, encoding="unicode", short_empty_elements=True)
