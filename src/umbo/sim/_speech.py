"""A speech-like signal made from noise alone: long-term spectrum of speech, syllables, and pauses."""

from __future__ import annotations

from functools import cache
from typing import Literal

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.refdata import table
from umbo.sim._filtering import ComplexArray, bin_frequencies
from umbo.sim._stimuli import SAMPLING_RATE_HZ, Stimulus, on_file_steps
from umbo.sim._syllables import FRAME_RATE_HZ, momentary_levels_db

__all__ = ["EXACT_HZ", "LTASS_DB", "LTASS_HZ", "Talker", "brought_to_ltass", "ltass_db", "speech_like"]

Talker = Literal["combined", "female"]

_LTASS = table("ltass", source="byrne-1994")

#: Third-octave centres of the long-term average speech spectrum, nominal, shape (25,). [Hz]
LTASS_HZ: FloatArray = np.asarray(_LTASS.column("frequency_hz"))

#: Third-octave levels of combined male and female speech at 70 dB overall: Byrne et al. 1994, shape (25,).
#: [dB re 20 µPa]
LTASS_DB: FloatArray = np.asarray(_LTASS.column("combined_70db_overall_db_spl"))

#: The same centres, exact: IEC 61260-1, base ten, shape (25,). [Hz]
EXACT_HZ: FloatArray = 1000.0 * 10.0 ** (np.round(10.0 * np.log10(LTASS_HZ / 1000.0)) / 10.0)

_HALF_BAND_DECADES = 0.05
_MODULATION_HZ = 200.0  # room beside a band for what its modulation spreads
_ROUNDS = 3
_HEADROOM_FS = 0.8


@cache
def ltass_db(talker: Talker) -> FloatArray:
    """Third-octave levels of speech at 70 dB overall at ``LTASS_HZ``.

    Parameters
    ----------
    talker : {"combined", "female"}
        Whose speech; above 8 kHz the table has no female levels, and the combined ones stand in (assumed).

    Returns
    -------
    array (25,)
        Levels. [dB re 20 µPa]

    References
    ----------
    Byrne, D., et al. (1994). An international comparison of long-term average speech spectra. J Acoust Soc Am
    96:2108-2120, as the table ``ltass/byrne-1994`` holds it.
    """
    if talker == "combined":
        return LTASS_DB
    female = np.ma.masked_invalid(_LTASS.column("female_db_spl"))
    return np.asarray(np.where(np.ma.getmaskarray(female), LTASS_DB, female.filled(0.0)))


def speech_like(
    rng: np.random.Generator,
    *,
    duration_s: float = 20.0,
    sampling_rate_hz: float = SAMPLING_RATE_HZ,
    talker: Talker = "combined",
) -> Stimulus:
    """One seamless period of speech-like sound.

    Noise in third-octave bands, each following the syllables, vowels, consonants and pauses of an invented talker,
    the sum brought to the long-term average speech spectrum of Byrne et al. (1994). Nothing recorded is used, and
    there is no voice: the sound is a whisper. The level distribution is an assumption (about 30 dB from the 30th to
    the 99th percentile of 125 ms levels in third-octaves), not a standard's.

    Parameters
    ----------
    rng : Generator
        Source of the noise.
    duration_s : float
        Length of one period, a whole number of 5 ms steps, 1 s or more. [s]
    sampling_rate_hz : float
        Samples a second, a multiple of 200 Hz. [Hz]
    talker : {"combined", "female"}
        Whose long-term spectrum.

    Returns
    -------
    Stimulus
        Kind "speech"; its level is the rms of the whole period.
    """
    frames = round(duration_s * FRAME_RATE_HZ)
    size = frames * round(sampling_rate_hz / FRAME_RATE_HZ)
    frequency_hz = bin_frequencies(size, sampling_rate_hz)
    noise = fft.rfft(rng.standard_normal(size))
    levels_db = momentary_levels_db(rng, EXACT_HZ, frames)
    wanted_db = ltass_db(talker)
    spectrum = np.zeros_like(noise)
    for centre_hz, band_db, course_db in zip(EXACT_HZ, wanted_db, levels_db, strict=True):
        inside = np.abs(np.log10(frequency_hz[1:] / centre_hz)) < _HALF_BAND_DECADES
        low, high = 1 + np.flatnonzero(inside)[[0, -1]]
        room = min(low - 1, round(_MODULATION_HZ * size / sampling_rate_hz))
        band = _modulated(noise[low : high + 1], room, 10.0 ** (course_db / 20.0))
        scale = 10.0 ** (band_db / 20.0) / np.sqrt(np.sum(np.abs(band) ** 2))
        end = min(low - room + band.size, spectrum.size)
        spectrum[low - room : end] += scale * band[: end - low + room]
    total = fft.irfft(brought_to_ltass(spectrum, frequency_hz, wanted_db), n=size)
    samples = on_file_steps(total * (_HEADROOM_FS / np.max(np.abs(total))))
    return Stimulus(
        kind="speech",
        samples_fs=samples,
        sampling_rate_hz=sampling_rate_hz,
        sounding_rms_fs=float(np.sqrt(np.mean(samples**2))),
    )


def _modulated(band: ComplexArray, room: int, envelope: FloatArray) -> ComplexArray:
    """Bins of a band multiplied by an envelope in time, at the low rate that the band and its sidebands need."""
    points = fft.next_fast_len(band.size + 2 * room)
    block = np.zeros(points, dtype=np.complex128)
    block[room : room + band.size] = band
    position = np.arange(points) * (envelope.size / points)
    course = np.interp(position, np.arange(envelope.size + 1), np.append(envelope, envelope[0]))
    return np.asarray(fft.fft(fft.ifft(block) * course))


def brought_to_ltass(spectrum: ComplexArray, frequency_hz: FloatArray, wanted_db: FloatArray) -> ComplexArray:
    """Bring a spectrum to third-octave levels by a smooth filter found in rounds: what modulation spread is undone."""
    position = np.log(np.maximum(frequency_hz, 1.0))
    half = 10.0**_HALF_BAND_DECADES
    edges = np.searchsorted(frequency_hz, np.append(EXACT_HZ / half, EXACT_HZ[-1] * half))
    result = spectrum
    for _ in range(_ROUNDS):
        power = np.add.reduceat(np.abs(result) ** 2, edges)[:-1]
        short_db = wanted_db - 10.0 * np.log10(power)
        result = result * 10.0 ** (np.interp(position, np.log(EXACT_HZ), short_db) / 20.0)
    return result
