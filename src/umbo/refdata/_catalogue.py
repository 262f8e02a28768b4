"""Finding and reading the tables: by quantity and source, never by a default source."""

from __future__ import annotations

import csv
import hashlib
import tomllib
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import numpy as np

from umbo.errors import TableError
from umbo.refdata._bibliography import reference
from umbo.refdata._sidecar import Sidecar, parse_sidecar
from umbo.refdata._table import FloatArray, Table, nearest_hint

if TYPE_CHECKING:
    from collections.abc import Mapping
    from importlib.resources.abc import Traversable

__all__ = ["available", "quantity_title", "table"]


def _root() -> Traversable:
    return files("umbo.refdata").joinpath("tables")


@cache
def _sources() -> Mapping[str, tuple[str, ...]]:
    found = {
        folder.name: tuple(sorted(entry.name[:-4] for entry in folder.iterdir() if entry.name.endswith(".csv")))
        for folder in _root().iterdir()
        if folder.is_dir()
    }
    return MappingProxyType({name: sources for name, sources in sorted(found.items()) if sources})


@cache
def _titles() -> Mapping[str, str]:
    titles: dict[str, str] = tomllib.loads(_root().joinpath("quantities.toml").read_text(encoding="utf-8"))
    return MappingProxyType(titles)


def available(quantity: str | None = None) -> tuple[str, ...]:
    """List the quantities that are tabulated, or the sources of one quantity.

    Parameters
    ----------
    quantity : str or None
        Quantity, for example "retspl_insert"; none for the list of quantities.

    Returns
    -------
    tuple of str
        Names in alphabetical order.

    Raises
    ------
    TableError
        If there is no such quantity.
    """
    sources = _sources()
    if quantity is None:
        return tuple(sources)
    if quantity not in sources:
        raise TableError(
            f"list the tables of '{quantity}'",
            "no such quantity is tabulated",
            f"use one of {nearest_hint(quantity, tuple(sources))}",
        )
    return sources[quantity]


def quantity_title(quantity: str) -> str:
    """Say in one line what a quantity is.

    Parameters
    ----------
    quantity : str
        Quantity, for example "retspl_insert".

    Returns
    -------
    str
        One line.

    Raises
    ------
    TableError
        If there is no such quantity.
    """
    available(quantity)
    return _titles()[quantity]


@cache
def sidecar(quantity: str, source: str) -> Sidecar:
    """Read the sidecar of a table that is known to exist.

    Parameters
    ----------
    quantity, source : str
        The table's two names.

    Returns
    -------
    Sidecar
        Its description.
    """
    text = _root().joinpath(quantity, f"{source}.toml").read_text(encoding="utf-8")
    raw: dict[str, Any] = tomllib.loads(text)
    return parse_sidecar(raw, f"read the sidecar of {quantity}/{source}")


def _numbers(cells: tuple[str, ...]) -> FloatArray:
    empty = np.array([cell == "" for cell in cells])
    # Under the mask stands NaN, so that a caller who strips the mask sees a fault, not a plausible number.
    values = np.array([float(cell) if cell else np.nan for cell in cells], dtype=np.float64)
    values.setflags(write=False)
    if not empty.any():
        return values
    empty.setflags(write=False)
    return np.ma.MaskedArray(values, mask=empty, hard_mask=True)


def _checked_rows(side: Sidecar, raw: bytes) -> tuple[tuple[str, ...], ...]:
    asked = f"read {side.quantity}/{side.source}"
    text = raw.replace(b"\r\n", b"\n")
    if hashlib.sha256(text).hexdigest() != side.sha256:
        raise TableError(asked, "the file is not the one its sidecar describes (SHA-256)", "reinstall umbo")
    rows = tuple(tuple(row) for row in csv.reader(text.decode("utf-8").splitlines()))
    if rows[0] != tuple(info.name for info in side.columns) or len(rows) - 1 != side.rows:
        raise TableError(asked, "the columns or the number of rows differ from the sidecar", "reinstall umbo")
    return rows[1:]


@cache
def _load(quantity: str, source: str) -> Table:
    side = sidecar(quantity, source)
    raw = _root().joinpath(quantity, f"{source}.csv").read_bytes()
    rows = _checked_rows(side, raw)
    columns: dict[str, FloatArray | tuple[str, ...]] = {}
    for info, cells in zip(side.columns, zip(*rows, strict=True), strict=True):
        columns[info.name] = _numbers(cells) if info.kind == "number" else cells
    elsewhere = {
        info.name: other
        for other in _sources()[quantity]
        if other != source
        for info in sidecar(quantity, other).columns
    }
    words = " ".join(reference(key).text for key in side.bibliography)
    return Table(side, MappingProxyType(columns), rows, words, MappingProxyType(elsewhere))


def table(quantity: str, *, source: str) -> Table:
    """Return one published table; the source is always named, there is no default.

    Parameters
    ----------
    quantity : str
        What is tabulated, for example "retspl_insert".
    source : str
        Which standard or paper, and edition, for example "iso-389-2-1994".

    Returns
    -------
    Table
        The table, read once and kept.

    Raises
    ------
    TableError
        If there is no such quantity or source (the sentence names the nearest), or the file is damaged.

    Examples
    --------
    >>> table("retspl_insert", source="iso-389-2-1994").at(1000, "er3a_oes_db_spl")
    5.5
    """
    sources = available(quantity)
    if source not in sources:
        raise TableError(
            f"read {quantity} from '{source}'",
            "that source is not among its tables",
            f"use one of {nearest_hint(source, sources)}",
        )
    return _load(quantity, source)
