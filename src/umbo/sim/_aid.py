"""A virtual hearing aid: bands, compression, limiting, distortion and noise, up to the drive of its receiver."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._dynamics import (
    FRAME_S,
    analytic_frame_peaks,
    detect_level_db,
    frame_gain_to_samples,
    limiter_gain,
)
from umbo.sim._filtering import ComplexArray, bin_frequencies
from umbo.sim._noise import NoiseFloor
from umbo.sim._stimuli import REFERENCE_PA

__all__ = ["AidTake", "VirtualAid"]

_CROSSOVER_OCTAVES = 0.5
_LOWEST_PA = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AidTake:
    """What the receiver of the aid was driven with, and how the aid's own noise got there.

    Attributes
    ----------
    drive_pa : array (n,)
        Drive of the receiver, in pascals of an aid with a flat receiver. [Pa]
    noise_density_pa2 : array (n // 2 + 1,)
        Expected power density of the aid's own noise within the drive, through the gains in force. [Pa²/Hz]
    """

    drive_pa: FloatArray
    noise_density_pa2: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualAid:
    """Hearing aid with multichannel compression.

    Bands are zero-phase filters that add up to one, so that equal gains give a flat response; the gain in a band is
    ``gain_db`` up to its knee and falls by 1 - 1/ratio decibels for each decibel above. Limiting follows the sum of the
    bands, the curved characteristic of the amplifier follows the limiter.

    Attributes
    ----------
    crossover_hz : tuple of float, (bands - 1,)
        Frequencies between the bands. [Hz]
    gain_db, ratio, knee_db_spl : tuple of float, (bands,)
        Gain up to the knee [dB], compression ratio [1], and knee as the level in the band at the microphone
        [dB re 20 µPa].
    attack_s, release_s : float
        Time constants of the compressor. [s]
    ceiling_db_spl : float
        Largest rms level of a tone that passes the limiter; infinite for none. [dB re 20 µPa]
    limiter_release_s : float
        Time constant of the limiter. [s]
    second_harmonic, third_harmonic : float
        Harmonics of a tone at the ceiling, over its fundamental before curving. [1]
    noise : NoiseFloor or None
        Noise of the aid, at its microphone.
    low_hz, high_hz : float
        Half-power ends of its bandwidth (second and sixth order). [Hz]
    delay_s : float
        Delay. [s]
    """

    crossover_hz: tuple[float, ...]
    gain_db: tuple[float, ...]
    ratio: tuple[float, ...]
    knee_db_spl: tuple[float, ...]
    attack_s: float = 0.005
    release_s: float = 0.08
    ceiling_db_spl: float = float("inf")
    limiter_release_s: float = 0.05
    second_harmonic: float = 0.0
    third_harmonic: float = 0.0
    noise: NoiseFloor | None = None
    low_hz: float = 100.0
    high_hz: float = 8000.0
    delay_s: float = 0.005

    def __post_init__(self) -> None:
        counts = {len(self.gain_db), len(self.ratio), len(self.knee_db_spl), len(self.crossover_hz) + 1}
        if len(counts) != 1 or list(self.crossover_hz) != sorted(self.crossover_hz):
            raise InputError(
                "build a virtual hearing aid",
                f"{len(self.crossover_hz)} crossovers meet {len(self.gain_db)} gains, {len(self.ratio)} ratios and "
                f"{len(self.knee_db_spl)} knees",
                "give ascending crossovers and one gain, ratio and knee more than crossovers",
            )

    @property
    def ceiling_pa(self) -> float:
        """Largest amplitude of the drive. [Pa]"""
        return float(np.sqrt(2.0) * REFERENCE_PA * 10.0 ** (self.ceiling_db_spl / 20.0))

    def band_weights(self, frequency_hz: FloatArray) -> FloatArray:
        """Weight of each band, shape (bands, n); without the bandwidth limits they add up to one. [1]"""
        position = np.log2(np.maximum(frequency_hz, 1.0) / np.asarray(self.crossover_hz)[:, None])
        turn = np.clip(position / _CROSSOVER_OCTAVES + 0.5, 0.0, 1.0)
        below = 0.5 + 0.5 * np.cos(np.pi * turn)
        edges = np.vstack([np.zeros_like(frequency_hz), below, np.ones_like(frequency_hz)])
        high_pass = 1.0 / np.sqrt(1.0 + (self.low_hz / np.maximum(frequency_hz, 1.0)) ** 4)
        low_pass = 1.0 / np.sqrt(1.0 + (frequency_hz / self.high_hz) ** 12)
        return np.asarray(np.diff(edges, axis=0) * high_pass * low_pass)

    def band_gain(self, level_db_spl: FloatArray) -> FloatArray:
        """Gain of each band at its detected level, shape (bands, ...). [1]"""
        column = (len(self.gain_db),) + (1,) * (np.ndim(level_db_spl) - 1)
        knee, gain, ratio = (
            np.reshape(values, column) for values in (self.knee_db_spl, self.gain_db, self.ratio)
        )
        above = np.maximum(level_db_spl - knee, 0.0)
        return np.asarray(10.0 ** ((gain - (1.0 - 1.0 / ratio) * above) / 20.0))

    def tone_drive_pa(self, frequency_hz: FloatArray, level_db_spl: float) -> tuple[FloatArray, FloatArray]:
        """Steady drive for a tone: amplitudes of its first three harmonics, and whether it is limited.

        Parameters
        ----------
        frequency_hz : array (n,)
            Frequencies of the tones. [Hz]
        level_db_spl : float
            Level at the microphone. [dB re 20 µPa]

        Returns
        -------
        amplitude_pa : array (3, n)
            Amplitudes of the fundamental, second and third harmonic of the drive. [Pa]
        limited : array of bool (n,)
            Where the limiter works.
        """
        amplitude = np.sqrt(2.0) * REFERENCE_PA * 10.0 ** (level_db_spl / 20.0)
        in_band = self.band_weights(np.asarray(frequency_hz, dtype=np.float64)) * amplitude
        detected = 20.0 * np.log10(np.maximum(in_band, _LOWEST_PA) / (np.sqrt(2.0) * REFERENCE_PA))
        unlimited = np.sum(in_band * self.band_gain(detected), axis=0)
        before = np.minimum(unlimited, self.ceiling_pa)
        relative = before / self.ceiling_pa
        return np.stack(
            [
                before * (1.0 + 3.0 * self.third_harmonic * relative**2),
                before * self.second_harmonic * relative,
                before * self.third_harmonic * relative**2,
            ]
        ), unlimited > self.ceiling_pa

    def process(
        self, pressure_pa: FloatArray, sampling_rate_hz: float, rng: np.random.Generator
    ) -> AidTake:
        """Drive of the receiver for sound at the microphone.

        Parameters
        ----------
        pressure_pa : array (n,)
            Sound pressure at the microphone; n a whole number of milliseconds. [Pa]
        sampling_rate_hz : float
            Samples a second, a multiple of 1000 Hz. [Hz]
        rng : Generator
            Source of the aid's own noise.

        Returns
        -------
        AidTake
            Drive and expected noise, same length.
        """
        size = pressure_pa.size
        step = round(FRAME_S * sampling_rate_hz)
        heard = pressure_pa
        if self.noise is not None:
            heard = heard + self.noise.samples(rng, size, sampling_rate_hz)
        weights = _weights_of(self, size, sampling_rate_hz)
        frequency_hz = bin_frequencies(size, sampling_rate_hz)
        gains = np.empty((len(self.gain_db), size // step))
        total = np.zeros(size)
        spectrum = fft.rfft(heard) * np.exp(-2j * np.pi * self.delay_s * frequency_hz)
        for index, weight in enumerate(weights):
            band, gains[index] = self._band(spectrum * weight, index, size, step)
            total += band * frame_gain_to_samples(gains[index], step)
        total, limiting = self._limit(total, step)
        return AidTake(
            drive_pa=self._curve(total),
            noise_density_pa2=self._noise_density(gains * limiting, weights, frequency_hz),
        )

    def _band(self, spectrum: ComplexArray, index: int, size: int, step: int) -> tuple[FloatArray, FloatArray]:
        """Signal of a band and the gain in each of its frames."""
        present = np.flatnonzero(np.abs(spectrum) > 0.0)
        low, high = (int(present[0]), int(present[-1]) + 1) if present.size else (0, 2)
        peaks = analytic_frame_peaks(spectrum[low:high], low, size // step, size)
        momentary = 20.0 * np.log10(np.maximum(peaks, _LOWEST_PA) / (np.sqrt(2.0) * REFERENCE_PA))
        detected = detect_level_db(momentary, attack_s=self.attack_s, release_s=self.release_s)
        above = np.maximum(detected - self.knee_db_spl[index], 0.0)
        gain_db = self.gain_db[index] - (1.0 - 1.0 / self.ratio[index]) * above
        return fft.irfft(spectrum, n=size), 10.0 ** (gain_db / 20.0)

    def _limit(self, total: FloatArray, step: int) -> tuple[FloatArray, FloatArray]:
        """Limited sum of the bands, and the limiter's gain in each frame."""
        frames = total.size // step
        if np.isinf(self.ceiling_db_spl) or np.max(np.abs(total)) * 1.5 < self.ceiling_pa:
            return total, np.ones(frames)
        half = fft.rfft(total)
        envelope = np.abs(fft.ifft(half, n=total.size)) * 2.0
        peaks = envelope.reshape(frames, step).max(axis=1)
        gain = limiter_gain(peaks, ceiling=self.ceiling_pa, release_s=self.limiter_release_s)
        return total * frame_gain_to_samples(gain, step), gain

    def _curve(self, drive: FloatArray) -> FloatArray:
        """Square and cube of the curved characteristic, scaled to the stated harmonics at the ceiling."""
        if self.second_harmonic == 0.0 and self.third_harmonic == 0.0:
            return drive
        relative = drive / self.ceiling_pa
        return np.asarray(drive * (1.0 + relative * (2.0 * self.second_harmonic + 4.0 * self.third_harmonic * relative)))

    def _noise_density(self, gains: FloatArray, weights: FloatArray, frequency_hz: FloatArray) -> FloatArray:
        """Density of the aid's own noise in the drive: mean over time of |Σ g w|² times the density at the input."""
        if self.noise is None:
            return np.zeros_like(frequency_hz)
        products = gains @ gains.T / gains.shape[1]
        power = np.einsum("bf,bc,cf->f", weights, products, weights, optimize=True)
        return np.asarray(power * self.noise.density_pa2(frequency_hz))


@lru_cache(maxsize=4)
def _weights_of(aid: VirtualAid, size: int, sampling_rate_hz: float) -> FloatArray:
    """Band weights at the bins of a signal, kept for the next take of the same length."""
    weights = aid.band_weights(bin_frequencies(size, sampling_rate_hz))
    weights.setflags(write=False)
    return weights
