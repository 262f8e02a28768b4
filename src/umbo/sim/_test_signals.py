"""Signals of the aid tests: tones one after the other, level steps, and steady noise."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._filtering import ComplexArray, bin_frequencies
from umbo.sim._speech import EXACT_HZ, Talker, brought_to_ltass, ltass_db
from umbo.sim._stimuli import SAMPLING_RATE_HZ, Stimulus, on_file_steps

__all__ = ["fricative_noise", "level_steps", "speech_shaped_noise", "tones"]

_AMPLITUDE_FS = 0.9
_FADE_S = 0.005
_HEADROOM_FS = 0.8
_WIDEST_STEP_DB = 80.0  # what a 24-bit file carries with 60 dB to spare
# Women's and children's /s/ is needed to about 9 kHz: Stelmachowicz et al. 2001, J Acoust Soc Am 110:2183 (abstract);
# its lower end and slopes are assumed.
_FRICATIVE_HZ = (4000.0, 9000.0)
_FRICATIVE_SLOPE_DB_PER_OCTAVE = 24.0


def tones(
    frequency_hz: Sequence[float],
    levels_db_spl: Sequence[float],
    *,
    step_s: float = 1.0,
    sampling_rate_hz: float = SAMPLING_RATE_HZ,
) -> Stimulus:
    """Steady tones one after the other, with raised-cosine fades of 5 ms inside each.

    Parameters
    ----------
    frequency_hz : sequence of float, (n,)
        Their frequencies. [Hz]
    levels_db_spl : sequence of float, (n,)
        Their levels while they sound. [dB re 20 µPa]
    step_s : float
        Length of each, a whole number of milliseconds. [s]
    sampling_rate_hz : float
        Samples a second. [Hz]

    Returns
    -------
    Stimulus
        Kind "tones"; its level is that of the loudest tone.

    Raises
    ------
    InputError
        If frequencies and levels do not belong together, or cannot be played.
    """
    _require_playable("tones", frequency_hz, levels_db_spl, step_s, sampling_rate_hz)
    count = round(step_s * sampling_rate_hz)
    fade = round(_FADE_S * sampling_rate_hz)
    window = np.ones(count)
    window[:fade] = 0.5 - 0.5 * np.cos(np.pi * np.arange(fade) / fade)
    window[count - fade :] = window[:fade][::-1]
    time_s = np.arange(count) / sampling_rate_hz
    parts = [
        window * _relative(level, levels_db_spl) * np.sin(2.0 * np.pi * tone_hz * time_s)
        for tone_hz, level in zip(frequency_hz, levels_db_spl, strict=True)
    ]
    return _of_steps("tones", np.concatenate(parts), frequency_hz, levels_db_spl, step_s, sampling_rate_hz)


def level_steps(
    frequency_hz: float,
    levels_db_spl: Sequence[float],
    *,
    step_s: float = 1.0,
    sampling_rate_hz: float = SAMPLING_RATE_HZ,
) -> Stimulus:
    """One tone whose level jumps, its phase running on.

    Parameters
    ----------
    frequency_hz : float
        Frequency. [Hz]
    levels_db_spl : sequence of float, (n,)
        Levels one after the other; from the last it jumps to the first when it is repeated. [dB re 20 µPa]
    step_s : float
        Length of each, a whole number of milliseconds. [s]
    sampling_rate_hz : float
        Samples a second. [Hz]

    Returns
    -------
    Stimulus
        Kind "level_steps"; its level is that of the loudest step.

    Raises
    ------
    InputError
        If the steps cannot be played.
    """
    _require_playable("level steps", [frequency_hz] * len(levels_db_spl), levels_db_spl, step_s, sampling_rate_hz)
    count = round(step_s * sampling_rate_hz)
    time_s = np.arange(count * len(levels_db_spl)) / sampling_rate_hz
    course = np.repeat([_relative(level, levels_db_spl) for level in levels_db_spl], count)
    samples = course * np.sin(2.0 * np.pi * frequency_hz * time_s)
    return _of_steps("level_steps", samples, (frequency_hz,), levels_db_spl, step_s, sampling_rate_hz)


def speech_shaped_noise(
    rng: np.random.Generator,
    *,
    duration_s: float = 15.0,
    sampling_rate_hz: float = SAMPLING_RATE_HZ,
    talker: Talker = "combined",
) -> Stimulus:
    """Stationary noise with the long-term spectrum of speech, one seamless period.

    Parameters
    ----------
    rng : Generator
        Source of the noise.
    duration_s : float
        Length of one period, a whole number of milliseconds. [s]
    sampling_rate_hz : float
        Samples a second. [Hz]
    talker : {"combined", "female"}
        Whose long-term spectrum.

    Returns
    -------
    Stimulus
        Kind "noise"; its level is the rms of the period.
    """
    size = round(duration_s * sampling_rate_hz)
    frequency_hz = bin_frequencies(size, sampling_rate_hz)
    inside = (frequency_hz > EXACT_HZ[0] * 10.0**-0.05) & (frequency_hz < EXACT_HZ[-1] * 10.0**0.05)
    white = _random_bins(rng, np.where(inside, 1.0, 0.0))
    return _noise(brought_to_ltass(white, frequency_hz, ltass_db(talker)), size, sampling_rate_hz)


def fricative_noise(
    rng: np.random.Generator, *, duration_s: float = 3.0, sampling_rate_hz: float = SAMPLING_RATE_HZ
) -> Stimulus:
    """Steady noise like an /s/: even from 4 to 9 kHz, falling by 24 dB an octave beside it.

    Parameters
    ----------
    rng : Generator
        Source of the noise.
    duration_s : float
        Length of one period, a whole number of milliseconds. [s]
    sampling_rate_hz : float
        Samples a second. [Hz]

    Returns
    -------
    Stimulus
        Kind "noise"; its level is the rms of the period.
    """
    size = round(duration_s * sampling_rate_hz)
    frequency_hz = np.maximum(bin_frequencies(size, sampling_rate_hz), 1.0)
    low, high = _FRICATIVE_HZ
    outside = np.maximum(np.log2(low / frequency_hz), 0.0) + np.maximum(np.log2(frequency_hz / high), 0.0)
    amplitude = 10.0 ** (-_FRICATIVE_SLOPE_DB_PER_OCTAVE * outside / 20.0)
    return _noise(_random_bins(rng, np.asarray(amplitude)), size, sampling_rate_hz)


def _random_bins(rng: np.random.Generator, amplitude: FloatArray) -> ComplexArray:
    parts = rng.standard_normal((2, amplitude.size)) * amplitude
    parts[:, 0] = 0.0
    return np.asarray(parts[0] + 1j * parts[1])


def _noise(spectrum: ComplexArray, size: int, sampling_rate_hz: float) -> Stimulus:
    samples = fft.irfft(spectrum, n=size)
    stored = on_file_steps(samples * (_HEADROOM_FS / np.max(np.abs(samples))))
    return Stimulus(
        kind="noise",
        samples_fs=stored,
        sampling_rate_hz=sampling_rate_hz,
        sounding_rms_fs=float(np.sqrt(np.mean(stored**2))),
    )


def _of_steps(
    kind: str,
    samples: FloatArray,
    frequency_hz: Sequence[float],
    levels_db_spl: Sequence[float],
    step_s: float,
    sampling_rate_hz: float,
) -> Stimulus:
    return Stimulus(
        kind="tones" if kind == "tones" else "level_steps",
        samples_fs=on_file_steps(_AMPLITUDE_FS * samples),
        sampling_rate_hz=sampling_rate_hz,
        sounding_rms_fs=_AMPLITUDE_FS / np.sqrt(2.0),
        frequency_hz=tuple(float(f) for f in frequency_hz),
        levels_db_spl=tuple(float(level) for level in levels_db_spl),
        step_s=step_s,
    )


def _relative(level_db_spl: float, levels_db_spl: Sequence[float]) -> float:
    return float(10.0 ** ((level_db_spl - max(levels_db_spl)) / 20.0))


def _require_playable(
    what: str,
    frequency_hz: Sequence[float],
    levels_db_spl: Sequence[float],
    step_s: float,
    sampling_rate_hz: float,
) -> None:
    disagrees = ""
    if not levels_db_spl or len(frequency_hz) != len(levels_db_spl):
        disagrees = f"{len(frequency_hz)} frequencies meet {len(levels_db_spl)} levels"
    elif not all(0 < f < sampling_rate_hz / 2 for f in frequency_hz):
        disagrees = f"a sampling rate of {sampling_rate_hz:g} Hz carries no {max(frequency_hz, key=abs):g} Hz"
    elif max(levels_db_spl) - min(levels_db_spl) > _WIDEST_STEP_DB:
        disagrees = f"their levels lie more than {_WIDEST_STEP_DB:g} dB apart"
    elif step_s < 4 * _FADE_S or abs(step_s * 1000.0 - round(step_s * 1000.0)) > 1e-6:
        disagrees = f"{step_s:g} s is no whole number of milliseconds from 20 ms on"
    if disagrees:
        raise InputError(
            f"make {what}", disagrees, "give one level for each frequency, in range, and whole milliseconds"
        )
