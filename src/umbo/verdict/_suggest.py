"""Which band to change by how much: suggestions to try, never commands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.core import COVERAGE_FACTOR, NOMINAL_RATIO, Outcome
from umbo.errors import InputError
from umbo.verdict._judgement import judge_within
from umbo.verdict._regions import is_zigzag, regions_of
from umbo.verdict._wording import frequency_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from umbo.core import BoolArray, Difference, FloatArray
    from umbo.verdict._regions import Region

__all__ = ["Suggestion", "output_margin", "suggest_changes", "total_change"]

#: Programming steps of an aid are no finer; a smaller room is none (engineering judgement). [dB]
_STEP_DB = 1.0


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One change to try, or why none is suggested.

    Parameters
    ----------
    frequency_hz : tuple of float
        Bands concerned. [Hz]
    change_db : float
        What to add to the output at these bands; one number holds in the coupler and at the eardrum, because RECD and
        microphone location are added to either (F6). 0 where nothing is suggested. [dB]
    sentence : str
        What it would do, or why there is none.
    limit : str
        What made the change smaller than the deviation asks for, or forbade it; empty where nothing did.
    """

    frequency_hz: tuple[float, ...]
    change_db: float
    sentence: str
    limit: str = ""


def output_margin(excess: Difference, frequency_hz: FloatArray, *, is_child: bool) -> FloatArray:
    """Room between the maximum output and its limit at other frequencies.

    Parameters
    ----------
    excess : Difference
        Maximum output above the limit. [dB]
    frequency_hz : array (n,)
        Where the room is wanted. [Hz]
    is_child : bool
        For a child two standard uncertainties of the room are not used up.

    Returns
    -------
    array (n,)
        Straight lines over log frequency; NaN beyond the ends and next to a point that cannot be used: the room is not
        known. Negative where the output is over the limit. [dB]
    """
    room = -(excess.level_db + (COVERAGE_FACTOR * excess.u_db if is_child else 0.0))
    room = np.where(excess.states.is_usable, room, np.nan)
    known, wanted = np.log2(excess.frequency_hz), np.log2(np.asarray(frequency_hz, dtype=np.float64))
    near = np.argmin(np.abs(wanted[:, None] - known[None, :]), axis=1)
    same = np.abs(wanted - known[near]) <= np.log2(NOMINAL_RATIO)
    snapped = np.where(same, known[near], wanted)
    return np.interp(snapped, known, room, left=np.nan, right=np.nan)


def suggest_changes(
    deviation: Difference,
    tolerance_db: FloatArray,
    *,
    margin_db: FloatArray | None,
    no_response: BoolArray | None = None,
    place: str = "in the coupler",
) -> tuple[Suggestion, ...]:
    """Suggest a change for every band that is off its target by more than tolerance and uncertainty.

    Neighbouring bands get one change. More gain is suggested only as far as the maximum output, taken to rise with
    it, stays below its limit; without a known limit none is. A band without a response, or that was not measured, gets
    none.

    Parameters
    ----------
    deviation : Difference
        Measured minus target, at the eardrum or in the coupler. [dB]
    tolerance_db : array (n,)
        Allowed on both sides; NaN where nothing is required. [dB]
    margin_db : array (n,) or None
        Room up to the limit of the maximum output (see :func:`output_margin`); NaN or none where it is not known. [dB]
    no_response : array (n,), bool, optional
        Bands without a threshold.
    place : str
        Where the output is measured again, for the sentence: "in the coupler", "in the ear".

    Returns
    -------
    tuple of Suggestion
        In ascending frequency; each is a change to try, or says why none is suggested. Added up with
        :func:`total_change` they bring no band further from its target.

    Raises
    ------
    InputError
        If the lists do not have one entry per frequency.
    """
    n = deviation.grid.size
    margin = np.full(n, np.nan) if margin_db is None else np.asarray(margin_db, dtype=np.float64)
    silent = np.zeros(n, dtype=np.bool_) if no_response is None else np.asarray(no_response)
    if not len(tolerance_db) == margin.size == silent.size == n:
        raise InputError(
            "suggest changes",
            f"there are {n} frequencies, {len(tolerance_db)} tolerances, {margin.size} margins and {silent.size} "
            "answers about a response",
            "give one of each per frequency",
        )
    failing = _failing(deviation, tolerance_db)
    heard = failing & ~silent
    zigzag = is_zigzag(deviation.level_db, heard)
    wants_more = heard & ~zigzag & (deviation.level_db < 0)
    blocked = wants_more & ~(margin >= _STEP_DB)
    may = deviation.states.is_usable & ~silent & ~zigzag & ((margin >= _STEP_DB) | (deviation.level_db > 0))
    regions = regions_of(deviation.level_db, tolerance_db, heard & ~zigzag & ~blocked, may)
    out = [
        *(_withheld(deviation, failing & silent, _NO_RESPONSE)),
        *(_withheld(deviation, zigzag, _ZIGZAG)),
        *(_withheld(deviation, blocked & np.isnan(margin), _NO_LIMIT)),
        *(_withheld(deviation, blocked & ~np.isnan(margin), _NO_ROOM)),
        *(_worded(deviation, tolerance_db, margin, region, place) for region in regions),
    ]
    return tuple(sorted(out, key=lambda suggestion: suggestion.frequency_hz[0]))


