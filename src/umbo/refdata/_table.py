"""A published table as an object: exact look-up only, every number with its status and source."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from umbo.errors import OutOfRangeError, TableError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from umbo.refdata._sidecar import ColumnInfo, Sidecar

__all__ = ["FloatArray", "Table", "format_number", "nearest_hint"]

FloatArray: TypeAlias = NDArray[np.float64]


def format_number(value: float) -> str:
    """Write a number without a trailing ``.0``.

    Parameters
    ----------
    value : float
        Any number. [any unit]

    Returns
    -------
    str
        For example "750" or "31.5".
    """
    return f"{value:.12g}"


def nearest_hint(name: str, known: Sequence[str]) -> str:
    """Write the names nearest to one that does not exist.

    Parameters
    ----------
    name : str
        Name that was asked for.
    known : sequence of str
        Names that exist.

    Returns
    -------
    str
        Up to three near names, or all of them when none is near.
    """
    near = difflib.get_close_matches(name, known, n=3, cutoff=0.4)
    return ", ".join(near or sorted(known))


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """One published table, from one source and edition.

    Parameters
    ----------
    sidecar : Sidecar
        Where the numbers come from, what the columns are.
    columns : mapping of str to array or tuple of str
        Number columns as read-only arrays, shape (rows,), in the unit of the column; text columns as tuples.
        A number column with empty cells is a masked array.
    cells : tuple of tuple of str
        The file's cells as printed, one tuple a row.
    reference : str
        The bibliography entries in words.
    elsewhere : mapping of str to str
        Columns of the other sources of the same quantity, and which source has each.
    """

    sidecar: Sidecar
    columns: Mapping[str, FloatArray | tuple[str, ...]]
    cells: tuple[tuple[str, ...], ...]
    reference: str
    elsewhere: Mapping[str, str]

    @property
    def quantity(self) -> str:
        """Name of the quantity, for example "retspl_insert"."""
        return self.sidecar.quantity

    @property
    def source(self) -> str:
        """Name of the source, for example "iso-389-2-1994"."""
        return self.sidecar.source

    @property
    def name(self) -> str:
        """Quantity and source in one, for example "retspl_insert/iso-389-2-1994"."""
        return f"{self.quantity}/{self.source}"

    @property
    def edition(self) -> str:
        """Edition of the standard or paper."""
        return self.sidecar.edition

    def info(self, column: str) -> ColumnInfo:
        """Describe a column: meaning, unit, plane, transducer, coupling.

        Parameters
        ----------
        column : str
            Column name.

        Returns
        -------
        ColumnInfo
            The column's description.

        Raises
        ------
        TableError
            If the table has no such column; the sentence names where it is, or the nearest names.
        """
        for info in self.sidecar.columns:
            if info.name == column:
                return info
        known = [info.name for info in self.sidecar.columns]
        do = f"use one of the columns {nearest_hint(column, known)}"
        if column in self.elsewhere:
            do = f'ask for it with table("{self.quantity}", source="{self.elsewhere[column]}")'
        raise TableError(f"read the column '{column}'", f"{self.name} has no such column", do)

    def column(self, column: str) -> FloatArray:
        """Return a number column, read-only; a masked array where cells are empty.

        Parameters
        ----------
        column : str
            Column name.

        Returns
        -------
        array (rows,)
            Values. [the column's unit]

        Raises
        ------
        TableError
            If there is no such column, or it holds words.
        """
        self.info(column)
        values = self.columns[column]
        if isinstance(values, tuple):
            raise TableError(
                f"read the column '{column}' as numbers",
                f"{self.name} holds words there",
                f'use text("{column}")',
            )
        return values

    def text(self, column: str) -> tuple[str, ...]:
        """Return a text column.

        Parameters
        ----------
        column : str
            Column name.

        Returns
        -------
        tuple of str
            One word or sentence a row.

        Raises
        ------
        TableError
            If there is no such column, or it holds numbers.
        """
        self.info(column)
        values = self.columns[column]
        if not isinstance(values, tuple):
            raise TableError(
                f"read the column '{column}' as words",
                f"{self.name} holds numbers there",
                f'use column("{column}")',
            )
        return values

    def present(self, column: str) -> NDArray[np.bool_]:
        """Which rows hold a number in this column.

        Parameters
        ----------
        column : str
            Name of a number column.

        Returns
        -------
        bool array (rows,)
            False where the cell is empty.
        """
        return ~np.ma.getmaskarray(self.column(column))

    def series(self, column: str) -> tuple[FloatArray, FloatArray]:
        """Index and values of the rows where this column is tabulated.

        Parameters
        ----------
        column : str
            Name of a number column.

        Returns
        -------
        index : array (n,)
            Values of the index column, usually frequency. [the index column's unit]
        values : array (n,)
            Values of the column, none missing. [the column's unit]

        Raises
        ------
        TableError
            If the rows of this table are not looked up by a number.
        """
        present = self.present(column)
        index = np.asarray(self.column(self._index()))[present]
        values = np.asarray(self.column(column))[present]
        return index, values

    def statuses(self, column: str) -> tuple[str, ...]:
        """How each value of a column was obtained.

        Parameters
        ----------
        column : str
            Name of a number column.

        Returns
        -------
        tuple of str
            One status a row, in the words of ``status_words()``.
        """
        info = self.info(column)
        if info.status_column:
            return self.text(info.status_column)
        return (info.status,) * self.sidecar.rows

    def status_at(self, key: float | str, column: str) -> str:
        """How the value of one row was obtained.

        Parameters
        ----------
        key : float or str
            Frequency [Hz] or other index value, as in ``at``.
        column : str
            Name of a number column.

        Returns
        -------
        str
            The status.
        """
        return self.statuses(column)[self._row(key, column)]

    def at(self, key: float | str, column: str) -> float:
        """Look a value up at exactly a tabulated frequency, or by another row key.

        Parameters
        ----------
        key : float or str
            Frequency, or the value of the table's index column. [Hz, or the index column's unit]
        column : str
            Name of a number column.

        Returns
        -------
        float
            The tabulated value. [the column's unit]

        Raises
        ------
        OutOfRangeError
            If there is no such row, or its cell is empty; the sentence says what is tabulated.
        TableError
            If there is no such column, or the table has no index.
        """
        values = self.column(column)
        row = self._row(key, column)
        if not self.present(column)[row]:
            raise self._untabulated(key, column)
        return float(values[row])

    def text_at(self, key: float | str, column: str) -> str:
        """Look a word up by the row key.

        Parameters
        ----------
        key : float or str
            Value of the table's index column, for example a frequency [Hz] or the name of an item.
        column : str
            Name of a text column.

        Returns
        -------
        str
            The cell.
        """
        return self.text(column)[self._row(key, column)]

    def citation(self) -> str:
        """Say where the numbers come from and how they were obtained.

        Returns
        -------
        str
            Title, edition, reference, place in it, how obtained.
        """
        side = self.sidecar
        reference = self.reference or "no source"
        return f"{side.title} ({side.edition}). {reference} Place: {side.where}. Obtained: {side.obtained}"

    def brief(self, column: str) -> str:
        """Name the table and how a column was obtained, in a few words, for a line of a sum.

        Parameters
        ----------
        column : str
            Name of a number column.

        Returns
        -------
        str
            For example "table retspl_insert/ansi-s3.6-undated (from memory)".
        """
        return f"table {self.name} ({', '.join(dict.fromkeys(self.statuses(column)))})"

    def _index(self) -> str:
        if not self.sidecar.index:
            raise TableError(
                f"look a row of {self.name} up", "its rows have no single key", "filter its columns yourself"
            )
        return self.sidecar.index

    def _row(self, key: float | str, column: str) -> int:
        keys = self.columns[self._index()]
        if isinstance(keys, tuple):
            if key in keys:
                return keys.index(str(key))
        elif not isinstance(key, str):
            hits = np.flatnonzero(keys == key)
            if hits.size:
                return int(hits[0])
        raise self._untabulated(key, column)

    def _untabulated(self, key: float | str, column: str) -> OutOfRangeError:
        index = self._index()
        unit = self.info(index).unit
        keys = self.columns[index]
        shown = f"{key if isinstance(key, str) else format_number(key)} {unit}".strip()
        asked = f"read {column} of {self.name} at {shown}"
        if isinstance(keys, tuple):
            return OutOfRangeError(asked, f"'{key}' is not tabulated", f"use one of {nearest_hint(str(key), keys)}")
        known = self.series(column)[0] if self.info(column).kind == "number" else keys
        listed = ", ".join(format_number(value) for value in known)
        span = f"{format_number(known.min())} to {format_number(known.max())} {unit}" if known.size else "nowhere"
        return OutOfRangeError(
            asked,
            f"it is tabulated over {span} at {listed}, not at {shown}",
            "use a tabulated value, or interpolate() and say so",
        )
