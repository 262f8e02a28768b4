"""Reading a data sheet in a file of its own: TOML with the keys of a case, or CSV with one value a row."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from umbo.errors import CaseError
from umbo.interchange._aid_tables import DataSheetTable
from umbo.interchange._problems import case_error
from umbo.interchange._text_file import read_text_file
from umbo.interchange._toml import read_toml
from umbo.interchange._wording import plain, shown

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["read_data_sheet"]

_HEADS = ["item", "frequency_hz", "value"]
_WORDS = ("standard", "coupler")

#: Items of a CSV file that belong to a frequency, and the table they stand in.
_BY_FREQUENCY = {"thd_percent": "distortion", "gain_db": "response"}
_ROWS = "special_average_hz"


def read_data_sheet(path: Path) -> DataSheetTable:
    """Read nominal values.

    Parameters
    ----------
    path : Path
        A TOML file with the keys of ``[data_sheet]`` at its top, or a CSV file ``item,frequency_hz,value`` with one
        value a row: an item is a key of ``[data_sheet]``, or ``thd_percent`` or ``gain_db`` with its frequency.

    Raises
    ------
    CaseError
        If the file is no data sheet, naming the key or the line.
    """
    asked = f"read the data sheet '{plain(path.name)}'"
    ending = path.suffix.lower()
    if ending == ".toml":
        data = read_toml(path, asked)
    elif ending == ".csv":
        data = _of_csv(path, asked)
    else:
        raise CaseError(asked, f"its ending '{plain(ending)}' is neither .toml nor .csv", "save it as one of these")
    if "file" in data:
        raise CaseError(asked, "it names another file itself", "write the values into it")
    try:
        return DataSheetTable.model_validate(data)
    except ValidationError as error:
        schema = DataSheetTable.model_json_schema()
        raise case_error(error, data, asked, schema=schema, file=f"'{plain(path.name)}'") from None


def _of_csv(path: Path, asked: str) -> dict[str, Any]:
    lines = [
        line
        for line in read_text_file(path, asked, "data sheet").splitlines()
        if line.strip() and not line.lstrip().startswith("#")
    ]
    rows = list(csv.reader(io.StringIO("\n".join(lines))))
    if not rows or [head.strip() for head in rows[0]] != _HEADS:
        raise CaseError(asked, f"its first line is not {','.join(_HEADS)}", "write that line first")
    data: dict[str, Any] = {}
    for row in rows[1:]:
        _add(data, [cell.strip() for cell in row], asked)
    return data


def _add(data: dict[str, Any], row: list[str], asked: str) -> None:
    """Put one row into the tables it belongs to."""
    shown_row = f"the row '{plain(','.join(row))}'"
    if len(row) != len(_HEADS):
        raise CaseError(asked, f"{shown_row} has {len(row)} cells", f"give {','.join(_HEADS)}")
    item, frequency, value = row
    if (item in _BY_FREQUENCY) != bool(frequency):
        raise CaseError(
            asked,
            f"{shown_row} {'lacks its frequency' if not frequency else 'has a frequency that does not belong to it'}",
            "give frequency_hz with thd_percent and gain_db, and only there",
        )
    number = value if item in _WORDS else _number(value, shown_row, asked)
    if item in _BY_FREQUENCY:
        table = data.setdefault(_BY_FREQUENCY[item], {"frequency_hz": [], item: []})
        table["frequency_hz"].append(_number(frequency, shown_row, asked))
        table[item].append(number)
    elif item == _ROWS:
        data.setdefault(item, []).append(number)
    elif item in data:
        raise CaseError(asked, f"{shown(item)} is given twice", "keep the right one")
    else:
        data[item] = number


def _number(text: str, shown_row: str, asked: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise CaseError(asked, f"{shown_row} holds {shown(text)} in place of a number", "correct it") from None
