"""Slope of the response against the slope of the target, octave by octave."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Bandwidth, Difference, Grid, Origin, Outcome, worst
from umbo.errors import InputError
from umbo.verdict._judgement import Judgement, judge_within

if TYPE_CHECKING:
    from umbo.core import FloatArray
    from umbo.verdict._guidance import Guidance
    from umbo.verdict._judgement import PointJudgement

__all__ = ["SLOPE_HZ", "slope_db_per_octave", "slope_deviation", "slope_difference", "slope_pairs"]

#: Octave frequencies between which a slope is read: the span of the guidance's tolerances. [Hz]
SLOPE_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0)


def slope_db_per_octave(frequency_hz: FloatArray, level_db: FloatArray) -> FloatArray:
    r"""Slope between neighbouring frequencies.

    .. math:: s_i = \frac{L_{i+1} - L_i}{\log_2 (f_{i+1} / f_i)} \qquad (1)

    Parameters
    ----------
    frequency_hz : array (n,)
        Ascending. [Hz]
    level_db : array (..., n)
        Levels or deviations. [dB]

    Returns
    -------
    array (..., n - 1)
        [dB/octave]
    """
    return np.asarray(np.diff(level_db, axis=-1) / np.diff(np.log2(frequency_hz)))  # Eq. (1)


def slope_difference(deviation: Difference) -> Difference:
    """Slope of the response minus slope of the target between the octaves that were compared.

    The slope of a difference is the difference of the slopes. A cause that moves both ends alike drops out.

    Parameters
    ----------
    deviation : Difference
        Measured minus target. [dB]

    Returns
    -------
    Difference
        One point per pair of neighbouring octaves, at their geometric mean frequency. [dB/octave]

    Raises
    ------
    InputError
        If no two neighbouring octaves of :data:`SLOPE_HZ` were compared.
    """
    pairs = slope_pairs(deviation.grid)
    if not pairs:
        raise InputError(
            "compare the slope with that of the target",
            "no two neighbouring octaves from 250 to 4000 Hz were compared",
            "measure at octave frequencies",
        )
    index = np.array(pairs)
    octaves = np.log2(deviation.frequency_hz[index[:, 1]] / deviation.frequency_hz[index[:, 0]])
    weight = np.stack([-1.0 / octaves, 1.0 / octaves], axis=1)
    values = (weight * deviation.level_db[index]).sum(axis=1)  # Eq. (1)
    grid = Grid(np.sqrt(deviation.frequency_hz[index].prod(axis=1)), Bandwidth.TONE)
    quantity = "slope above that of the target"
    return Difference(
        grid=grid,
        level_db=values,
        tags=replace(deviation.tags, quantity=quantity),
        states=deviation.states.taken(index[:, 0]).joined(deviation.states.taken(index[:, 1])),
        uncertainty=deviation.uncertainty.mapped(index, weight),
        origin=Origin(quantity, f"slope of the {deviation.tags.quantity}", "dB/octave", grid.frequency_hz, values),
        plane=deviation.plane,
    )


def slope_pairs(grid: Grid) -> list[tuple[int, int]]:
    """Indices of neighbouring octaves that are both on the grid."""
    held: list[int | None] = []
    for hz in SLOPE_HZ:
        try:
            held.append(grid.index(hz))
        except InputError:
            held.append(None)
    return [(low, high) for low, high in pairwise(held) if low is not None and high is not None]


def slope_deviation(deviation: Difference, name: str, *, guidance: Guidance) -> Judgement:
    """The slope criterion of a guidance that has one.

    Parameters
    ----------
    deviation : Difference
        Measured minus target. [dB]
    name : str
        Which input, for the identifier: "65".
    guidance : Guidance
        Whose criterion.

    Returns
    -------
    Judgement
        Its points stand at the geometric means of the octaves. [dB/octave]

    Raises
    ------
    InputError
        If the guidance has no slope criterion.
    """
    if guidance.slope_db_per_octave is None:
        raise InputError(
            "judge the slope of the response",
            f"the guidance '{guidance.key}' has no slope criterion",
            "leave the slope out, or choose another guidance",
        )
    criterion, source = f"slope_{name}", _source(guidance)
    try:
        slope = slope_difference(deviation)
    except InputError as missing:
        text = f"The slope for speech at {name} dB cannot be told: {missing.disagrees}."
        return Judgement(criterion, Outcome.CANNOT_TELL, text, "Measure at octave frequencies.", source)
    allowed = np.full(slope.grid.size, guidance.slope_db_per_octave)
    points = judge_within(slope, allowed, unit="dB/octave")
    outcome = worst([point.outcome for point in points])
    return Judgement(criterion, outcome, _sentence(points, name, guidance), _action(outcome), source, points)


def _source(guidance: Guidance) -> str:
    return f"{guidance.source}; slope within ±{guidance.slope_db_per_octave:g} dB/octave ({guidance.status})"


def _sentence(points: tuple[PointJudgement, ...], name: str, guidance: Guidance) -> str:
    for outcome, verb in ((Outcome.FAIL, "departs from that of the target"), (Outcome.CANNOT_TELL, "cannot be judged")):
        group = [point for point in points if point.outcome is outcome]
        if group:
            first = group[0]
            return f"The slope for speech at {name} dB {verb} {_octaves(group)}: {_octaves([first])} {first.reason}."
    return (
        f"The slope for speech at {name} dB follows that of the target within ±{guidance.slope_db_per_octave:g} "
        f"dB/octave in {len(points)} octaves."
    )


def _octaves(points: list[PointJudgement]) -> str:
    half = np.sqrt(2.0)
    ends = [(_nominal(p.frequency_hz / half), _nominal(p.frequency_hz * half)) for p in points]
    return " and ".join(f"from {low:.0f} to {high:.0f} Hz" for low, high in ends)


def _nominal(frequency_hz: float) -> float:
    """The octave frequency nearest to a frequency. [Hz]"""
    return SLOPE_HZ[int(np.argmin(np.abs(np.log2(np.array(SLOPE_HZ) / frequency_hz))))]


def _action(outcome: Outcome) -> str:
    if outcome is Outcome.PASS:
        return ""
    if outcome is Outcome.FAIL:
        return "Look at the bands at both ends of that octave, adjust towards the target and measure again."
    return "Repeat the reading that is not usable, or reduce the uncertainty."
