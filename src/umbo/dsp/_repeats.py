"""Repeats of one period: cut apart, their noise, and whether the first one is like the others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo.dsp._variance_ratio import chance_of_ratio
from umbo.errors import RecordingError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from umbo.dsp._arrays import BoolArray, ComplexArray, FloatArray

__all__ = [
    "FirstPeriod",
    "FirstPeriodRule",
    "judge_first_period",
    "noise_from_repeats",
    "split_repeats",
    "used_repeats",
]

#: What to do with the first of at least three periods: leave it out if it disagrees, keep it, leave it out.
FirstPeriodRule = Literal["test", "keep", "leave_out"]

#: Chance of leaving out a first period that is like the others; assumed. [1]
_FALSE_ALARM = 1e-3
#: A first period nearer to the others than this, power re theirs, is kept whatever the noise: -120 dB;
#: assumed. [1]
_NEGLIGIBLE = 1e-12
#: A distance whose power is less than twice what noise explains is kept: leaving the period out costs
#: more; assumed. [1]
_MATERIAL = 2.0
#: Fewest periods with which the first can be tested: two others show the noise.
_FEWEST = 3


@dataclass(frozen=True, slots=True)
class FirstPeriod:
    """Whether the first period is like the others.

    Parameters
    ----------
    tested : bool
        Whether it could be tested: this takes at least three periods.
    agrees : bool
        Whether it agrees with the others within their noise; true when not tested.
    excess_db : float
        Largest band-wise ratio of its squared distance from the others' mean to what their noise explains;
        0 when not tested. [dB]
    chance : float
        How often chance alone reaches that ratio in any band; 1 when not tested. [1]
    """

    tested: bool
    agrees: bool
    excess_db: float
    chance: float


def split_repeats(samples: FloatArray, period: int, repeats: int) -> FloatArray:
    """Cut a recording into its back-to-back periods, the first starting at sample 0.

    Parameters
    ----------
    samples : array (..., n)
        Recording. [1]
    period : int
        Length of one period. [samples]
    repeats : int
        Number of periods in the file. [1]

    Returns
    -------
    array (..., repeats, period)
        A view where possible. [1]

    Raises
    ------
    RecordingError
        If the recording is not exactly that long.
    """
    length = samples.shape[-1]
    if repeats < 1 or period < 1 or length != repeats * period:
        raise RecordingError(
            f"cut a recording into {repeats} repeats of {period} samples",
            f"the recording has {length} samples, {length - repeats * period:+d} against {repeats} × {period}",
            "correct the number of repeats, or take the recording again with the stimulus file's sampling rate",
        )
    return samples.reshape(*samples.shape[:-1], repeats, period)


def noise_from_repeats(repeats: ComplexArray | FloatArray) -> FloatArray:
    """Noise power of a single repeat, from the differences between repeats.

    Parameters
    ----------
    repeats : array (R, ...)
        The same quantity in R >= 2 repeats, noise independent from one to the next. [any]

    Returns
    -------
    array (...)
        Sample variance over repeats: an unbiased estimate of the noise power of one repeat, with R - 1
        degrees of freedom (2 (R - 1) for complex values). The noise power of the mean is 1/R of it.
        [square of repeats]

    Raises
    ------
    RecordingError
        If there is only one repeat.

    Notes
    -----
    Also right when a compressor sets the gain, where a recording of silence is not: the gain is the same
    in every repeat, but rises in silence.
    """
    count = repeats.shape[0]
    if count < 2:
        raise RecordingError(
            "take the noise from the difference of repeats",
            "the recording holds one repeat and two are needed",
            "record at least two repeats of the stimulus",
        )
    residual = repeats - repeats.mean(axis=0)
    power: FloatArray = np.sum(residual.real**2 + residual.imag**2, axis=0) / (count - 1)
    return power


def judge_first_period(spectra: ComplexArray, first_bin: int, step_hz: float, effective_s: float) -> FirstPeriod:
    """Test whether the first of R spectra agrees with the others, third octave by third octave.

    Parameters
    ----------
    spectra : array (R, n)
        Spectra of the R periods on equally spaced bins. [any]
    first_bin : int
        Number of the first of these bins, at least 1.
    step_hz : float
        Distance of the bins. [Hz]
    effective_s : float
        Independent bins per hertz. [s]

    Returns
    -------
    FirstPeriod
        The outcome.

    Notes
    -----
    For each band, |Y₁ - mean of the others|² over (1 + 1/(R - 1)) times their sample variance follows F with
    (2K, 2K(R - 2)) degrees of freedom for K independent bins of Gaussian noise. The smallest probability,
    times the number of bands, is compared with 0.001; bands in which the ratio is below 2 count as
    agreeing.
    """
    count = spectra.shape[0]
    if count < _FEWEST:
        return FirstPeriod(tested=False, agrees=True, excess_db=0.0, chance=1.0)
    mean, noise = spectra[1:].mean(axis=0), noise_from_repeats(spectra[1:])
    edges = _third_octave_bins(first_bin, first_bin + mean.size)
    apart = np.add.reduceat(np.abs(spectra[0] - mean) ** 2, edges[:-1])
    expected = np.add.reduceat(noise, edges[:-1]) * (1 + 1 / (count - 1))
    signal = np.add.reduceat(np.abs(mean) ** 2, edges[:-1])
    ratio = apart / np.maximum(expected, np.finfo(np.float64).tiny)
    bins = np.maximum(np.diff(edges) * step_hz * effective_s, 1.0)
    chance = np.ones(ratio.size)
    doubtful = (apart > _NEGLIGIBLE * signal) & (ratio > _MATERIAL)
    if doubtful.any():
        upper, lower = 2 * bins[doubtful], 2 * bins[doubtful] * (count - 2)
        chance[doubtful] = chance_of_ratio(ratio[doubtful], upper, lower)
    worst = int(np.argmin(chance))
    overall = min(1.0, float(chance[worst]) * chance.size)
    excess_db = 10 * np.log10(max(float(ratio[worst]), np.finfo(np.float64).tiny))
    return FirstPeriod(tested=True, agrees=overall >= _FALSE_ALARM, excess_db=float(excess_db), chance=overall)


def used_repeats(count: int, outcome: FirstPeriod, rule: FirstPeriodRule) -> BoolArray:
    """Which of the repeats go into the mean: all, or all but the first of at least three."""
    used = np.ones(count, dtype=np.bool_)
    if count >= _FEWEST:
        used[0] = rule == "keep" or (rule == "test" and outcome.agrees)
    return used


def _third_octave_bins(first: int, stop: int) -> NDArray[np.intp]:
    """Offsets of third-octave edges from the first bin, and the number of bins."""
    count = max(1, int(10 * np.log10(stop / first)))
    edges = np.unique(np.round(np.geomspace(first, stop, count + 1)).astype(np.intp))
    return edges - first
