"""Stimuli the bench plays: what the file holds, and how loud it is at its place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from umbo.core import FloatArray
from umbo.errors import InputError

__all__ = [
    "REFERENCE_PA",
    "SAMPLING_RATE_HZ",
    "SWEEP_HZ",
    "Stimulus",
    "StimulusKind",
    "exponential_sweep",
    "level_db",
    "on_file_steps",
    "silence",
]

#: Sampling rate of the bench. [Hz]
SAMPLING_RATE_HZ = 48000.0

#: Reference sound pressure, 20 µPa. [Pa]
REFERENCE_PA = 20e-6

#: Ends of the sweep the bench plays. [Hz]
SWEEP_HZ = (80.0, 20000.0)

#: What a stimulus can be, in the words of a case file.
StimulusKind = Literal["exponential_sweep", "speech", "noise", "tones", "level_steps", "silence"]

_LSB = 2.0**-23


def level_db(mean_square_pa2: FloatArray | float) -> FloatArray:
    """Sound pressure level of a mean-square pressure. [dB re 20 µPa]"""
    return np.asarray(10.0 * np.log10(np.maximum(mean_square_pa2, 1e-30) / REFERENCE_PA**2))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stimulus:
    """One period of what is played.

    Attributes
    ----------
    kind : {"exponential_sweep", "speech", "noise", "tones", "level_steps", "silence"}
        What it is, in the words of a case file.
    samples_fs : array (n,)
        One period, 1.0 = full scale, on the steps of a 24-bit file so that the stored file is what was played. [FS]
    sampling_rate_hz : float
        Samples a second. [Hz]
    sounding_rms_fs : float
        The rms its level refers to: of a sweep while it sounds, without fades and tail; of speech and noise over the
        whole period; of tones and level steps while the loudest sounds. [FS]
    start_hz, stop_hz : float or None
        Ends of a sweep. [Hz]
    frequency_hz : tuple of float
        Tones one after the other; the one frequency of level steps. [Hz]
    levels_db_spl : tuple of float
        Levels of tones and level steps, one after the other. [dB re 20 µPa]
    step_s : float or None
        Length of each. [s]
    """

    kind: StimulusKind
    samples_fs: FloatArray
    sampling_rate_hz: float
    sounding_rms_fs: float
    start_hz: float | None = None
    stop_hz: float | None = None
    frequency_hz: tuple[float, ...] = ()
    levels_db_spl: tuple[float, ...] = ()
    step_s: float | None = None

    def pascals(self, level_db_spl: float) -> FloatArray:
        """One period as sound pressure at a level. [Pa]"""
        if self.kind == "silence":
            return np.zeros_like(self.samples_fs)
        return np.asarray(self.samples_fs * (REFERENCE_PA * 10.0 ** (level_db_spl / 20.0) / self.sounding_rms_fs))


def exponential_sweep(
    *,
    start_hz: float = SWEEP_HZ[0],
    stop_hz: float = SWEEP_HZ[1],
    sweep_s: float = 1.0,
    tail_s: float = 0.25,
    amplitude_fs: float = 0.5,
    sampling_rate_hz: float = SAMPLING_RATE_HZ,
) -> Stimulus:
    r"""Exponential sweep followed by silence, one period.

    .. math:: s(t) = a \sin\left(2\pi f_1 \tfrac{T}{L} (e^{tL/T} - 1)\right), \quad L = \ln(f_2/f_1)

    Raised-cosine fades of 5 ms at the start and 0.5 ms at the end.

    Parameters
    ----------
    start_hz, stop_hz : float
        First and last frequency, 0 < start < stop < half the sampling rate. [Hz]
    sweep_s, tail_s : float
        Length of the sweep and of the silence after it. [s]
    amplitude_fs : float
        Amplitude a, at most 1. [FS]
    sampling_rate_hz : float
        Samples a second. [Hz]

    Raises
    ------
    InputError
        If the frequencies or the amplitude cannot be played.

    References
    ----------
    Farina, A. (2000). Simultaneous measurement of impulse response and distortion with a swept-sine technique. 108th
    AES Convention, paper 5093 (equation from memory).
    """
    if not 0 < start_hz < stop_hz < sampling_rate_hz / 2 or not 0 < amplitude_fs <= 1:
        raise InputError(
            f"make a sweep from {start_hz:g} to {stop_hz:g} Hz",
            f"a sampling rate of {sampling_rate_hz:g} Hz and a full scale of 1 cannot carry it",
            "choose 0 < start < stop < half the sampling rate and an amplitude up to 1",
        )
    size = round((sweep_s + tail_s) * sampling_rate_hz)
    count = round(sweep_s * sampling_rate_hz)
    time_s = np.arange(count) / sampling_rate_hz
    octaves = np.log(stop_hz / start_hz)
    phase = 2.0 * np.pi * start_hz * sweep_s / octaves * np.expm1(time_s * octaves / sweep_s)
    samples = np.zeros(size)
    samples[:count] = amplitude_fs * np.sin(phase)
    fade_in, fade_out = round(0.005 * sampling_rate_hz), round(0.0005 * sampling_rate_hz)
    samples[:fade_in] *= 0.5 - 0.5 * np.cos(np.pi * np.arange(fade_in) / fade_in)
    samples[count - fade_out : count] *= 0.5 + 0.5 * np.cos(np.pi * (np.arange(fade_out) + 1) / fade_out)
    return Stimulus(
        kind="exponential_sweep",
        samples_fs=on_file_steps(samples),
        sampling_rate_hz=sampling_rate_hz,
        sounding_rms_fs=amplitude_fs / np.sqrt(2.0),
        start_hz=start_hz,
        stop_hz=stop_hz,
    )


def silence(duration_s: float, *, sampling_rate_hz: float = SAMPLING_RATE_HZ) -> Stimulus:
    """Silence, for noise takes.

    Parameters
    ----------
    duration_s : float
        Length of one period. [s]
    sampling_rate_hz : float
        Samples a second. [Hz]

    Returns
    -------
    Stimulus
        Kind "silence".
    """
    return Stimulus(
        kind="silence",
        samples_fs=np.zeros(round(duration_s * sampling_rate_hz)),
        sampling_rate_hz=sampling_rate_hz,
        sounding_rms_fs=1.0,
    )


def on_file_steps(samples: FloatArray) -> FloatArray:
    """Round to the steps of a 24-bit file."""
    rounded: FloatArray = np.round(samples / _LSB) * _LSB
    rounded.setflags(write=False)
    return rounded
