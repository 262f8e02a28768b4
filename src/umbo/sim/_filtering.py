"""Filtering by whole spectra: periodic, exact, and shared by nothing outside the virtual bench."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import fft
from scipy.interpolate import CubicSpline

from umbo.core import FloatArray

__all__ = [
    "BAND_EDGE_RATIOS",
    "BAND_RATIOS",
    "TWELFTH_OCTAVE_HZ",
    "ComplexArray",
    "band_mean_power",
    "band_power_of_samples",
    "bin_frequencies",
    "density_power",
    "design_frequencies",
    "filter_periodic",
    "spread_to_bins",
    "third_octave_edges_hz",
]

ComplexArray = NDArray[np.complex128]

#: Exact base-10 twelfth-octaves from 125 Hz to 16 kHz (85 points). [Hz]
TWELFTH_OCTAVE_HZ: FloatArray = 1000.0 * 10.0 ** (np.arange(-36, 49) / 40.0)
TWELFTH_OCTAVE_HZ.setflags(write=False)

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(9)

#: Lower and upper edge of a twelfth-octave band over its centre, 10^(±1/80) (IEC 61260-1). [1]
BAND_EDGE_RATIOS: tuple[float, float] = (10.0 ** (-1.0 / 80.0), 10.0 ** (1.0 / 80.0))

#: Frequencies inside a twelfth-octave band over its centre, at which a power response is sampled. [1]
BAND_RATIOS: FloatArray = np.asarray(
    0.5 * (sum(BAND_EDGE_RATIOS) + (BAND_EDGE_RATIOS[1] - BAND_EDGE_RATIOS[0]) * _NODES)
)
BAND_RATIOS.setflags(write=False)


def bin_frequencies(size: int, sampling_rate_hz: float) -> FloatArray:
    """Frequencies of the bins of a real transform of ``size`` samples. [Hz]"""
    return np.asarray(np.arange(size // 2 + 1) * (sampling_rate_hz / size))


def design_frequencies(top_hz: float = 24000.0) -> FloatArray:
    """Frequencies at which loads and sources are computed before they are spread to the bins of a transform.

    160 points evenly spaced on a logarithmic axis from 20 Hz to 1 kHz, then every 25 Hz: a delay of 1.5 ms (half a
    metre of tube) turns the phase by less than 14° from point to point, which a cubic spline follows.

    Parameters
    ----------
    top_hz : float
        Highest frequency. [Hz]

    Returns
    -------
    array (n,)
        Ascending frequencies from 20 Hz. [Hz]
    """
    return np.concatenate([np.geomspace(20.0, 1000.0, 160, endpoint=False), np.arange(1000.0, top_hz + 25.0, 25.0)])


def spread_to_bins(design_hz: FloatArray, values: ComplexArray, frequency_hz: FloatArray) -> ComplexArray:
    """Complex response on other frequencies, by a cubic spline; falling with f² below the first design frequency.

    Parameters
    ----------
    design_hz : array (n,)
        Frequencies of the values. [Hz]
    values : array (n,)
        Complex response.
    frequency_hz : array (m,)
        Frequencies wanted; none may lie above the last design frequency. [Hz]

    Returns
    -------
    array (m,)
        Complex response.
    """
    spline = CubicSpline(design_hz, np.column_stack([values.real, values.imag]))
    wanted = np.clip(frequency_hz, design_hz[0], design_hz[-1])
    real_imag = spline(wanted)
    response: ComplexArray = real_imag[:, 0] + 1j * real_imag[:, 1]
    below = frequency_hz < design_hz[0]
    response[below] *= (frequency_hz[below] / design_hz[0]) ** 2
    return response


def filter_periodic(samples: FloatArray, response: FloatArray | ComplexArray) -> FloatArray:
    """One period of the steady answer to a periodic signal.

    Parameters
    ----------
    samples : array (..., n)
        One period.
    response : array (n // 2 + 1,)
        Response at the bins of the period.

    Returns
    -------
    array (..., n)
        One period of the output.
    """
    return fft.irfft(fft.rfft(samples) * response, n=samples.shape[-1])


def band_mean_power(response_power: FloatArray) -> FloatArray:
    """Mean of a power response over each twelfth-octave band, every hertz weighing the same.

    Parameters
    ----------
    response_power : array (..., 85, 9)
        |H|² at ``TWELFTH_OCTAVE_HZ`` times ``BAND_RATIOS`` (the nodes of a Gauss-Legendre rule).

    Returns
    -------
    array (..., 85)
        ∫|H|² df over the band divided by its width.
    """
    return np.asarray(response_power @ (0.5 * _WEIGHTS))


def band_power_of_samples(samples: FloatArray, sampling_rate_hz: float) -> FloatArray:
    """Mean square of a periodic signal in each twelfth-octave band; a bin across an edge is shared by width.

    Parameters
    ----------
    samples : array (n,)
        One or more whole periods.
    sampling_rate_hz : float
        Samples a second. [Hz]

    Returns
    -------
    array (85,)
        Mean square in each band, in the square of the unit of the samples.
    """
    size = samples.shape[-1]
    power = np.abs(fft.rfft(samples)) ** 2 * (2.0 / size**2)
    cumulated = np.concatenate([[0.0], np.cumsum(power)])
    step = sampling_rate_hz / size
    bin_edges = (np.arange(power.size + 1) - 0.5) * step
    low = np.interp(TWELFTH_OCTAVE_HZ * BAND_EDGE_RATIOS[0], bin_edges, cumulated)
    high = np.interp(TWELFTH_OCTAVE_HZ * BAND_EDGE_RATIOS[1], bin_edges, cumulated)
    return np.asarray(high - low)


def third_octave_edges_hz(centre_hz: FloatArray) -> FloatArray:
    """Lower and upper edges of third-octaves (IEC 61260-1), shape (n, 2). [Hz]"""
    half = 10.0**0.05
    return np.stack([centre_hz / half, centre_hz * half], axis=-1)


def density_power(density_pa2: FloatArray, edges_hz: FloatArray) -> FloatArray:
    """Power in bands of a density on the twelfth-octave grid, none outside it.

    Parameters
    ----------
    density_pa2 : array (85,)
        Power density. [Pa²/Hz]
    edges_hz : array (n, 2)
        Lower and upper edge of each band. [Hz]

    Returns
    -------
    array (n,)
        Power. [Pa²]
    """
    borders_hz = np.append(TWELFTH_OCTAVE_HZ * BAND_EDGE_RATIOS[0], TWELFTH_OCTAVE_HZ[-1] * BAND_EDGE_RATIOS[1])
    up_to = np.append(0.0, np.cumsum(density_pa2 * np.diff(borders_hz)))
    return np.asarray(np.diff(np.interp(np.log(edges_hz), np.log(borders_hz), up_to), axis=-1)[..., 0])
