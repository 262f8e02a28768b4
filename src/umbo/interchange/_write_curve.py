"""Writing a curve file, with a commented header that states plane and reference."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.errors import InputError
from umbo.interchange._atomic import write_text
from umbo.interchange._curve_table import COLUMNS, CurveTable
from umbo.interchange._wording import shown

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["curve_csv", "write_curve_csv"]


def curve_csv(table: CurveTable) -> str:
    """Make the text of a curve file; numbers are written so that they read back exactly.

    Raises
    ------
    InputError
        If the header does not say the plane and the reference, or does not fit on header lines.
    """
    asked = "write a curve"
    for key in ("plane", "reference"):
        if not table.header.get(key, "").strip():
            raise InputError(asked, f"its header does not say the {key}", f"give header['{key}']")
    for key, value in table.header.items():
        whole = f"{key}: {value}"
        if not whole.isprintable() or ":" in key or key.strip(" #") != key or value.strip() != value or not key:
            raise InputError(asked, f"{shown(whole)} does not fit on one header line", "shorten it to plain text")
    columns = {name: getattr(table, name) for name in COLUMNS if getattr(table, name) is not None}
    if len({len(column) for column in columns.values()}) != 1:
        raise InputError(asked, "its columns differ in length", "give one value per frequency")
    lines = [f"# {key}: {value}" for key, value in table.header.items()]
    lines.append(",".join(columns))
    lines += [",".join(map(_cell, row)) for row in zip(*columns.values(), strict=True)]
    return "\n".join(lines) + "\n"


def _cell(value: float | str) -> str:
    return str(value) if isinstance(value, str) else repr(float(value))


def write_curve_csv(path: Path, table: CurveTable) -> None:
    """Write a curve file whole. Errors as :func:`curve_csv` and :func:`~umbo.interchange.write_bytes`."""
    write_text(path, curve_csv(table))
