"""Distance from the probe tip to the eardrum, from the notch its standing wave cuts into the ear curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import BoolArray, FloatArray

__all__ = ["SOUND_SPEED_CANAL_M_S", "NotchEstimate", "distance_from_notch"]

#: Sound speed in air at 34 °C, the ear canal's temperature in PHYSICS 1: 331.3 sqrt(1 + 34/273.15). [m/s]
SOUND_SPEED_CANAL_M_S = 351.3

#: A notch must be at least this deep below both shoulders (engineering judgement). [dB]
NOTCH_DEPTH_DB = 6.0

#: Standard uncertainty of the acoustic estimate: within ±2 mm in 30 of 32 (Chan & Geisler 1990), read as k = 2. [mm]
NOTCH_U_MM = 1.0

_LOWEST_HZ, _SHOULDER_OCTAVES = 2500.0, 0.7


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


def distance_from_notch(frequency_hz: FloatArray, curve_db: FloatArray, usable: BoolArray) -> NotchEstimate:
    r"""Estimate the distance from probe tip to eardrum.

    A rigid drum at distance d cuts a quarter-wave notch at :math:`f_n = c / 4d`, so

    .. math:: d = c / (4 f_n) \qquad (1)

    Without a notch up to the highest usable frequency, d lies between zero and the distance whose notch would stand
    there; a rectangular distribution is taken (JCGM 100 clause 4.3.7).

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies. [Hz]
    curve_db : array (n,)
        Ear curve relative to a smooth reference: an RECD, or an ear level where none is to be had. [dB]
    usable : array (n,), bool
        Which points were measured.

    Returns
    -------
    NotchEstimate
        Distance and its standard uncertainty. [mm]

    References
    ----------
    Chan & Geisler 1990 (abstract read) for the uncertainty; JOB F12 for the relation.
    """
    octave = np.log2(frequency_hz)
    depth = np.zeros(frequency_hz.size)
    candidates = np.flatnonzero(usable & (frequency_hz >= _LOWEST_HZ))
    for i in candidates:
        below = usable & (octave < octave[i]) & (octave >= octave[i] - _SHOULDER_OCTAVES)
        above = usable & (octave > octave[i]) & (octave <= octave[i] + _SHOULDER_OCTAVES)
        if below.any() and above.any():
            depth[i] = min(curve_db[below].max(), curve_db[above].max()) - curve_db[i]
    best = int(np.argmax(depth))
    if depth[best] >= NOTCH_DEPTH_DB:
        notch = float(frequency_hz[best])
        return NotchEstimate(notch, 1000 * SOUND_SPEED_CANAL_M_S / (4 * notch), NOTCH_U_MM)  # Eq. (1)
    highest = float(frequency_hz[usable].max()) if usable.any() else _LOWEST_HZ
    largest = 1000 * SOUND_SPEED_CANAL_M_S / (4 * highest)  # Eq. (1)
    return NotchEstimate(None, largest / 2, largest / np.sqrt(12))
