"""Audible bandwidth: up to which frequency speech lies above threshold, and what is audible above 8 kHz."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from umbo.audibility._draws import Draws
from umbo.audibility._highest import Reach, reach_of
from umbo.audibility._onto_bands import Onto, onto_bands, require_answers, require_speech, require_threshold
from umbo.core import Bandwidth, BoolArray, Difference, Ear, Grid, Level, Statistic, lies_within

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = ["HIGHEST_INDEX_HZ", "AudibleBandwidth", "ExtendedBand", "Heard", "audible_bandwidth"]

#: Highest band to which the index gives an importance (ANSI S3.5-1997, third-octave procedure). [Hz]
HIGHEST_INDEX_HZ = 8000.0

#: Above this factor a frequency belongs to the next third octave: half a band. [1]
_HALF_BAND = 2 ** (1 / 6)

_ASKED = "find the audible bandwidth"


class Heard(StrEnum):
    """What can be said of one band."""

    AUDIBLE = "audible"
    NOT_AUDIBLE = "not_audible"
    CANNOT_TELL = "cannot_tell"
    NOT_KNOWN = "not_known"

    @property
    def phrase(self) -> str:
        """How a sentence says it."""
        return self.replace("_", " ")


@dataclass(frozen=True, slots=True)
class ExtendedBand:
    """Peaks of speech in one band above 8 kHz.

    Parameters
    ----------
    frequency_hz : float
        Centre. [Hz]
    margin_db : float
        Peaks minus threshold; at most this where there was no response. [dB]
    u_db : float
        Its standard uncertainty. [dB]
    heard : Heard
        Audible or not by more than two standard uncertainties; "cannot tell" in between; "not known" where a point
        cannot be used.
    """

    frequency_hz: float
    margin_db: float
    u_db: float
    heard: Heard


@dataclass(frozen=True, slots=True, kw_only=True)
class AudibleBandwidth:
    """Up to which frequency speech at the eardrum of one ear lies above threshold.

    Parameters
    ----------
    ear : Ear or None
        Side.
    peaks : Reach or None
        Of the peaks, the level not exceeded in 99 % of frames; None where they are not known.
    average : Reach
        Of the long-term average, the rms level.
    extended : tuple of ExtendedBand
        Bands above 8 kHz that the peaks were measured in.
    """

    ear: Ear | None
    peaks: Reach | None
    average: Reach
    extended: tuple[ExtendedBand, ...]

    @property
    def sentence(self) -> str:
        """The result in plain sentences."""
        peaks = "are not known" if self.peaks is None else self.peaks.phrase
        return f"Speech peaks: {peaks}; average speech: {self.average.phrase}. {self.extended_sentence}"

    @property
    def extended_sentence(self) -> str:
        """What the bands above 8 kHz add, and that the index does not count them."""
        if self.peaks is None:
            return "Above 8 kHz nothing is told without peaks."
        if not self.extended:
            return "Above 8 kHz nothing was measured."
        told = "; ".join(
            f"{', '.join(_kilohertz(b.frequency_hz) for b in self.extended if b.heard is word)} kHz: {word.phrase}"
            for word in Heard
            if any(b.heard is word for b in self.extended)
        )
        limit = "ANSI S3.5-1997 gives these bands no importance: the index leaves them out."
        return f"Speech peaks above 8 kHz: {told}. {limit}"


def audible_bandwidth(
    peaks: Level | None,
    average: Level,
    threshold: Level,
    *,
    no_response: ArrayLike,
    trusted_max_hz: float | None,
    draws: Draws | None = None,
) -> AudibleBandwidth:
    """Find the highest frequency at which speech lies above threshold: third-octave level against threshold of a tone.

    Parameters
    ----------
    peaks : Level or None
        Third-octave levels not exceeded in 99 % of frames, at the eardrum; None where they are not known. [dB SPL]
    average : Level
        Third-octave rms levels at the eardrum. [dB SPL]
    threshold : Level
        Thresholds of tones at the eardrum. [dB SPL]
    no_response : array-like (n,), bool
        Which thresholds are bounds: there was no response at that level.
    trusted_max_hz : float or None
        Points above are not known; None where the states of the points say all. [Hz]
    draws : Draws, optional
        Number and seed of the draws of the intervals; 10,000 when left out.

    Returns
    -------
    AudibleBandwidth
        Two reaches with their intervals, and the bands above 8 kHz.

    Raises
    ------
    PlaneMismatchError, BandwidthMismatchError, StatisticMismatchError, EarMismatchError
        If the levels are not what is wanted.
    InputError
        If there is not one answer about response per threshold.

    Notes
    -----
    Comparing a third-octave level with the threshold of a tone is common practice, no source. It is not what the index
    does with thresholds.
    """
    if peaks is not None:
        require_speech(peaks, Statistic.P99, _ASKED)
    require_speech(average, Statistic.RMS, _ASKED)
    require_threshold(threshold, _ASKED)
    flags = tuple(require_answers(no_response, threshold).tolist())
    simulation = Draws() if draws is None else draws
    margin, known, bound = _margin(average, threshold, flags, trusted_max_hz)
    reach = reach_of(margin, known, bound, simulation)
    if peaks is None:
        return AudibleBandwidth(ear=margin.tags.ear, peaks=None, average=reach, extended=())
    of_peaks = _margin(peaks, threshold, flags, trusted_max_hz)
    return AudibleBandwidth(
        ear=margin.tags.ear, peaks=reach_of(*of_peaks, simulation), average=reach, extended=_extended(*of_peaks)
    )


def _margin(
    level: Level, threshold: Level, no_response: tuple[bool, ...], trusted_max_hz: float | None
) -> tuple[Difference, BoolArray, BoolArray]:
    """Level above threshold on the level's frequencies: where it is known, and where it is at most that."""
    there = _there(threshold, no_response, Grid(level.frequency_hz, Bandwidth.THIRD_OCTAVE))
    margin = level.above(there.curve, quantity=f"{level.tags.quantity} above threshold")
    usable = level.states.is_usable
    if trusted_max_hz is not None:
        usable = usable & lies_within(level.frequency_hz, 0.0, trusted_max_hz)
    return margin, usable & there.is_known, usable & there.is_bound


@lru_cache(maxsize=8)
def _there(threshold: Level, no_response: tuple[bool, ...], grid: Grid) -> Onto[Level]:
    """Kept, because peaks and average of every speech level ask for the same one."""
    return onto_bands(threshold, no_response, grid)


def _extended(margin: Difference, known: BoolArray, bound: BoolArray) -> tuple[ExtendedBand, ...]:
    above = np.flatnonzero(margin.frequency_hz > HIGHEST_INDEX_HZ * _HALF_BAND)
    return tuple(
        ExtendedBand(
            float(margin.frequency_hz[i]),
            float(margin.level_db[i]),
            float(margin.u_db[i]),
            _heard(float(margin.level_db[i]), float(margin.u_db[i]), is_known=bool(known[i]), is_bound=bool(bound[i])),
        )
        for i in above
    )


def _heard(margin_db: float, u_db: float, *, is_known: bool, is_bound: bool) -> Heard:
    if margin_db < -2 * u_db and (is_known or is_bound):
        return Heard.NOT_AUDIBLE
    if not is_known:
        return Heard.NOT_KNOWN
    return Heard.AUDIBLE if margin_db >= 2 * u_db else Heard.CANNOT_TELL


def _kilohertz(frequency_hz: float) -> str:
    return f"{frequency_hz / 1000:.3g}"