_NO_RESPONSE = "there was no response, so no threshold from which a target could come"
_ZIGZAG = "a neighbouring band is off in the other direction, which an aid's bands rarely are: measure again first"
_NO_LIMIT = "the maximum output, or its limit, is not known here: measure it before any more gain"
_NO_STEP = f"it is off by less than a step of {_STEP_DB:g} dB"
_NO_ROOM = "the maximum output would pass its limit: lower the maximum output first"


def _failing(deviation: Difference, tolerance_db: FloatArray) -> BoolArray:
    failed = {p.frequency_hz for p in judge_within(deviation, tolerance_db) if p.outcome is Outcome.FAIL}
    return np.array([float(hz) in failed for hz in deviation.frequency_hz])


def _withheld(deviation: Difference, where: BoolArray, why: str) -> Iterable[Suggestion]:
    if not where.any():
        return ()
    hz = tuple(float(f) for f in deviation.frequency_hz[where])
    return (Suggestion(hz, 0.0, f"No change is suggested at {frequency_words(hz)}: {why}.", why),)


def _worded(
    deviation: Difference, tolerance_db: FloatArray, margin: FloatArray, region: Region, place: str
) -> Suggestion:
    bands = list(region.bands)
    hz = tuple(float(f) for f in deviation.frequency_hz[bands])
    change, limit = _in_steps(region.change_db, 2 * float(np.abs(deviation.level_db[bands]).min())), ""
    if change > 0 and change > (room := float(np.min(margin[bands]))):
        change, limit = float(np.floor(room / _STEP_DB) * _STEP_DB), "the limit of the maximum output"
    if change == 0:
        return Suggestion(hz, 0.0, f"No change is suggested at {frequency_words(hz)}: {_NO_STEP}.", _NO_STEP)
    left = np.abs(deviation.level_db[bands] + change) > tolerance_db[bands]
    effect = "within tolerance" if not left.any() else "closer to the target, not yet within tolerance"
    held = f", as far as {limit} allows" if limit else ""
    text = (
        f"A change of about {change:+.0f} dB at {frequency_words(hz)} {place} would bring "
        f"{'this band' if len(hz) == 1 else 'these bands'} {effect}{held}, if the aid does exactly that; then measure "
        "again, the maximum output too."
    )
    return Suggestion(hz, change, text, limit)


def _in_steps(change_db: float, most_db: float) -> float:
    """The nearest whole step, or the next smaller one where that would overshoot."""
    nearest = float(np.rint(change_db / _STEP_DB) * _STEP_DB)
    return nearest if abs(nearest) <= most_db else float(np.trunc(change_db / _STEP_DB) * _STEP_DB)


def total_change(suggestions: Iterable[Suggestion], frequency_hz: FloatArray) -> FloatArray:
    """All suggestions as one change per frequency, for :func:`what_if`.

    Parameters
    ----------
    suggestions : iterable of Suggestion
        What to try.
    frequency_hz : array (n,)
        Frequencies of the deviation they were made for. [Hz]

    Returns
    -------
    array (n,)
        0 where nothing is suggested. [dB]
    """
    total = np.zeros(len(frequency_hz))
    for suggestion in suggestions:
        total[np.isin(frequency_hz, suggestion.frequency_hz)] += suggestion.change_db
    return total
