"""Pressure spectra: what a sweep recording says about a sound pressure, once it has been calibrated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from umbo.calibration._calibration import Calibration
from umbo.calibration._recording import Recording
from umbo.core import BoolArray, FloatArray
from umbo.dsp import SweepResponse, split_repeats, sweep_response
from umbo.errors import RecordingError

__all__ = ["HarmonicSpectrum", "PressureSpectrum", "require_same_rate", "sweep_spectrum"]


@dataclass(frozen=True, slots=True, eq=False)
class HarmonicSpectrum:
    """One harmonic over the excitation frequency.

    Parameters
    ----------
    power_pa2, noise_power_pa2 : array (n,)
        Mean-square pressure and the noise in it. [Pa²]
    is_known : array (n,), bool
        Whether the harmonic's own frequency lies within the sweep.
    """

    power_pa2: FloatArray
    noise_power_pa2: FloatArray
    is_known: BoolArray


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PressureSpectrum:
    """Mean-square pressure that a steady tone of the sweep's amplitude would give, over its frequency.

    Parameters
    ----------
    take : str
        Name of the take: the identity of its noise.
    frequency_hz : array (n,)
        Frequencies. [Hz]
    power_pa2 : array (n,)
        Mean-square pressure, noise included. [Pa²]
    noise_power_pa2 : array (n,) or None
        Noise of the averaged response, from the difference of repeats; None where there is one repeat. [Pa²]
    harmonics : mapping of int to HarmonicSpectrum
        Harmonics 2 and up, by their order. [Pa²]
    independent_per_hz : float
        Independent noise values per hertz of bandwidth. [s]
    repeats, used : int
        Periods recorded, and averaged. [1]
    start_hz, stop_hz : float
        Range the sweep excites. [Hz]
    calibration : Calibration
        Microphone chain.
    """

    take: str
    frequency_hz: FloatArray
    power_pa2: FloatArray
    noise_power_pa2: FloatArray | None
    harmonics: Mapping[int, HarmonicSpectrum]
    independent_per_hz: float
    repeats: int
    used: int
    start_hz: float
    stop_hz: float
    calibration: Calibration


def require_same_rate(recording: Recording, stimulus: Recording) -> None:
    """Refuse a recording and a stimulus of different sampling rate.

    Raises
    ------
    RecordingError
        If the rates differ.
    """
    if recording.sampling_rate_hz != stimulus.sampling_rate_hz:
        raise RecordingError(
            f"analyse the recording '{recording.name}'",
            f"it has {recording.sampling_rate_hz:g} Hz and the stimulus '{stimulus.name}' has "
            f"{stimulus.sampling_rate_hz:g} Hz",
            "record with the sampling rate of the stimulus file",
        )


def sweep_spectrum(
    recording: Recording,
    stimulus: Recording,
    calibration: Calibration,
    *,
    repeats: int,
    start_hz: float,
    stop_hz: float,
) -> PressureSpectrum:
    r"""Calibrated response of a repeated exponential sweep.

    .. math:: P(f) = |H(f)|^2 \, \tfrac12 A^2 \, S^2 \qquad (1)

    with the response H in full scale per full scale, the sweep's amplitude A in full scale, and the sensitivity S in
    pascals per full scale.

    Parameters
    ----------
    recording : Recording
        ``repeats`` back-to-back periods of the stimulus.
    stimulus : Recording
        One period as it was played.
    calibration : Calibration
        Microphone chain.
    repeats : int
        Number of periods. [1]
    start_hz, stop_hz : float
        Declared range of the sweep. [Hz]

    Returns
    -------
    PressureSpectrum
        Mean-square pressures. [Pa²]

    Raises
    ------
    RecordingError
        If rate or length do not fit, or the stimulus is no exponential sweep of that range.
    """
    require_same_rate(recording, stimulus)
    periods = split_repeats(recording.samples_fs, stimulus.samples_fs.size, repeats)
    rate = stimulus.sampling_rate_hz
    response = sweep_response(periods, stimulus.samples_fs, rate, start_hz, min(stop_hz, 0.499 * rate))
    scale = 0.5 * _amplitude_fs(stimulus, response) ** 2 * calibration.pa_per_full_scale**2
    noise = response.noise_power
    return PressureSpectrum(
        take=recording.name,
        frequency_hz=response.frequency_hz,
        power_pa2=np.abs(response.response) ** 2 * scale,  # Eq. (1)
        noise_power_pa2=None if noise is None else noise * scale,
        harmonics=_harmonics(response, scale),
        independent_per_hz=float(response.independent_per_hz[0]),
        repeats=repeats,
        used=response.repeats_used,
        start_hz=start_hz,
        stop_hz=stop_hz,
        calibration=calibration,
    )


def _amplitude_fs(stimulus: Recording, response: SweepResponse) -> float:
    """Amplitude of the sweep, from its rms between an octave inside both ends. [FS]."""
    timing = response.timing
    at = [
        timing.start_s + timing.rate_s * np.log(f / timing.start_hz) for f in (2 * timing.start_hz, timing.stop_hz / 2)
    ]
    first, last = (int(np.clip(t * stimulus.sampling_rate_hz, 0, stimulus.samples_fs.size)) for t in at)
    return float(np.sqrt(2 * np.mean(stimulus.samples_fs[first:last] ** 2)))


def _harmonics(response: SweepResponse, scale: float) -> dict[int, HarmonicSpectrum]:
    noise = response.harmonic_noise_power
    return {
        order: HarmonicSpectrum(
            power * scale, np.zeros_like(power) if noise is None else noise[order - 2] * scale, valid
        )
        for order, (power, valid) in enumerate(zip(response.harmonic_power, response.harmonic_valid, strict=True), 2)
    }
