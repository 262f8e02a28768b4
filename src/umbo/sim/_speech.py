"""A speech-like signal made from noise alone: long-term spectrum of speech, syllables, and pauses."""

from __future__ import annotations

import numpy as np
from scipy import fft
from scipy.stats import norm

from umbo.core import FloatArray
from umbo.sim._filtering import bin_frequencies
from umbo.sim._stimuli import SAMPLING_RATE_HZ, Stimulus, on_file_steps

__all__ = ["LTASS_DB", "LTASS_HZ", "speech_like"]

# fmt: off

#: Third-octave centres of the long-term average speech spectrum, nominal. [Hz]
LTASS_HZ: FloatArray = np.array(
    [63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000,
     6300, 8000, 10000, 12500, 16000],
    dtype=np.float64,
)

#: Third-octave levels of combined male and female speech at 70 dB overall: Byrne et al. 1994, J Acoust Soc Am 96:2108,
#: Table II, as found alike in several public libraries (the paper itself was not read). [dB re 20 µPa]
LTASS_DB: FloatArray = np.array(
    [38.6, 43.5, 54.4, 57.7, 56.8, 60.2, 60.3, 59.0, 62.1, 62.1, 60.5, 56.8, 53.7, 53.0, 52.0, 48.7, 48.1, 46.8,
     45.6, 44.5, 44.3, 43.7, 43.4, 41.3, 40.7],
)

# fmt: on

_EXACT_HZ = 1000.0 * 10.0 ** (np.arange(-12, 13) / 10.0)  # IEC 61260-1, base ten

# Distribution of the momentary band level around the band's mean power, assumed: chosen so that 125 ms levels spread by
# 25 to 30 dB between their 30th and 99th percentile, with peaks some 10 dB above the long-term level.
_PROBABILITY = np.array([0.0, 0.05, 0.30, 0.65, 0.90, 0.99, 1.0])
_MOMENTARY_DB = np.array([-60.0, -48.0, -31.0, -7.0, 4.0, 11.0, 14.0])
_COMMON_SHARE = 0.6  # share of the modulation that all bands have in common, assumed
_SYLLABLE_HZ = 4.0  # rate of syllables, common practice for running speech, assumed
_HEADROOM_FS = 0.8
_ENVELOPE_RATE_HZ = 200


def speech_like(
    rng: np.random.Generator, *, duration_s: float = 20.0, sampling_rate_hz: float = SAMPLING_RATE_HZ
) -> Stimulus:
    """One seamless period of speech-like sound.

    Noise in third-octave bands, each modulated by a slow random level with most of its energy near 4 Hz, partly common
    to all bands (assumed: 60 %), the sum brought to the long-term average speech spectrum of Byrne et al.
    (1994). Nothing recorded is used. The level distribution is an assumption (25 to 30 dB from the 30th to the
    99th percentile of 125 ms levels), not a standard's.

    Parameters
    ----------
    rng : Generator
        Source of the noise.
    duration_s : float
        Length of one period, a whole number of 5 ms steps. [s]
    sampling_rate_hz : float
        Samples a second, a multiple of 200 Hz. [Hz]

    Returns
    -------
    Stimulus
        Kind "speech"; its level is the rms of the whole period.
    """
    step = round(sampling_rate_hz / _ENVELOPE_RATE_HZ)
    frames = round(duration_s * _ENVELOPE_RATE_HZ)
    size = frames * step
    frequency_hz = bin_frequencies(size, sampling_rate_hz)
    noise = fft.rfft(rng.standard_normal(size))
    common = _slow_noise(rng, frames)
    total = np.zeros(size)
    for centre_hz, band_db in zip(_EXACT_HZ, LTASS_DB, strict=True):
        inside = np.abs(np.log10(frequency_hz[1:] / centre_hz)) < 0.05
        low, high = 1 + np.flatnonzero(inside)[[0, -1]]
        spectrum = np.zeros(frequency_hz.size, dtype=np.complex128)
        spectrum[low : high + 1] = noise[low : high + 1]
        own = _slow_noise(rng, frames)
        mixed = np.sqrt(_COMMON_SHARE) * common + np.sqrt(1.0 - _COMMON_SHARE) * own
        momentary_db = np.interp(norm.cdf(mixed), _PROBABILITY, _MOMENTARY_DB)
        band = fft.irfft(spectrum, n=size) * _periodic_ramp(10.0 ** (momentary_db / 20.0), step)
        total += band * (10.0 ** (band_db / 20.0) / np.sqrt(np.mean(band**2)))
    total = _brought_to_ltass(total, frequency_hz)
    samples = on_file_steps(total * (_HEADROOM_FS / np.max(np.abs(total))))
    return Stimulus(
        kind="speech",
        samples_fs=samples,
        sampling_rate_hz=sampling_rate_hz,
        sounding_rms_fs=float(np.sqrt(np.mean(samples**2))),
    )


def _brought_to_ltass(samples: FloatArray, frequency_hz: FloatArray) -> FloatArray:
    """Undo what modulation spread from loud bands into softer neighbours, by a smooth filter found in two rounds."""
    spectrum = fft.rfft(samples)
    position = np.log(np.maximum(frequency_hz, 1.0))
    edges = np.searchsorted(frequency_hz, np.append(_EXACT_HZ * 10.0**-0.05, _EXACT_HZ[-1] * 10.0**0.05))
    for _ in range(2):
        power = np.add.reduceat(np.abs(spectrum) ** 2, edges)[:-1]
        short_db = LTASS_DB - 10.0 * np.log10(power)
        spectrum = spectrum * 10.0 ** (np.interp(position, np.log(_EXACT_HZ), short_db) / 20.0)
    return np.asarray(fft.irfft(spectrum, n=samples.size))


def _slow_noise(rng: np.random.Generator, frames: int) -> FloatArray:
    """Periodic Gaussian noise of unit variance: as much from slow changes and pauses as from syllables, less above."""
    frequency_hz = bin_frequencies(frames, _ENVELOPE_RATE_HZ)
    relative = frequency_hz / _SYLLABLE_HZ
    shape = (relative > 0) / (0.3 + relative**4)
    values = fft.irfft(fft.rfft(rng.standard_normal(frames)) * shape, n=frames)
    return np.asarray(values / np.std(values))


def _periodic_ramp(values: FloatArray, step: int) -> FloatArray:
    """Straight lines between frame values, closing on themselves."""
    following = np.roll(values, -1)
    fraction = np.arange(step) / step
    return np.asarray((values[:, None] + (following - values)[:, None] * fraction).reshape(-1))
