"""Exponential sweeps: making one, and reading the sweep rate from any file that holds one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import ComplexArray, FloatArray

__all__ = ["SweepTiming", "exponential_sweep", "half_cosine", "sweep_timing", "timing_of_spectrum"]

#: Largest rms distance between group delay and the exponential law, as part of the sweep's duration;
#: assumed. [1]
_LARGEST_MISFIT = 0.05

#: Number of places on the frequency axis at which the group delay is read.
_PLACES = 2048


@dataclass(frozen=True, slots=True)
class SweepTiming:
    """When an exponential sweep passes which frequency: t(f) = start_s + rate_s ln(f / start_hz).

    Parameters
    ----------
    rate_s : float
        Sweep rate constant L: the time in which the frequency grows by a factor e. [s]
    start_s : float
        Time at which the sweep passes ``start_hz``. [s]
    start_hz, stop_hz : float
        The range within which the law was fitted. [Hz]
    misfit_s : float
        Rms distance of the file's group delay from the law, every part of an octave counting alike. [s]
    """

    rate_s: float
    start_s: float
    start_hz: float
    stop_hz: float
    misfit_s: float

    @property
    def duration_s(self) -> float:
        """Time from ``start_hz`` to ``stop_hz``. [s]"""
        return self.rate_s * float(np.log(self.stop_hz / self.start_hz))


def exponential_sweep(
    start_hz: float,
    stop_hz: float,
    duration_s: float,
    sampling_rate_hz: float,
    tail_s: float,
    *,
    amplitude: float = 0.5,
    fade_in_s: float = 0.02,
    fade_out_s: float = 0.002,
) -> FloatArray:
    r"""Make one period of an exponential sweep followed by silence.

    .. math:: s(t) = A \sin\left(2\pi f_1 L\,(e^{t/L} - 1)\right), \qquad L = T / \ln(f_2/f_1)

    Parameters
    ----------
    start_hz, stop_hz : float
        First and last frequency f1 and f2, 0 < start < stop <= half the sampling rate. [Hz]
    duration_s : float
        Duration T of the sweep. [s]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    tail_s : float
        Silence after the sweep, so that the response to its end has died away before the next period. [s]
    amplitude : float
        Peak, in parts of full scale. [1]
    fade_in_s, fade_out_s : float
        Half-cosine fades at both ends. [s]

    Returns
    -------
    array (n,)
        One period, full scale = 1. [1]

    Raises
    ------
    RecordingError
        If the frequencies do not ascend within half the sampling rate, or the fades fill the sweep.

    Notes
    -----
    Farina 2000, "Simultaneous measurement of impulse response and distortion with a swept-sine technique",
    108th AES Convention: the n-th harmonic's impulse response arrives L ln n before the linear one.
    """
    if not 0 < start_hz < stop_hz <= sampling_rate_hz / 2:
        raise RecordingError(
            "make an exponential sweep",
            f"{start_hz:g} Hz to {stop_hz:g} Hz does not ascend within half the rate of {sampling_rate_hz:g} Hz",
            "give a start above zero, below a stop of at most half the sampling rate",
        )
    if duration_s <= fade_in_s + fade_out_s or tail_s < 0:
        raise RecordingError(
            "make an exponential sweep",
            f"a duration of {duration_s:g} s leaves nothing between fades of {fade_in_s:g} s and {fade_out_s:g} s",
            "make the sweep longer or the fades shorter",
        )
    time_s = np.arange(round(duration_s * sampling_rate_hz)) / sampling_rate_hz
    rate_s = duration_s / np.log(stop_hz / start_hz)
    sweep = amplitude * np.sin(2 * np.pi * start_hz * rate_s * np.expm1(time_s / rate_s))
    rise = half_cosine(round(fade_in_s * sampling_rate_hz))
    fall = half_cosine(round(fade_out_s * sampling_rate_hz))[::-1]
    sweep[: rise.size] *= rise
    sweep[sweep.size - fall.size :] *= fall
    return np.concatenate([sweep, np.zeros(round(tail_s * sampling_rate_hz))])


def sweep_timing(stimulus: FloatArray, sampling_rate_hz: float, start_hz: float, stop_hz: float) -> SweepTiming:
    """Read the sweep rate constant from a stimulus file by fitting its group delay.

    Parameters
    ----------
    stimulus : array (n,)
        One period of the stimulus. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    start_hz, stop_hz : float
        Declared range of the sweep. [Hz]

    Returns
    -------
    SweepTiming
        Rate constant, starting time and misfit.

    Raises
    ------
    RecordingError
        If the file is not an exponential upward sweep over the declared range.
    """
    return timing_of_spectrum(np.fft.rfft(stimulus), stimulus.size, sampling_rate_hz, start_hz, stop_hz)


def timing_of_spectrum(
    spectrum: ComplexArray, size: int, sampling_rate_hz: float, start_hz: float, stop_hz: float
) -> SweepTiming:
    """Do the work of `sweep_timing` on a spectrum that is already there."""
    period_s, step_hz = size / sampling_rate_hz, sampling_rate_hz / size
    first, last = int(np.ceil(1.1 * start_hz / step_hz)), int(stop_hz / 1.1 / step_hz)
    if first < 1 or last - first < 16 or last + 1 >= spectrum.size:
        raise _not_a_sweep(start_hz, stop_hz, "it is too short for that range")
    bins = np.geomspace(first, last - 1, _PLACES).astype(np.intp)  # evenly over the octaves
    turn = np.angle(spectrum[bins + 1] * np.conj(spectrum[bins]))
    delay_s = np.mod(-turn, 2 * np.pi) / (2 * np.pi) * period_s
    octave = np.log((bins + 0.5) * step_hz / start_hz)
    inner = slice(_PLACES // 5, -_PLACES // 5)
    slope, offset = _line(octave[inner], delay_s[inner])
    for _ in range(2):  # delays are known modulo one period: take the turn nearest to the line
        delay_s -= period_s * np.round((delay_s - offset - slope * octave) / period_s)
        slope, offset = _line(octave, delay_s)
    misfit_s = float(np.sqrt(np.mean((delay_s - offset - slope * octave) ** 2)))
    timing = SweepTiming(slope, offset, start_hz, stop_hz, misfit_s)
    if slope <= 0 or misfit_s > _LARGEST_MISFIT * timing.duration_s or timing.duration_s > 1.1 * period_s:
        raise _not_a_sweep(start_hz, stop_hz, "its group delay does not grow with the logarithm of frequency")
    return timing


def _line(x: FloatArray, y: FloatArray) -> tuple[float, float]:
    """Slope and offset of the least-squares line, without a linear-algebra library and its threads."""
    x_mean, y_mean = float(x.mean()), float(y.mean())
    away = x - x_mean
    slope = float(np.sum(away * (y - y_mean)) / np.sum(away * away))
    return slope, y_mean - slope * x_mean


def half_cosine(size: int) -> FloatArray:
    """Rise from 0 to 1 as half a cosine, without its end points."""
    return 0.5 - 0.5 * np.cos(np.pi * (np.arange(size) + 0.5) / max(size, 1))


def _not_a_sweep(start_hz: float, stop_hz: float, why: str) -> RecordingError:
    return RecordingError(
        "analyse a sweep recording",
        f"the stimulus file is not an exponential sweep from {start_hz:g} Hz to {stop_hz:g} Hz: {why}",
        "check its start_hz and stop_hz, or name its right kind",
    )
