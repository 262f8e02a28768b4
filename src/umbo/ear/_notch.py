"""Distance from the probe tip to the eardrum, from the notch its standing wave cuts into the ear curve."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.acoustics import EAR_AIR
from umbo.core import BoolArray, CouplerKind, FloatArray
from umbo.ear._expected import adult_recd_row

if TYPE_CHECKING:
    from umbo.core import Level

__all__ = ["NotchEstimate", "distance_from_notch", "notch_of"]

#: Distance over that of a straight canal: a canal that narrows towards the drum has its notch higher up. Found with
#: six scanned canals and with virtual ears: a straight canal's formula reads 8 to 12 mm too near by 11 to 16 %. [1]
NARROWING = 1.15

#: Standard uncertainty of the acoustic estimate: within ±2 mm in 30 of 32 (Chan & Geisler 1990, abstract read), read
#: as k = 2; far from the drum the narrowing of this canal against the mean one: the scanned canals and virtual ears
#: scatter by 0.7 mm at 8 to 12 mm and by 1.2 mm at 15 mm. [mm], [1]
NOTCH_U_MM, NARROWING_U = 1.0, 0.08

#: A tip this near to the drum may show no notch that could be told (see Notes of :func:`distance_from_notch`). [mm]
UNSEEN_MM = 10.0

#: Lowest frequency looked at: a tip farther than about 25 mm from the drum is outside the ear (assumed). [Hz]
_LOWEST_HZ = 4000.0

#: Where the shoulders of a notch are looked for, and where its flanks have to have risen (engineering
#: judgement). [octave]
_SHOULDER_OCTAVES, _FLANK_OCTAVES = 0.7, 1 / 6

#: A notch lies this far below what the ear would give at the drum; the valley between two half-wave peaks of a long
#: canal comes down to about the expected level only (engineering judgement, tested on scanned canals). [dB]
_BELOW_EXPECTED_DB = 9.0

#: Where it is seen whether the whole RECD lies low, as with a blocked probe or a wrong label. [Hz]
_WHOLE_HZ = (500.0, 3000.0)

#: Couplers whose own response is smooth up to 16 kHz, so that a dip of the RECD is the ear's.
_SMOOTH = (CouplerKind.HA1, CouplerKind.CC04)


@dataclass(frozen=True, slots=True)
class NotchRule:
    """How deep and how sharp a notch has to be (engineering judgement, tested on scanned canals and virtual ears).

    Parameters
    ----------
    depth_db : float
        Below the higher of the two shoulders within 0.7 octave, the lower one counting. [dB]
    rise_db : float
        Rise of both flanks within a sixth of an octave: a notch is sharp, a valley between resonances is not. [dB]
    """

    depth_db: float
    rise_db: float


IN_RECD, IN_EAR, ALONE = NotchRule(6.0, 1.5), NotchRule(3.0, -np.inf), NotchRule(6.0, 6.0)


@dataclass(frozen=True, slots=True)
class NotchEstimate:
    """Where the tip is, as far as the ear curve says.

    Parameters
    ----------
    notch_hz : float or None
        Deepest notch; none was found if None. [Hz]
    distance_mm : float
        Estimated distance, or half the largest distance possible without a notch. [mm]
    u_mm : float
        Standard uncertainty. [mm]
    """

    notch_hz: float | None
    distance_mm: float
    u_mm: float


def notch_of(ear_level: Level, coupler_level: Level | None) -> NotchEstimate:
    """Estimate from an ear reading, with the coupler reading of the same source where one is to be had.

    A notch has to stand in the RECD, out of which the source has dropped, and to be visible in the ear curve itself, in
    which the coupler has no part. Re a coupler with resonances of its own it has to be deep and sharp in both.

    Parameters
    ----------
    ear_level : Level
        At the probe tip, on a fractional-octave grid. [dB SPL]
    coupler_level : Level or None
        In the coupler, on the same grid. [dB SPL]
    """
    frequency_hz, usable = ear_level.frequency_hz, ear_level.states.is_usable
    ear_db = ear_level.level_db
    kind = coupler_level.plane.detail if coupler_level is not None else None
    if coupler_level is None or not isinstance(kind, CouplerKind):
        return distance_from_notch(frequency_hz, ear_db, usable, rule=ALONE)
    recd_db = ear_db - coupler_level.level_db
    in_recd, in_ear = (IN_RECD, IN_EAR) if kind in _SMOOTH else (ALONE, ALONE)
    candidate = is_notch(frequency_hz, ear_db, usable, in_ear)
    if kind is not CouplerKind.HA4:
        candidate &= _is_low(frequency_hz, recd_db - adult_recd_row(kind, frequency_hz), usable)
    return distance_from_notch(frequency_hz, recd_db, usable, rule=in_recd, candidate=candidate)


def _is_low(frequency_hz: FloatArray, off_db: FloatArray, usable: BoolArray) -> BoolArray:
    """Which points lie low against the adult row and against the rest of the curve."""
    whole = usable & (frequency_hz >= _WHOLE_HZ[0]) & (frequency_hz <= _WHOLE_HZ[1])
    rest_db = min(float(np.median(off_db[whole])), 0.0) if whole.any() else 0.0
    return np.asarray(off_db < rest_db - _BELOW_EXPECTED_DB)


def distance_from_notch(
    frequency_hz: FloatArray,
    curve_db: FloatArray,
    usable: BoolArray,
    *,
    rule: NotchRule = IN_RECD,
    candidate: BoolArray | None = None,
) -> NotchEstimate:
    r"""Estimate the distance from probe tip to eardrum.

    In front of a rigid drum a straight canal has its first pressure null a quarter wave away; in a canal that narrows
    towards the drum the null stands higher by a factor q, so

    .. math:: d = q\,\frac{c}{4 f_n}, \quad q = 1.15 \qquad (1)

    Without a notch, d lies between zero and 10 mm, or the distance whose notch would stand at the highest usable
    frequency where that is further; a rectangular distribution is taken (JCGM 100 clause 4.3.7). 10 mm and not less,
    because a real drum and a tip half way down the canal can hide a notch: with virtual ears and scanned canals 4 to
    20 % of the tips at 8 to 15 mm show none.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    curve_db : array (n,)
        Ear curve relative to a smooth reference: an RECD, or an ear level where none is to be had. [dB]
    usable : array (n,), bool
        Which points were measured.
    rule : NotchRule
        How deep and sharp a notch has to be.
    candidate : array (n,), bool, optional
        Where a notch may stand at all.

    Returns
    -------
    NotchEstimate
        Distance and its standard uncertainty. [mm]

    Notes
    -----
    The notch is placed between the points of the grid by a parabola. Real drums are not rigid, which makes the notch
    shallow more than it moves it. A notch that falls on the half-wave resonance of the canal left beyond the tip, a
    probe half way down, is filled by it and cannot be seen.

    References
    ----------
    Chan, J. C. K. & Geisler, C. D. (1990), J. Acoust. Soc. Am. 87, 1237 (abstract read), for the uncertainty.
    """
    found = is_notch(frequency_hz, curve_db, usable, rule)
    if candidate is not None:
        found &= candidate
    wave_mm = NARROWING * 1000.0 * EAR_AIR.sound_speed_m_s / 4.0
    if found.any():
        best = int(np.argmin(np.where(found, curve_db - _shoulders_db(frequency_hz, curve_db, usable), np.inf)))
        notch_hz = _between_points(frequency_hz, curve_db, best)
        distance_mm = wave_mm / notch_hz  # Eq. (1)
        return NotchEstimate(notch_hz, distance_mm, max(NOTCH_U_MM, NARROWING_U * distance_mm))
    highest_hz = float(frequency_hz[usable].max(initial=_LOWEST_HZ))
    largest_mm = max(wave_mm / highest_hz, UNSEEN_MM)  # Eq. (1)
    return NotchEstimate(None, largest_mm / 2, largest_mm / np.sqrt(12))


def is_notch(frequency_hz: FloatArray, curve_db: FloatArray, usable: BoolArray, rule: NotchRule) -> BoolArray:
    """Which points are deep and sharp enough for a notch.

    Parameters
    ----------
    frequency_hz, curve_db : array (n,)
        The curve. [Hz], [dB]
    usable : array (n,), bool
        Which points were measured.
    rule : NotchRule
        How deep and sharp.
    """
    depth_db = _shoulders_db(frequency_hz, curve_db, usable) - curve_db
    rise_db = _shoulders_db(frequency_hz, curve_db, usable, _FLANK_OCTAVES) - curve_db
    deep = (depth_db >= rule.depth_db) & (rise_db >= rule.rise_db)
    return np.asarray(deep & usable & (frequency_hz >= _LOWEST_HZ))


def _shoulders_db(
    frequency_hz: FloatArray, curve_db: FloatArray, usable: BoolArray, octaves: float = _SHOULDER_OCTAVES
) -> FloatArray:
    """Lower of the highest levels on either side of each point; minus infinity where a side is missing. [dB]"""
    apart = np.log2(frequency_hz) - np.log2(frequency_hz)[:, np.newaxis]
    within = usable & (np.abs(apart) <= octaves * (1 + 1e-9))
    below = np.where(within & (apart < 0), curve_db, -np.inf).max(axis=1)
    above = np.where(within & (apart > 0), curve_db, -np.inf).max(axis=1)
    return np.asarray(np.minimum(below, above))


def _between_points(frequency_hz: FloatArray, curve_db: FloatArray, index: int) -> float:
    """Lowest point of the parabola through a point and its neighbours, over the logarithm of frequency. [Hz]"""
    if not 0 < index < frequency_hz.size - 1:
        return float(frequency_hz[index])
    left, here, right = curve_db[index - 1 : index + 2]
    bend = left - 2 * here + right
    shift = float(np.clip(0.5 * (left - right) / bend, -0.5, 0.5)) if bend > 0 else 0.0
    step = np.log(frequency_hz[index + 1] / frequency_hz[index - 1]) / 2
    return float(frequency_hz[index] * np.exp(shift * step))
