"""A sweep's response and its harmonics in fractional-octave bands, noise taken out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.dsp._bands import band_coverage, band_edges_hz, band_mean_power
from umbo.dsp._noise import NoiseCorrected, subtract_noise_power

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from umbo.dsp._arrays import BoolArray, FloatArray
    from umbo.dsp._response import SweepResponse

__all__ = ["HarmonicBands", "harmonic_bands", "response_bands"]


@dataclass(frozen=True, slots=True, eq=False)
class HarmonicBands:
    """Harmonics 2 to h + 1 in bands of the frequency that excites them.

    Parameters
    ----------
    ratio : array (h, m)
        Power of each harmonic re fundamental, noise taken out of both; a bound where not detected, 0
        where not valid. [1]
    u_db : array (h, m)
        Standard uncertainty of the ratio as a level; 0 where noise is unknown. [dB]
    detected : array (h, m)
        Whether the harmonic stands above noise.
    valid : array (h, m)
        Whether the harmonic's own band lies within the sweep.
    """

    ratio: FloatArray
    u_db: FloatArray
    detected: BoolArray
    valid: BoolArray


def response_bands(response: SweepResponse, centre_hz: ArrayLike, fraction: int) -> NoiseCorrected:
    """Power of the linear response in fractional-octave bands, noise taken out.

    Parameters
    ----------
    response : SweepResponse
        Response with its noise.
    centre_hz : array (m,)
        Centres of the bands. [Hz]
    fraction : int
        Bands per octave. [1]

    Returns
    -------
    NoiseCorrected
        Arrays (m,). Without a second repeat the noise is unknown: it then counts as zero, and
        ``noise_power`` of the response says None.

    Raises
    ------
    OutOfRangeError
        If the response does not cover a band.
    """
    power = np.abs(response.response) ** 2
    return _corrected(response, power, response.noise_power, centre_hz, fraction, 0)


def harmonic_bands(response: SweepResponse, centre_hz: ArrayLike, fraction: int) -> HarmonicBands:
    """Power of the harmonics re fundamental in bands of the exciting frequency.

    Parameters
    ----------
    response : SweepResponse
        Response with its harmonics.
    centre_hz : array (m,)
        Centres of the bands of excitation. [Hz]
    fraction : int
        Bands per octave. [1]

    Returns
    -------
    HarmonicBands
        Harmonics 2 to h + 1.

    Raises
    ------
    OutOfRangeError
        If the response does not cover a band.
    """
    centre = np.atleast_1d(np.asarray(centre_hz, dtype=np.float64))
    linear = response_bands(response, centre, fraction)
    shape = (response.harmonic_power.shape[0], centre.size)
    ratio, u_db = np.zeros(shape), np.zeros(shape)
    detected, valid = np.zeros(shape, dtype=np.bool_), np.zeros(shape, dtype=np.bool_)
    for row in range(shape[0]):
        reach = response.harmonic_valid[row]
        inside = band_coverage(response.frequency_hz[reach], centre, fraction) >= 1 if reach.sum() > 1 else valid[row]
        noise = None if response.harmonic_noise_power is None else response.harmonic_noise_power[row]
        part = _corrected(response, response.harmonic_power[row], noise, centre[inside], fraction, row + 1)
        valid[row] = inside
        ratio[row, inside] = part.power / linear.power[inside]
        u_db[row, inside] = np.hypot(part.u_db, linear.u_db[inside])
        detected[row, inside] = part.detected
    return HarmonicBands(ratio, u_db, detected, valid)


def _corrected(
    response: SweepResponse,
    power: FloatArray,
    noise_power: FloatArray | None,
    centre_hz: ArrayLike,
    fraction: int,
    row: int,
) -> NoiseCorrected:
    """Band means of power and noise, one taken from the other."""
    low, high = band_edges_hz(centre_hz, fraction)
    bins = np.maximum((high - low) * response.independent_per_hz[row], 1.0)
    measured = band_mean_power(response.frequency_hz, power, centre_hz, fraction)
    if noise_power is None:
        return subtract_noise_power(measured, 0.0, independent_bins=bins, noise_dof=1.0)
    noise = band_mean_power(response.frequency_hz, noise_power, centre_hz, fraction)
    dof = 2 * bins * (response.repeats_used - 1)
    return subtract_noise_power(measured, noise, independent_bins=bins, noise_dof=dof)
