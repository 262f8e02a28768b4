"""Reading a target file in JSON: what one prescription method wants of one ear, with its name, version and options."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Literal, NoReturn, Self

from pydantic import Field, ValidationError, model_validator

from umbo.errors import CaseError
from umbo.interchange._curve_table import CurveTable
from umbo.interchange._fields import Frequencies, Levels, Name, RefusedError, Table, Text, require_one_each
from umbo.interchange._problems import case_error
from umbo.interchange._text_file import read_text_file
from umbo.interchange._wording import plain, shown

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["is_target_json", "read_target_json"]


class TargetFile(Table):
    """One target or limit at the eardrum, as a file of its own."""

    method: Name = Field(description="Prescription method.")
    version: Name = Field(description="Its version.")
    options: Text = Field("", description="Options chosen in the method.")
    kind: Literal["speech", "insertion_gain", "maximum_output"] = Field(
        description="Speech targets, insertion gains for speech, or limits of maximum output."
    )
    level_db_spl: float | None = Field(
        None, ge=-20, le=140, description="Input level the targets are for; required with speech. [dB SPL]"
    )
    frequency_hz: Frequencies = Field(description="Frequencies, ascending. [Hz]")
    level_db: Levels = Field(description="Levels at the eardrum, one per frequency. [dB SPL]")

    @model_validator(mode="after")
    def _agree(self) -> Self:
        require_one_each(self.frequency_hz, self.level_db, "level_db")
        if self.kind != "maximum_output" and self.level_db_spl is None:
            raise RefusedError(
                "is missing, and a speech target belongs to an input level",
                "give the speech level in dB SPL, for example 65",
                ("level_db_spl",),
            )
        return self


def is_target_json(name: str) -> bool:
    """Whether a target file is read as JSON, by the end of its name."""
    return name.lower().endswith(".json")


def read_target_json(path: Path) -> CurveTable:
    """Read a target.

    Parameters
    ----------
    path : Path
        A JSON file: one object with method, version, options, kind, level_db_spl, frequency_hz and level_db.

    Returns
    -------
    CurveTable
        Its values; what else it says stands in the header.

    Raises
    ------
    CaseError
        If the file is not such an object, naming the key.
    """
    asked = f"read the target '{plain(path.name)}'"
    data = _object(read_text_file(path, asked, "target"), asked)
    try:
        target = TargetFile.model_validate(data)
    except ValidationError as error:
        schema = TargetFile.model_json_schema()
        raise case_error(error, data, asked, schema=schema, file=f"'{plain(path.name)}'") from None
    said = {"method": target.method, "version": target.version, "options": target.options, "kind": target.kind}
    if target.level_db_spl is not None:
        said["level_db_spl"] = f"{target.level_db_spl:.12g}"
    return CurveTable(frequency_hz=target.frequency_hz, level_db=target.level_db, header=said)


def _object(text: str, asked: str) -> dict[str, Any]:
    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key, value in pairs:
            if key in found:
                raise CaseError(asked, f"its key {shown(key)} is given twice", "keep the right one")
            found[key] = value
        return found

    def no_number(word: str) -> NoReturn:
        raise CaseError(asked, f"it holds {word}, which is no number of JSON", "correct the value, or leave it out")

    try:
        data = json.loads(text, object_pairs_hook=once, parse_constant=no_number)
    except RecursionError:
        raise CaseError(asked, "it nests its values too deeply", "write it flat") from None
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise CaseError(asked, f"it is not JSON: {error.msg.lower()} ({where})", "correct that line") from None
    except ValueError:
        raise CaseError(asked, "a number in it has too many digits", "correct the value") from None
    if not isinstance(data, dict):
        raise CaseError(asked, f"it is {shown(data)} and not an object", "write one object with the keys of a target")
    return data
