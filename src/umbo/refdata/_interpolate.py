"""Interpolation of a table, asked for by name and marked point by point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError, TableError
from umbo.refdata._table import FloatArray, Table, format_number

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

__all__ = ["Interpolated", "interpolate"]


@dataclass(frozen=True, slots=True, eq=False)
class Interpolated:
    """Values of a table at frequencies of the caller's choice.

    Parameters
    ----------
    frequency_hz : array (n,)
        The frequencies asked for. [Hz]
    values : masked array (n,)
        Values, masked wherever they would have to be extrapolated. [the column's unit]
    interpolated : bool array (n,)
        True where the value lies between two tabulated frequencies.
    outside : bool array (n,)
        True where the frequency lies outside the tabulated range: there is no value.
    table_name, column : str
        Where the numbers come from.
    range_hz : tuple of float
        Lowest and highest tabulated frequency. [Hz]
    """

    frequency_hz: FloatArray
    values: np.ma.MaskedArray[tuple[int, ...], np.dtype[np.float64]]
    interpolated: NDArray[np.bool_]
    outside: NDArray[np.bool_]
    table_name: str
    column: str
    range_hz: tuple[float, float]

    def require_inside(self) -> FloatArray:
        """Return the values as a plain array, or refuse when any frequency lies outside the table.

        Returns
        -------
        array (n,)
            Values. [the column's unit]

        Raises
        ------
        OutOfRangeError
            If a frequency lies outside the tabulated range.
        """
        if self.outside.any():
            low, high = (format_number(edge) for edge in self.range_hz)
            far = ", ".join(format_number(value) for value in self.frequency_hz[self.outside])
            raise OutOfRangeError(
                f"read {self.column} of {self.table_name} at {far} Hz",
                f"it is tabulated from {low} to {high} Hz",
                "leave these frequencies out: nothing is extrapolated",
            )
        return np.asarray(self.values, dtype=np.float64)


def interpolate(table: Table, column: str, frequency_hz: ArrayLike) -> Interpolated:
    r"""Interpolate a column linearly over the logarithm of frequency; never extrapolate.

    .. math:: v(f) = v_1 + (v_2 - v_1)\,\frac{\ln f - \ln f_1}{\ln f_2 - \ln f_1}, \quad f_1 \le f \le f_2

    Empty cells of the column are skipped, so its neighbours carry the point.

    Parameters
    ----------
    table : Table
        A table looked up by frequency.
    column : str
        Name of a number column.
    frequency_hz : array (n,)
        Frequencies, positive, in any order. [Hz]

    Returns
    -------
    Interpolated
        Values, which of them are interpolated, and which frequencies lie outside (masked).

    Raises
    ------
    TableError
        If the table is not looked up by frequency, or the column does not exist.
    OutOfRangeError
        If a frequency is not positive.

    Notes
    -----
    Interpolation is the caller's choice, not the source's. Linear over log frequency is common practice,
    no source.
    """
    if table.sidecar.index != "frequency_hz":
        raise TableError(
            f"interpolate {table.name} over frequency",
            f"its rows are looked up by '{table.sidecar.index or 'nothing'}'",
            "use at() or the columns",
        )
    wanted = np.atleast_1d(np.asarray(frequency_hz, dtype=np.float64))
    if not np.all(wanted > 0):
        raise OutOfRangeError(f"interpolate {table.name}", "a frequency is not above 0 Hz", "give positive frequencies")
    known_hz, known = table.series(column)
    outside = (wanted < known_hz[0]) | (wanted > known_hz[-1])
    values = np.interp(np.log(wanted), np.log(known_hz), known)
    tabulated = np.isin(wanted, known_hz)
    values[tabulated] = known[np.searchsorted(known_hz, wanted[tabulated])]
    return Interpolated(
        frequency_hz=wanted,
        values=np.ma.array(values, mask=outside),
        interpolated=~tabulated & ~outside,
        outside=outside,
        table_name=table.name,
        column=column,
        range_hz=(float(known_hz[0]), float(known_hz[-1])),
    )
