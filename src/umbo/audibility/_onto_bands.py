"""Thresholds of single tones brought onto bands: what is known there, what is only bounded, what is not known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

import numpy as np

from umbo.core import Bandwidth, BoolArray, Curve, FloatArray, Grid, Level, PlaneKind, PointState, Statistic
from umbo.errors import BandwidthMismatchError, InputError, PlaneMismatchError, StatisticMismatchError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["HOLD_OCTAVES", "Onto", "onto_bands", "require_answers", "require_speech", "require_threshold"]

#: How far beyond its first and last tone a threshold is held: the half-width of a third-octave band around that tone
#: (engineering judgement). [octave]
HOLD_OCTAVES = 1 / 6

_C = TypeVar("_C", bound=Curve)

_BOUND = "no response: the threshold lies above this level"


@dataclass(frozen=True, slots=True, eq=False)
class Onto(Generic[_C]):
    """A curve on the frequencies of bands, with what may be said of each.

    Parameters
    ----------
    curve : Curve
        The curve there; every state and reason is kept.
    is_known : array (bands,), bool
        Where the value may be used as it is.
    is_bound : array (bands,), bool
        Where the true value lies above the one given.
    """

    curve: _C
    is_known: BoolArray
    is_bound: BoolArray


def onto_bands(threshold: _C, no_response: ArrayLike, grid: Grid) -> Onto[_C]:
    """Bring thresholds, or what was made from them, onto bands: straight lines over log frequency.

    A line that ends in a bound is a bound. Beyond the ends the last value is held for a sixth of an octave.

    Parameters
    ----------
    threshold : Curve
        Thresholds, or a difference made from them.
    no_response : array-like (n,), bool
        Where there was no response, so that the true value is higher.
    grid : Grid
        Wanted frequencies.

    Returns
    -------
    Onto
        With one entry per wanted frequency.

    Raises
    ------
    InputError
        If there is not one yes or no per threshold.
    """
    flags = require_answers(no_response, threshold)
    marked = threshold.marked(PointState.WITHDRAWN, flags, _BOUND)
    there = marked.on(grid, method="log_frequency", outside="hold")
    bound = np.zeros(grid.size, dtype=bool)
    for mark in there.states.marks:
        if mark.reason == _BOUND:
            bound |= mark.where
    usable = np.ones(grid.size, dtype=bool)
    held = _beyond_octaves(threshold.grid, grid) <= HOLD_OCTAVES + 1e-9
    for mark in there.states.marks:
        if mark.state is PointState.EXTRAPOLATED:
            usable &= ~(mark.where & ~(held & _end_is_usable(threshold, grid)))
        elif mark.state is PointState.WITHDRAWN:  # a point without response is withdrawn as a threshold, not as a bound
            usable &= ~(mark.where & ~bound)
        elif not mark.state.is_usable:
            usable &= ~mark.where
    return Onto(there, usable & ~bound, usable & bound)


def _beyond_octaves(old: Grid, new: Grid) -> FloatArray:
    low, high = old.frequency_hz[0], old.frequency_hz[-1]
    return np.asarray(np.maximum(np.log2(low / new.frequency_hz), np.log2(new.frequency_hz / high)))


def _end_is_usable(threshold: Curve, grid: Grid) -> BoolArray:
    """For each wanted point: whether the end it would be held from says nothing about extrapolation itself."""
    own = np.zeros(threshold.grid.size, dtype=bool)
    for mark in threshold.states.marks:
        if mark.state is PointState.EXTRAPOLATED:
            own |= mark.where
    is_above = grid.frequency_hz > threshold.frequency_hz[-1]
    is_below = grid.frequency_hz < threshold.frequency_hz[0]
    return np.asarray((is_above & ~own[-1]) | (is_below & ~own[0]))


def require_answers(no_response: ArrayLike, threshold: Curve) -> BoolArray:
    """Refuse anything but one yes or no per threshold.

    Parameters
    ----------
    no_response : array-like (n,), bool
        Where there was no response.
    threshold : Curve
        Thresholds.

    Returns
    -------
    array (n,), bool
        The answers.

    Raises
    ------
    InputError
        If there is not one per threshold.
    """
    flags = np.asarray(no_response, dtype=bool)
    if flags.shape != (threshold.grid.size,):
        raise InputError(
            "use thresholds of which some had no response",
            f"there are {flags.size} answers for {threshold.grid.size} thresholds",
            "say yes or no for each threshold",
        )
    return flags


def require_speech(speech: Level, statistic: Statistic, what: str) -> None:
    """Refuse anything but third-octave levels of one statistic at the eardrum.

    Parameters
    ----------
    speech : Level
        Speech or noise.
    statistic : Statistic
        What is wanted.
    what : str
        What it is wanted for, as the sentence says it.

    Raises
    ------
    PlaneMismatchError, BandwidthMismatchError, StatisticMismatchError
        If it is none.
    """
    name = speech.tags.quantity
    _require_eardrum(speech, what)
    if speech.grid.bandwidth is not Bandwidth.THIRD_OCTAVE:
        raise BandwidthMismatchError(
            what,
            f"the {name} is given {speech.grid.bandwidth.phrase}, and a band level per 1/3 octave is needed",
            "evaluate the recording in third-octave bands",
        )
    if speech.tags.statistic is not statistic:
        raise StatisticMismatchError(
            what,
            f"the {name} has the statistic '{speech.tags.statistic}', and '{statistic}' is needed",
            f"give the level with the statistic '{statistic}'",
        )


def require_threshold(threshold: Level, what: str) -> None:
    """Refuse anything but thresholds of tones at the eardrum.

    Parameters
    ----------
    threshold : Level
        Thresholds.
    what : str
        What they are wanted for, as the sentence says it.

    Raises
    ------
    PlaneMismatchError, BandwidthMismatchError, StatisticMismatchError
        If they are none.
    """
    _require_eardrum(threshold, what)
    if threshold.grid.bandwidth is not Bandwidth.TONE:
        raise BandwidthMismatchError(
            what,
            f"the {threshold.tags.quantity} is given {threshold.grid.bandwidth.phrase}, and tones are needed",
            "give the thresholds as they were taken, before they are read for bands",
        )
    if threshold.tags.statistic is not Statistic.THRESHOLD:
        raise StatisticMismatchError(
            what,
            f"the {threshold.tags.quantity} has the statistic '{threshold.tags.statistic}', and 'threshold' is needed",
            "give thresholds",
        )


def _require_eardrum(level: Level, what: str) -> None:
    if level.plane.kind is not PlaneKind.EARDRUM:
        raise PlaneMismatchError(
            what,
            f"the {level.tags.quantity} is {level.plane.phrase}, and it is needed at the eardrum",
            "carry it to the eardrum first",
        )
