"""Frequency lowering: how far up is sound audible, and where do fricatives go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.aid._conditions import Conditions, Feature, Switch
from umbo.aid._constants import constant, constant_range, constant_source
from umbo.aid._feature_check import FeatureCheck
from umbo.aid._outcome import judge_between
from umbo.core import COVERAGE_FACTOR, Finding, FloatArray, Level, Outcome, PointState, Severity, lies_within
from umbo.dsp import band_edges_hz, upper_edge_hz
from umbo.errors import InputError

__all__ = [
    "AudibleLimit",
    "FricativeBands",
    "Lowering",
    "frequency_lowering",
    "fricative_bands",
    "fricative_edges_hz",
    "highest_audible",
]

_BANDS = ("fricative_band_1", "fricative_band_2", "fricative_band_3", "fricative_band_4")

#: A fricative has its sound above this (engineering judgement). [Hz]
_FRICATIVE_FROM_HZ = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class AudibleLimit:
    """Maximum audible output frequency.

    Parameters
    ----------
    frequency_hz : float or None
        Highest frequency at which the sound is above threshold; none where it is nowhere. [Hz]
    low_hz, high_hz : float or None
        The same with the sound two standard uncertainties softer and louder. [Hz]
    is_bound : bool
        Whether the sound is still audible where the usable points end: the limit lies at or above it.
    sentence : str
        What can be said.
    """

    frequency_hz: float | None
    low_hz: float | None
    high_hz: float | None
    is_bound: bool
    sentence: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FricativeBands:
    """A fricative sound through the aid.

    Parameters
    ----------
    band_hz : tuple of (float, float)
        Bands. [Hz]
    level_db_spl : tuple of (float or None)
        Level in each band; none where no usable point lies in it. [dB SPL]
    edge_hz, edge_low_hz, edge_high_hz : float
        Upper spectral edge, and with its slope's uncertainty. [Hz]
    """

    band_hz: tuple[tuple[float, float], ...]
    level_db_spl: tuple[float | None, ...]
    edge_hz: float
    edge_low_hz: float
    edge_high_hz: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Lowering:
    """A fricative without and with frequency lowering.

    Parameters
    ----------
    before, after : FricativeBands
        Without and with.
    check : FeatureCheck
        Whether it is lowered; value in third octaves.
    finding : Finding or None
        That an index of audibility does not hold with lowering on.
    """

    before: FricativeBands
    after: FricativeBands
    check: FeatureCheck
    finding: Finding | None


def highest_audible(sound: Level, threshold: Level) -> AudibleLimit:
    """Highest frequency at which a sound lies above threshold.

    Parameters
    ----------
    sound : Level
        Peaks of speech at the threshold's plane, for example its 99 % level. [dB SPL]
    threshold : Level
        Threshold at the same plane, on the same grid. [dB SPL]

    Returns
    -------
    AudibleLimit
        Between points by a straight line over log frequency.

    Raises
    ------
    CombinationError
        If the two are not at one place, on one grid, of one ear.
    """
    above = sound.above(threshold, quantity="level above threshold")
    # a threshold without a response is a lower bound: where even the bound is not reached the sound is not audible
    bound = np.array([threshold.states.at(i) is PointState.WITHDRAWN for i in range(threshold.grid.size)])
    known = above.states.is_usable | (bound & (above.level_db < 0))
    hz, margin, u = above.frequency_hz[known], above.level_db[known], above.u_db[known]
    middle, soft, loud = (_last_crossing(hz, margin + k * COVERAGE_FACTOR * u) for k in (0, -1, 1))
    is_bound = bool(known.any() and margin[-1] >= 0)
    if middle is None:
        sentence = "The sound is not above threshold at any frequency that can be told."
    elif is_bound:
        sentence = f"The sound is above threshold up to {middle:.0f} Hz at least, where the usable points end."
    else:
        sentence = f"The sound is above threshold up to {middle:.0f} Hz."
    return AudibleLimit(frequency_hz=middle, low_hz=soft, high_hz=loud, is_bound=is_bound, sentence=sentence)


def _last_crossing(hz: FloatArray, margin: FloatArray) -> float | None:
    at = np.flatnonzero(margin >= 0)
    if at.size == 0:
        return None
    last = int(at[-1])
    if last + 1 == hz.size:
        return float(hz[last])
    part = margin[last] / (margin[last] - margin[last + 1])
    return float(hz[last] * (hz[last + 1] / hz[last]) ** part)


def fricative_edges_hz() -> FloatArray:
    """Edges of the bands of fricatives: 2, 4, 6, 8 and 10 kHz (engineering judgement). Shape (5,). [Hz]"""
    return np.array([constant_range(_BANDS[0])[0], *(constant_range(item)[1] for item in _BANDS)])


def fricative_bands(level: Level, *, ranges_db_spl: FloatArray | None = None) -> FricativeBands:
    """Level of a fricative in 2-4, 4-6, 6-8 and 8-10 kHz and its upper spectral edge.

    Parameters
    ----------
    level : Level
        Third-octave levels. [dB SPL]
    ranges_db_spl : array (4,), optional
        Levels between :func:`fricative_edges_hz`, from :func:`umbo.curves.range_levels`: sharper than third octaves
        where the spectrum is steep. [dB SPL]

    Raises
    ------
    InputError
        If fewer than two usable points lie above 1 kHz, or the ranges are not four.

    Notes
    -----
    Without ``ranges_db_spl`` a third octave that lies across a band edge counts with the part of it (in log frequency)
    that lies inside. A band whose usable third octaves cover less than half of it has no level.
    """
    usable = level.states.is_usable & lies_within(level.frequency_hz, _FRICATIVE_FROM_HZ, np.inf)
    if usable.sum() < 2 or (ranges_db_spl is not None and ranges_db_spl.shape != (len(_BANDS),)):
        raise InputError(
            f"read the {level.tags.quantity} as a fricative",
            f"{int(usable.sum())} usable points lie above 1 kHz, or the ranges are not {len(_BANDS)}",
            "measure well above the noise; use the 0.4 cc coupler for sounds above 8 kHz",
        )
    hz, values, u = level.frequency_hz[usable], level.level_db[usable], level.u_db[usable]
    bands = tuple(constant_range(item) for item in _BANDS)
    drop = constant("lowering_edge_drop")
    edge, low, high = (upper_edge_hz(hz, values, drop_db=drop + k * u.max()) for k in (0.0, -1.0, 1.0))
    levels = [_in_band(hz, values, band) for band in bands]
    if ranges_db_spl is not None:
        levels = [None if own is None else float(given) for own, given in zip(levels, ranges_db_spl, strict=True)]
    return FricativeBands(
        band_hz=bands,
        level_db_spl=tuple(levels),
        edge_hz=edge,
        edge_low_hz=low,
        edge_high_hz=high,
    )


def _in_band(hz: FloatArray, level_db: FloatArray, band_hz: tuple[float, float]) -> float | None:
    low, high = band_edges_hz(hz, 3)
    inside = np.log(np.minimum(high, band_hz[1])) - np.log(np.maximum(low, band_hz[0]))
    share = np.clip(inside / np.log(high / low), 0.0, 1.0)
    covered = share.sum() / (10 * np.log10(band_hz[1] / band_hz[0]))
    if covered < 0.5:
        return None
    return float(10 * np.log10(np.sum(share * 10 ** (level_db / 10))))


def frequency_lowering(
    before: Level,
    before_conditions: Conditions,
    after: Level,
    after_conditions: Conditions,
    *,
    ranges_db_spl: tuple[FloatArray, FloatArray] | None = None,
) -> Lowering:
    """Compare a fricative, or a high band of noise, without and with frequency lowering.

    Parameters
    ----------
    before : Level
        Third-octave levels with lowering off. [dB SPL]
    before_conditions : Conditions
        How they were taken.
    after : Level
        The same with lowering on. [dB SPL]
    after_conditions : Conditions
        How they were taken.
    ranges_db_spl : tuple of two array (4,), optional
        Levels of both between :func:`fricative_edges_hz`. [dB SPL]

    Returns
    -------
    Lowering
        Lowered if the upper spectral edge moves down by a third octave or more, or if the highest band the coupler
        shows falls by 6 dB or more while the lowest does not fall.

    Raises
    ------
    InputError
        If too few points can be used.
    CombinationError
        If the two are not comparable.
    """
    change = after.above(before, quantity="change by frequency lowering")
    ranges = (None, None) if ranges_db_spl is None else ranges_db_spl
    one = fricative_bands(before, ranges_db_spl=ranges[0])
    two = fricative_bands(after, ranges_db_spl=ranges[1])
    shift = float(10 * np.log10(one.edge_hz / two.edge_hz))
    u = 5 * np.hypot(np.log10(one.edge_high_hz / one.edge_low_hz), np.log10(two.edge_high_hz / two.edge_low_hz))
    judged = judge_between(shift, float(u), constant("lowering_edge_shift"), None)
    fall, emptied = _fall(one, two)
    judged = Outcome.PASS if emptied else judged
    doubt = before_conditions.settings.why_not(Feature.FREQUENCY_LOWERING, Switch.OFF)
    doubt = doubt or after_conditions.settings.why_not(Feature.FREQUENCY_LOWERING, Switch.ON)
    if not doubt and judged is not Outcome.PASS and one.level_db_spl[-1] is None:
        doubt = "the coupler does not show where the sound was before"
    check = FeatureCheck(
        feature=Feature.FREQUENCY_LOWERING,
        check="lowering",
        value=shift,
        u=float(u),
        unit="1",
        outcome=judged,
        sentence=f"The upper spectral edge moves from {one.edge_hz:.0f} to {two.edge_hz:.0f} Hz{fall}.",
        action="Check that frequency lowering is enabled and begins below the sound that was used.",
        source=constant_source("lowering_edge_shift"),
        bands=change,
        conditions=(before_conditions, after_conditions),
    ).with_doubt(doubt)
    return Lowering(before=one, after=two, check=check, finding=_index_finding(after_conditions))


def _fall(before: FricativeBands, after: FricativeBands) -> tuple[str, bool]:
    """How far the highest band both show falls, as part of a sentence, and whether that is lowering by itself."""
    both = [
        (band, one, two)
        for band, one, two in zip(before.band_hz, before.level_db_spl, after.level_db_spl, strict=True)
        if one is not None and two is not None
    ]
    if len(both) < 2:
        return "", False
    (_, low_before, low_after), ((start, stop), high_before, high_after) = both[0], both[-1]
    fall = high_before - high_after
    phrase = f"; the band from {start / 1000:g} to {stop / 1000:g} kHz falls by {fall:.1f} dB"
    return phrase, fall >= constant("lowering_band_fall") and low_after >= low_before - 1.0


def _index_finding(conditions: Conditions) -> Finding | None:
    if conditions.settings.state(Feature.FREQUENCY_LOWERING) is not Switch.ON:
        return None
    text = "Frequency lowering is on: the speech intelligibility index does not hold."
    action = "Judge audibility of fricatives by their bands, and choose the weakest setting that makes /s/ audible."
    return Finding("index_with_lowering", Severity.INFO, text, action, "common practice, no source")
