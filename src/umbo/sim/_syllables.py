"""The course of speech in time: phrases and pauses, syllables, vowels and consonants, as levels in bands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import FloatArray

__all__ = ["FRAME_RATE_HZ", "momentary_levels_db"]

#: Frames a second of the course of speech. [Hz]
FRAME_RATE_HZ = 200.0

# The make-up of the talker. All assumed (common practice for running speech: four to five syllables a second in phrases
# of one to four seconds, pauses of a few tenths of a second); nothing is taken from a recording or from a standard.
_SYLLABLE_S = (0.23, 0.18)  # median length, and spread of its logarithm
_PHRASE_S = (1.2, 3.0)
_PAUSE_S = (0.30, 0.65)
_CONSONANT_SHARE = (0.30, 0.45)  # share of the syllable that its consonant takes
_STRESS_DB = 24.0  # weakest syllable under the strongest
_FORMANT_DB = 9.0  # spread of a band in one vowel or consonant against the next
_CROSSING_HZ = 2500.0  # below, vowels carry the level; above, consonants
_SLOPE_DB_PER_OCTAVE = 6.0  # by how much, away from the crossing
_FLOOR_DB = -45.0
_RIPPLE_DB = 2.0  # what else happens in a frame

# Distribution of the momentary level of every band around its mean power, assumed: chosen so that 125 ms levels spread
# by about 30 dB between their 30th and 99th percentile (dynamic range of speech about 30 dB: from memory).
# Found in 20 s and 60 s: 25 to 30 dB, the 30th 15 to 19, the 65th 3 to 5 dB under the long-term level, the 99th 9 to 11
# over it; most of the modulation near 4 Hz. The percentiles of the international speech test signal were not found.
_PROBABILITY = (0.0, 0.10, 0.25, 0.45, 0.70, 0.92, 0.99, 1.0)
_MOMENTARY_DB = (-75.0, -60.0, -45.0, -28.0, -9.0, 5.0, 11.0, 13.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Syllable:
    """One syllable: where it begins and ends, where its vowel begins, and how far it lies under the strongest."""

    start_s: float
    vowel_s: float
    end_s: float
    stress_db: float


def momentary_levels_db(rng: np.random.Generator, centre_hz: FloatArray, frames: int) -> FloatArray:
    """Momentary level of each band over its mean power, one seamless period.

    Syllables are laid out in phrases with pauses between them. In each, a consonant and a vowel rise and fall, the
    consonant with more of its level above 2.5 kHz, the vowel below, both with a colour of their own. What comes of
    it decides the order of the frames of a band; a fixed distribution gives the levels.

    Parameters
    ----------
    rng : Generator
        Source of the layout.
    centre_hz : array (bands,)
        Centres of the bands. [Hz]
    frames : int
        Frames of 5 ms in the period. [1]

    Returns
    -------
    array (bands, frames)
        Levels. [dB]
    """
    time_s = (np.arange(frames) + 0.5) / FRAME_RATE_HZ
    octaves = np.log2(centre_hz / _CROSSING_HZ)
    power = np.full((centre_hz.size, frames), 10.0 ** (_FLOOR_DB / 10.0))
    for syllable in _layout(rng, frames / FRAME_RATE_HZ):
        first, last = np.searchsorted(time_s, [syllable.start_s, syllable.end_s])
        inside = time_s[first:last]
        for start_s, end_s, sign in (
            (syllable.start_s, syllable.vowel_s, 1.0),
            (syllable.vowel_s, syllable.end_s, -1.0),
        ):
            colour_db = _smooth_colour(rng, centre_hz.size) + np.minimum(sign * _SLOPE_DB_PER_OCTAVE * octaves, 0.0)
            rise = np.clip((inside - start_s) / (end_s - start_s), 0.0, 1.0)
            level_db = colour_db - syllable.stress_db
            power[:, first:last] += 10.0 ** (level_db[:, None] / 10.0) * np.sin(np.pi * rise) ** 4
    level_db = 10.0 * np.log10(power) + _RIPPLE_DB * rng.standard_normal(power.shape)
    rank = np.argsort(np.argsort(level_db, axis=-1), axis=-1)
    return np.asarray(np.interp((rank + 0.5) / frames, _PROBABILITY, _MOMENTARY_DB))


def _layout(rng: np.random.Generator, duration_s: float) -> list[_Syllable]:
    """Phrases of syllables with pauses between them; the period ends in a pause."""
    syllables = []
    now_s = 0.0
    while now_s < duration_s:
        phrase_end_s = min(now_s + rng.uniform(*_PHRASE_S), duration_s - _PAUSE_S[0])
        while now_s < phrase_end_s:
            length_s = _SYLLABLE_S[0] * np.exp(_SYLLABLE_S[1] * rng.standard_normal())
            syllables.append(
                _Syllable(
                    start_s=now_s,
                    vowel_s=now_s + length_s * rng.uniform(*_CONSONANT_SHARE),
                    end_s=min(now_s + length_s, duration_s),
                    stress_db=_STRESS_DB * rng.random(),
                )
            )
            now_s += length_s
        now_s += rng.uniform(*_PAUSE_S)
    return syllables


def _smooth_colour(rng: np.random.Generator, bands: int) -> FloatArray:
    """Random levels of the bands of one sound, neighbours alike. [dB]"""
    rough = rng.standard_normal(bands + 4)
    return np.asarray(_FORMANT_DB * np.convolve(rough, np.ones(5) / np.sqrt(5.0), mode="valid"))
