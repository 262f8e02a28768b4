"""The sidecar of a table: what its columns are, where they come from, and how to check the file."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from umbo.errors import TableError

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["ColumnInfo", "Sidecar", "parse_sidecar"]

SCHEMA = 1


@dataclass(frozen=True, slots=True)
class ColumnInfo:
    """One column of a reference table.

    Parameters
    ----------
    name : str
        Column name; a number column's name ends in its unit where the unit is the same in every row.
    meaning : str
        What the column holds.
    kind : {"number", "text"}
        Whether the cells are numbers or words.
    unit : str
        Unit of the numbers; empty for text.
    plane, to_plane : str
        Where the level is measured; for a transfer, from where and to where. Empty where it does not apply.
    transducer, coupling, bandwidth, statistic : str
        What the value belongs to. Empty where it does not apply.
    status : str
        How the values were obtained, when it is the same in every row.
    status_column : str
        Name of the column that says it row by row, otherwise.
    sum : float
        Sum of the numbers present, a checksum a reader can follow. [the column's unit]
    missing : int
        Number of empty cells. [1]
    """

    name: str
    meaning: str
    kind: str = "number"
    unit: str = ""
    plane: str = ""
    to_plane: str = ""
    transducer: str = ""
    coupling: str = ""
    bandwidth: str = ""
    statistic: str = ""
    status: str = ""
    status_column: str = ""
    sum: float = 0.0
    missing: int = 0


@dataclass(frozen=True, slots=True)
class Sidecar:
    """Everything that is known about a table besides its numbers.

    Parameters
    ----------
    quantity, source : str
        The two names the table is asked for by.
    title, edition : str
        What it is, and which edition of the standard or paper.
    bibliography : tuple of str
        Keys of the bibliography; empty for a table without a source.
    where : str
        Table, figure and page, or why that is not known.
    obtained : str
        How the numbers were obtained, in words.
    read_by, checked_by : str
        The two roles that read and checked the numbers.
    rights : str
        Licence or rights note.
    sha256 : str
        SHA-256 of the CSV file with line feeds as line ends, in hexadecimal.
    rows : int
        Number of rows. [1]
    columns : tuple of ColumnInfo
        The columns in file order.
    index : str
        Column rows are looked up by; empty when a row has no single key.
    subjects : str
        Who was measured, where that is known.
    derived_from : tuple of str
        "quantity/source" of the tables a computed table was worked out from.
    notes, disagreements, not_found : tuple of str
        Remarks, known misprints and conflicting readings, and what was looked for in vain.
    """

    quantity: str
    source: str
    title: str
    edition: str
    bibliography: tuple[str, ...]
    where: str
    obtained: str
    read_by: str
    checked_by: str
    rights: str
    sha256: str
    rows: int
    columns: tuple[ColumnInfo, ...]
    index: str = ""
    subjects: str = ""
    derived_from: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    disagreements: tuple[str, ...] = ()
    not_found: tuple[str, ...] = ()


def _refuse_unknown(raw: Mapping[str, Any], known: set[str], asked: str) -> None:
    for key in raw:
        if key not in known:
            raise TableError(asked, f"the key '{key}' is none of {', '.join(sorted(known))}", "correct the sidecar")


def _column(name: str, raw: Mapping[str, Any], asked: str) -> ColumnInfo:
    _refuse_unknown(raw, {field.name for field in fields(ColumnInfo)} - {"name"}, asked)
    if raw.get("kind", "number") not in ("number", "text"):
        raise TableError(asked, f"column '{name}' is of kind '{raw['kind']}', not number or text", "correct it")
    return ColumnInfo(name=name, **raw)


def parse_sidecar(raw: Mapping[str, Any], asked: str) -> Sidecar:
    """Turn the parsed TOML of a sidecar into an object, refusing unknown and missing keys.

    Parameters
    ----------
    raw : mapping
        Parsed TOML.
    asked : str
        What the caller was doing, for the error sentence.

    Returns
    -------
    Sidecar
        The same content, typed.

    Raises
    ------
    TableError
        If a key is unknown or missing, or the schema number is not the one this version reads.
    """
    own = {"schema", "file", "columns"}
    names = {field.name for field in fields(Sidecar)} - {"sha256", "rows", "columns"}
    _refuse_unknown(raw, names | own, asked)
    required = names - {"index", "subjects", "derived_from", "notes", "disagreements", "not_found"}
    for key in sorted(required | own):
        if key not in raw:
            raise TableError(asked, f"the sidecar has no '{key}'", "add it to the sidecar")
    if raw["schema"] != SCHEMA:
        raise TableError(asked, f"its schema is {raw['schema']}, this version reads {SCHEMA}", "update umbo")
    _refuse_unknown(raw["file"], {"sha256", "rows"}, asked)
    values: dict[str, Any] = {
        name: tuple(raw[name]) if isinstance(raw[name], list) else raw[name] for name in names & raw.keys()
    }
    columns = tuple(_column(name, column, asked) for name, column in raw["columns"].items())
    return Sidecar(**values, sha256=raw["file"]["sha256"], rows=raw["file"]["rows"], columns=columns)
