"""What the header of an imported curve declares, against what case.toml says of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.errors import CaseError
from umbo.interchange._read_target import is_target_json
from umbo.interchange._wording import plain, shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from umbo.interchange._ear_tables import TargetTable
    from umbo.interchange._model import CurveTableEntry

__all__ = ["check_curve_header", "check_target_header"]

#: Ways to write the reference of a sound pressure level, without spaces, in lower case.
_SPL_REFERENCES = ("20upa", "20e-6pa", "2e-5pa", "0.00002pa", "20micropascal", "dbspl", "spl")
_SPL_UNITS = ("db", "dbspl")


def check_curve_header(entry: CurveTableEntry, header: Mapping[str, str], asked: str) -> None:
    """Refuse a curve whose header contradicts case.toml.

    Parameters
    ----------
    entry : CurveTableEntry
        What case.toml says.
    header : mapping
        What the file's header says; keys that case.toml does not know are comments.
    asked : str
        First part of an error's sentence.

    Raises
    ------
    CaseError
        Naming the key and both values.
    """
    said = {
        "plane": f"coupler:{entry.coupler}" if entry.place == "coupler" else entry.place,
        "place": entry.place,
        "coupler": str(entry.coupler or "none"),
        "ear": str(entry.ear),
        "coupling": str(entry.coupling),
        "source": str(entry.source),
        "stimulus": entry.stimulus,
    }
    if entry.date is not None:
        said["date"] = entry.date.isoformat()
    _compare(said, header, f"curve['{plain(entry.name)}']", f"the header of '{plain(entry.file)}'", asked)
    _check_spl(header, entry.file, asked)


def check_target_header(entry: TargetTable, header: Mapping[str, str], asked: str) -> None:
    """Refuse a target file that contradicts case.toml. Parameters and errors as for a curve."""
    file = str(entry.file)
    where = f"'{plain(file)}'" if is_target_json(file) else f"the header of '{plain(file)}'"
    path = f"target['{plain(entry.name)}']"
    said = {
        "plane": "eardrum",
        "ear": str(entry.ear),
        "method": entry.method,
        "version": entry.version,
        "options": entry.options,
        "kind": entry.kind,
    }
    _compare(said, header, path, where, asked)
    _check_input(entry.level_db_spl, header, path, where, asked)
    _check_spl(header, file, asked)


def _check_input(level_db_spl: float | None, header: Mapping[str, str], path: str, where: str, asked: str) -> None:
    """Refuse a target of another input level: a number, so 65 and 65.0 are the same."""
    declared = header.get("level_db_spl")
    if declared is None:
        return
    try:
        same = level_db_spl is not None and float(declared) == level_db_spl
    except ValueError:
        same = False
    if not same:
        meant = "no input level" if level_db_spl is None else f"level_db_spl {shown(level_db_spl)}"
        raise CaseError(
            asked,
            f"{path} in case.toml means {meant}, but {where} says {shown(declared)}",
            "correct the one that is wrong",
        )


def _compare(said: Mapping[str, str], header: Mapping[str, str], path: str, where: str, asked: str) -> None:
    for key, value in said.items():
        declared = header.get(key)
        if declared is not None and declared.casefold() != value.casefold():
            raise CaseError(
                asked,
                f"{path} in case.toml means {key} {shown(value)}, but {where} says {shown(declared)}",
                "correct the one that is wrong",
            )


def _check_spl(header: Mapping[str, str], file: str, asked: str) -> None:
    for key, known in (("reference", _SPL_REFERENCES), ("unit", _SPL_UNITS)):
        declared = header.get(key)
        if declared is not None and _squeezed(declared) not in known:
            raise CaseError(
                asked,
                f"case.toml means levels in dB SPL (re 20 µPa), but the header of '{plain(file)}' says {key} "
                f"{shown(declared)}",
                "export the curve in dB SPL",
            )


def _squeezed(text: str) -> str:
    plain_text = text.casefold().replace("\N{GREEK SMALL LETTER MU}", "u").replace(" ", "")
    return plain_text.removeprefix("dbre").removeprefix("re")
