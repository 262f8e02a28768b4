"""Fractional-octave bands on a spectrum: exact base-10 centres and edges, and power averaged over a band."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.dsp._arrays import FloatArray

__all__ = [
    "band_centres_hz",
    "band_coverage",
    "band_edges_hz",
    "band_mean_power",
]

#: Octave ratio G of the base-10 system, IEC 61260-1:2014 formula (1).
_OCTAVE = 10**0.3
#: Smallest part of a band that must be covered, less rounding.
_ROUNDING = 1e-9


def band_centres_hz(low_hz: float, high_hz: float, fraction: int) -> FloatArray:
    """Exact centre frequencies of base-10 1/fraction-octave bands around 1 kHz.

    Parameters
    ----------
    low_hz, high_hz : float
        Nominal first and last centre; the nearest exact ones are taken. [Hz]
    fraction : int
        Bands per octave: 3 or 12, any integer that divides the decade evenly with 1 kHz on a centre. [1]

    Returns
    -------
    array (m,)
        1000 G^(k/fraction), G = 10^0.3. [Hz]

    Notes
    -----
    IEC 61260-1:2014 formulae (2) for odd fractions. For even fractions the standard sets the centres half
    a band away from 1 kHz (formula (3)); here 1 kHz stays a centre for every fraction, so that a
    twelfth-octave grid holds the third-octave one.
    """
    first, last = (round(fraction * np.log10(hz / 1000.0) / 0.3) for hz in (low_hz, high_hz))
    centres: FloatArray = 1000.0 * _OCTAVE ** (np.arange(first, last + 1) / fraction)
    return centres


def band_edges_hz(centre_hz: ArrayLike, fraction: int) -> tuple[FloatArray, FloatArray]:
    """Edges of 1/fraction-octave bands, centre × G^(∓1/(2 fraction)): IEC 61260-1:2014 (4), (5).

    Parameters
    ----------
    centre_hz : array (m,)
        Centres. [Hz]
    fraction : int
        Bands per octave. [1]

    Returns
    -------
    low_hz, high_hz : array (m,)
        Lower and upper edges. [Hz]
    """
    centre = np.asarray(centre_hz, dtype=np.float64)
    half = _OCTAVE ** (0.5 / fraction)
    return centre / half, centre * half


def band_coverage(frequency_hz: FloatArray, centre_hz: ArrayLike, fraction: int) -> FloatArray:
    """Part of each band that a spectrum covers.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies of the spectrum, ascending. [Hz]
    centre_hz : array (m,)
        Centres of the bands. [Hz]
    fraction : int
        Bands per octave. [1]

    Returns
    -------
    array (m,)
        1 where the whole band is covered, 0 where none of it is. [1]
    """
    low, high = band_edges_hz(centre_hz, fraction)
    edge = _bin_edges(frequency_hz)
    covered: FloatArray = np.clip((np.minimum(high, edge[-1]) - np.maximum(low, edge[0])) / (high - low), 0, 1)
    return covered


def band_mean_power(frequency_hz: FloatArray, power: FloatArray, centre_hz: ArrayLike, fraction: int) -> FloatArray:
    r"""Average a power over 1/fraction-octave bands, every hertz of the band counting alike.

    .. math:: \bar P(f_c) = \frac{1}{f_2 - f_1} \int_{f_1}^{f_2} P(f)\,df

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies, ascending. [Hz]
    power : array (..., n)
        Power at these frequencies, for example abs(response)². [any]
    centre_hz : array (m,)
        Centres of the bands. [Hz]
    fraction : int
        Bands per octave. [1]

    Returns
    -------
    array (..., m)
        Mean power in each band. [as power]

    Raises
    ------
    OutOfRangeError
        If a band is not wholly covered by the frequencies; ask `band_coverage` first.

    Notes
    -----
    The spectrum is taken as constant between the midpoints of its frequencies, and the integral over the
    band is then exact: fractions of bins count as such, so that a band narrower than a bin has the bin's
    value.

    For a transfer the power is that of the *response* (recording over stimulus), so the band value is
    what white noise in that band would give, whatever the spectrum of the sweep. Averaging the recorded
    spectrum instead weights the lower end of the band by the sweep's 1/f; on resonances this differs by
    up to 0.1 dB in a twelfth octave.
    """
    covered = band_coverage(frequency_hz, centre_hz, fraction)
    if covered.min(initial=1.0) < 1 - _ROUNDING:
        worst = np.atleast_1d(centre_hz)[int(np.argmin(covered))]
        raise OutOfRangeError(
            f"average over the 1/{fraction} octave at {worst:.0f} Hz",
            f"the spectrum runs from {frequency_hz[0]:.0f} Hz to {frequency_hz[-1]:.0f} Hz",
            "leave that band out or measure over a wider range",
        )
    low, high = band_edges_hz(centre_hz, fraction)
    edge = _bin_edges(frequency_hz)
    total = np.zeros((*power.shape[:-1], edge.size))
    np.cumsum(power * np.diff(edge), axis=-1, out=total[..., 1:])
    return (_at(high, edge, total) - _at(low, edge, total)) / (high - low)


def _bin_edges(frequency_hz: FloatArray) -> FloatArray:
    """Midpoints of the frequencies, and as far outside the first and last one."""
    middle = 0.5 * (frequency_hz[1:] + frequency_hz[:-1])
    outer = 2 * frequency_hz[[0, -1]] - middle[[0, -1]]
    return np.concatenate([outer[:1], middle, outer[1:]])


def _at(wanted: FloatArray, edge: FloatArray, total: FloatArray) -> FloatArray:
    """Straight-line interpolation along the last axis."""
    place = np.clip(np.searchsorted(edge, wanted, side="right") - 1, 0, edge.size - 2)
    part = (wanted - edge[place]) / (edge[place + 1] - edge[place])
    value: FloatArray = total[..., place] * (1 - part) + total[..., place + 1] * part
    return value
