"""Thresholds between measured ones: made only when somebody asks for them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import Component, Grid, PointState
from umbo.errors import NotPossibleHereError, OutOfRangeError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.core import FloatArray, Level

__all__ = ["filled_in"]

#: How far beyond its ends a level may be held where a rule asks for it: a sixth of an octave. [octave]
_HELD_OCTAVES = 1 / 6

#: A wanted frequency this near to a measured one is that one (nominal against exact, IEC 61260-1). [1]
_SAME = 0.015


def filled_in(level: Level, frequency_hz: Sequence[float], *, hold_ends: bool = False) -> Level:
    r"""Add points between measured ones, on straight lines over log frequency.

    .. math:: L(f) = L_1 + (L_2 - L_1)\,\frac{\ln f - \ln f_1}{\ln f_2 - \ln f_1}, \quad f_1 \le f \le f_2

    Each added point is marked interpolated with the two measured frequencies, and its uncertainty grows by 10 dB per
    octave to the nearer of them (engineering judgement): 5 dB at the middle of an octave.

    Parameters
    ----------
    level : Level
        Thresholds or discomfort levels, at any plane. [dB]
    frequency_hz : sequence of float (m,)
        Wanted frequencies; those that are there stay as they are. [Hz]
    hold_ends : bool
        Whether a rule asks for the end values to be held, for up to a sixth of an octave; such points are marked
        extrapolated.

    Returns
    -------
    Level
        On the old and the wanted frequencies together.

    Raises
    ------
    NotPossibleHereError
        Beside a point that is no threshold, as after no response: nobody knows what lies between.
    OutOfRangeError
        Beyond the ends.
    """
    measured = level.frequency_hz
    added = [f for f in sorted(set(frequency_hz)) if np.all(np.abs(measured / f - 1) > _SAME)]
    if not added:
        return level
    for f in added:
        _require_neighbours(level, f, hold_ends=hold_ends)
    grid = Grid(np.sort(np.append(measured, added)), level.grid.bandwidth)
    filled = level.on(grid, method="log_frequency", outside="hold" if hold_ends else "refuse")
    for f in added:
        below, above = _neighbours(measured, f)
        if below is None or above is None:
            continue
        reason = f"not measured: filled in between {measured[below]:g} and {measured[above]:g} Hz"
        filled = filled.marked(PointState.INTERPOLATED, np.isclose(grid.frequency_hz, f), reason)
    return filled.with_uncertainty(_widening(level, grid.frequency_hz))


def _neighbours(measured: FloatArray, f: float) -> tuple[int | None, int | None]:
    """Rows of the measured points below and above a frequency. [Hz]"""
    above = int(np.searchsorted(measured, f))
    return (above - 1 if above > 0 else None), (above if above < measured.size else None)


def _require_neighbours(level: Level, f: float, *, hold_ends: bool) -> None:
    measured = level.frequency_hz
    asked = f"fill in the {level.tags.quantity} at {f:g} Hz"
    below, above = _neighbours(measured, f)
    beyond = max(np.log2(measured[0] / f), np.log2(f / measured[-1]))
    if beyond > 0 and not (hold_ends and beyond <= _HELD_OCTAVES):
        held = " more than a sixth of an octave" if hold_ends else ""
        raise OutOfRangeError(
            asked,
            f"it lies{held} outside what was measured, {measured[0]:g} to {measured[-1]:g} Hz",
            "measure it: nothing is extrapolated",
        )
    for row in (below, above):
        if row is not None and not level.states.at(row).is_usable:
            raise NotPossibleHereError(
                asked,
                f"the point at {measured[row]:g} Hz beside it cannot be used ({level.states.reasons(row)[0]})",
                "measure it, or leave it out",
            )


def _widening(level: Level, grid_hz: FloatArray) -> Component:
    """What an added point is less sure of, by its distance from the nearest measured one. [dB]"""
    table = refdata.table("threshold_uncertainty", source="engineering-judgement")
    per_octave_db = table.at("interpolation_per_octave", "value")
    octaves = np.abs(np.log2(grid_hz[:, np.newaxis] / level.frequency_hz)).min(axis=1)
    octaves[octaves < np.log2(1 + _SAME)] = 0.0
    return Component(
        id=f"filled_in:{level.tags.quantity}:{level.tags.ear}",
        label="point filled in, not measured",
        contribution_db=per_octave_db * octaves,
        across="none",
        evaluation="B",
        source=f"{table.name} (engineering judgement)",
    )
