"""Reading a curve file: lines ``# key: value``, then frequency_hz,level_db[,u_db][,noise_db][,state]."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from umbo.core import PointState
from umbo.errors import CaseError
from umbo.interchange._curve_table import COLUMNS, CurveTable
from umbo.interchange._keys import nearest_key
from umbo.interchange._toml import bad_byte
from umbo.interchange._wording import counted, listed, plain, shown

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["read_curve_csv"]

#: Largest file and most points a curve may have (engineering judgement). [byte], [1]
LARGEST_BYTES = 10_000_000
MOST_POINTS = 100_000

#: Limits of what a curve may hold (engineering judgement): lowest and highest value of each column.
_LIMITS = {
    "frequency_hz": (0.0, 1e5),
    "level_db": (-200.0, 220.0),
    "u_db": (0.0, 60.0),
    "noise_db": (-300.0, 220.0),
}


def read_curve_csv(path: Path) -> CurveTable:
    """Read a curve.

    Parameters
    ----------
    path : Path
        A CSV file with commas and decimal points.

    Returns
    -------
    CurveTable
        Its columns and its header; header lines without a colon are comments.

    Raises
    ------
    CaseError
        If the file is not such a table, naming the line and the column.
    """
    asked = f"read the curve '{plain(path.name)}'"
    head, body = _parted(_text(path, asked), asked)
    if not body:
        raise CaseError(asked, "it holds no values", "write frequency_hz,level_db and a line for each point")
    names = _column_names(body[0][1], asked)
    columns: dict[str, list[float]] = {name: [] for name in names if name != "state"}
    states: list[PointState] = []
    for number, line in body[1:]:
        _read_row(_cells(line), number, names, columns, states, asked)
    _check_order(columns["frequency_hz"], asked)
    values = {name: tuple(column) for name, column in columns.items()}
    return CurveTable(
        frequency_hz=values["frequency_hz"],
        level_db=values["level_db"],
        u_db=values.get("u_db"),
        noise_db=values.get("noise_db"),
        state=tuple(states) if "state" in names else None,
        header=head,
    )


def _text(path: Path, asked: str) -> str:
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise CaseError(asked, f"it cannot be read ({error.strerror})", "check its name and permissions") from None
    if len(raw) > LARGEST_BYTES:
        raise CaseError(asked, f"it is larger than {LARGEST_BYTES} bytes", "export the curve on a coarser grid")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CaseError(asked, f"it is not UTF-8 text: {bad_byte(error)}", "save it as UTF-8") from None


def _parted(text: str, asked: str) -> tuple[dict[str, str], list[tuple[int, str]]]:
    """Header, and the other lines that are not empty with their numbers."""
    head: dict[str, str] = {}
    body: list[tuple[int, str]] = []
    for number, line in enumerate(text.split("\n"), start=1):
        bare = line.strip()
        if not bare.startswith("#"):
            body += [(number, bare)] if bare else []
            continue
        key, colon, value = (part.strip() for part in bare.lstrip("#").partition(":"))
        if not colon:
            continue
        if head.setdefault(key, value) != value:
            raise CaseError(
                asked,
                f"its header gives {shown(key)} twice, as {shown(head[key])} and {shown(value)}",
                "keep the right one",
            )
    return head, body


def _cells(line: str) -> list[str]:
    return [cell.strip().strip('"') for cell in line.split(",")]


def _column_names(line: str, asked: str) -> list[str]:
    names = _cells(line)
    separator = next((s for s in (";", "\t") if s in line), None)
    if len(names) == 1 and separator:
        raise CaseError(asked, "its columns are not separated by commas", "export it with commas and decimal points")
    for name in names:
        if name not in COLUMNS:
            near = nearest_key(name, list(COLUMNS))
            raise CaseError(
                asked,
                f"its column {shown(name)} is not known (did you mean '{near}'?)",
                f"name the columns of {', '.join(COLUMNS)} that it has",
            )
    missing = [name for name in COLUMNS[:2] if name not in names]
    if missing or len(set(names)) != len(names):
        what = f"the column {missing[0]} is missing" if missing else "a column is named twice"
        raise CaseError(asked, f"{what} (it has: {listed(names)})", "begin with frequency_hz,level_db")
    return names


def _read_row(
    cells: list[str],
    number: int,
    names: list[str],
    columns: dict[str, list[float]],
    states: list[PointState],
    asked: str,
) -> None:
    if len(cells) != len(names):
        raise CaseError(
            asked,
            f"line {number} has {counted(len(cells), 'value')} for {counted(len(names), 'column')}",
            "write one value per column, with a decimal point",
        )
    if len(columns["frequency_hz"]) >= MOST_POINTS:
        raise CaseError(asked, f"it has more than {MOST_POINTS} points", "export the curve on a coarser grid")
    for name, cell in zip(names, cells, strict=True):
        if name == "state":
            states.append(_state(cell, number, asked))
        else:
            columns[name].append(_number(cell, name, number, asked))


def _number(cell: str, name: str, number: int, asked: str) -> float:
    low, high = _LIMITS[name]
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if not low <= value <= high or (name == "frequency_hz" and value == 0):
        raise CaseError(
            asked,
            f"{name} in line {number} is {shown(cell)}, which is no number from {low:g} to {high:g}",
            "correct the value, or leave the line out",
        )
    return value


def _state(cell: str, number: int, asked: str) -> PointState:
    try:
        return PointState(cell)
    except ValueError:
        raise CaseError(
            asked,
            f"state in line {number} is {shown(cell)}, which is none of {', '.join(PointState)}",
            "correct the word",
        ) from None


def _check_order(frequency_hz: list[float], asked: str) -> None:
    if len(frequency_hz) < 2:
        raise CaseError(
            asked,
            f"it has {counted(len(frequency_hz), 'point')}, which is no curve",
            "export the whole curve",
        )
    for earlier, later in pairwise(frequency_hz):
        if later <= earlier:
            raise CaseError(
                asked,
                f"its frequencies are not ascending: {later:g} Hz follows {earlier:g} Hz",
                "sort the lines by frequency, with each frequency once",
            )
