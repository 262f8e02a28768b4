"""Level and harmonics of a steady tone of known frequency."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import RecordingError

if TYPE_CHECKING:
    from umbo.dsp._arrays import FloatArray

__all__ = ["ToneLevel", "tone_level"]


@dataclass(frozen=True, slots=True, eq=False)
class ToneLevel:
    """A tone, its harmonics, and what is left.

    Parameters
    ----------
    amplitude : array (..., h)
        Peak amplitude of the fundamental and of harmonics 2 to h. [as samples]
    phase_rad : array (..., h)
        Phase of each as a cosine at the first sample. [rad]
    residual_power : array (...)
        Mean square of what is neither tone, harmonic nor constant. [square of samples]
    amplitude_u : array (...)
        Standard uncertainty of every amplitude if the residual is white noise. [as samples]
    """

    amplitude: FloatArray
    phase_rad: FloatArray
    residual_power: FloatArray
    amplitude_u: FloatArray

    @property
    def distortion(self) -> FloatArray:
        """Total harmonic distortion: root sum square of the harmonics over the fundamental. [1]"""
        rest: FloatArray = np.sqrt(np.sum(self.amplitude[..., 1:] ** 2, axis=-1)) / self.amplitude[..., 0]
        return rest


def tone_level(samples: FloatArray, sampling_rate_hz: float, frequency_hz: float, *, n_harmonics: int = 5) -> ToneLevel:
    r"""Fit a tone of known frequency, its harmonics and a constant by least squares.

    .. math:: x(t) = c + \sum_{n=1}^{h} \left(a_n \cos 2\pi n f t + b_n \sin 2\pi n f t\right)

    Parameters
    ----------
    samples : array (..., n)
        Steady part of a recording. [1]
    sampling_rate_hz : float
        Sampling rate. [Hz]
    frequency_hz : float
        Frequency of the fundamental. [Hz]
    n_harmonics : int
        Highest harmonic wanted; those at or above half the sampling rate are left out. [1]

    Returns
    -------
    ToneLevel
        Amplitudes, phases, residual. Exact for any number of cycles, unlike a windowed bin.

    Raises
    ------
    RecordingError
        If the fundamental lies outside the band, or the recording holds fewer than two cycles.
    """
    length = samples.shape[-1]
    if not 0 < frequency_hz < sampling_rate_hz / 2 or length * frequency_hz < 2 * sampling_rate_hz:
        raise RecordingError(
            f"read the level of a tone at {frequency_hz:g} Hz",
            f"{length} samples at {sampling_rate_hz:g} Hz hold fewer than two cycles of it, or too few samples a cycle",
            "record longer, or check the frequency",
        )
    count = min(n_harmonics, int(np.ceil(sampling_rate_hz / 2 / frequency_hz)) - 1)
    angle = 2 * np.pi * frequency_hz / sampling_rate_hz * np.outer(np.arange(length), np.arange(1, count + 1))
    design = np.concatenate([np.cos(angle), np.sin(angle), np.ones((length, 1))], axis=1)
    rows = samples.reshape(-1, length)
    solution = np.linalg.solve(design.T @ design, design.T @ rows.T)  # columns nearly orthogonal: well conditioned
    residual = rows.T - design @ solution
    power = np.sum(residual**2, axis=0) / max(length - design.shape[1], 1)
    value = (solution[:count] - 1j * solution[count : 2 * count]).T.reshape(*samples.shape[:-1], count)
    residual_power = power.reshape(samples.shape[:-1])
    return ToneLevel(np.abs(value), np.angle(value), residual_power, np.sqrt(2 * residual_power / length))
