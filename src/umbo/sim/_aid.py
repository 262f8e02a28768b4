"""A virtual hearing aid: bands, compression, limiting, distortion, noise, up to its receiver's drive."""

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
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ, ComplexArray, bin_frequencies
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
    signal_pa : array (n,)
        The part of it that the sound outside made: the same gains, without the aid's own noise. [Pa]
    noise_density_pa2 : array (85,)
        Expected power density of the aid's own noise in the drive, through the gains in force, at the centres of
        the twelfth-octave grid. [Pa²/Hz]
    """

    drive_pa: FloatArray
    signal_pa: FloatArray
    noise_density_pa2: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualAid:
    """Hearing aid with multichannel compression.

    Bands are zero-phase filters that add up to one, so that equal gains give a flat response. The gain in a
    band is ``gain_db`` up to its knee and falls by 1 - 1/ratio decibels for each decibel above. A limiter
    follows the sum of the bands, and the curved characteristic of an amplifier follows the limiter; products
    above half the sampling rate fold back, as in a device at that rate.

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
                f"{len(self.crossover_hz)} crossovers meet {len(self.gain_db)} gains, "
                f"{len(self.ratio)} ratios and {len(self.knee_db_spl)} knees",
                "give ascending crossovers and one gain, ratio and knee more than crossovers",
            )

    @property
    def ceiling_pa(self) -> float:
        """Largest amplitude of the drive. [Pa]"""
        return float(np.sqrt(2.0) * REFERENCE_PA * 10.0 ** (self.ceiling_db_spl / 20.0))

    def band_weights(self, frequency_hz: FloatArray) -> FloatArray:
        """Weight of each band, shape (bands, n); without the bandwidth limits they add up to one. [1]"""
        return _band_weights(self._crossover, np.asarray(frequency_hz, dtype=np.float64))

    @property
    def _crossover(self) -> _Crossover:
        return _Crossover(
            crossover_hz=self.crossover_hz, low_hz=self.low_hz, high_hz=self.high_hz, delay_s=self.delay_s
        )

    def band_gain(self, level_db_spl: FloatArray) -> FloatArray:
        """Gain of each band at its detected level, shape (bands, ...). [1]"""
        column = (len(self.gain_db),) + (1,) * (np.ndim(level_db_spl) - 1)
        knee, gain, ratio = (np.reshape(v, column) for v in (self.knee_db_spl, self.gain_db, self.ratio))
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
        in_band = self.band_weights(frequency_hz) * amplitude
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
        self, pressure_pa: FloatArray, sampling_rate_hz: float, rng: np.random.Generator, *, split: bool = False
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
        split : bool
            Whether to work out the part of the drive that is signal; otherwise ``signal_pa`` is the whole drive.

        Returns
        -------
        AidTake
            Drive and expected noise, same length.

        Raises
        ------
        InputError
            If the sound is no whole number of milliseconds long.
        """
        size, step = pressure_pa.size, round(FRAME_S * sampling_rate_hz)
        if size % step:
            raise InputError(
                f"play {size} samples through a virtual hearing aid",
                f"its gains move in steps of {step} samples",
                "choose a whole number of milliseconds",
            )
        heard = pressure_pa
        if self.noise is not None:
            heard = heard + self.noise.samples(rng, size, sampling_rate_hz)
        weights, ranges = _bands_of(self._crossover, size, sampling_rate_hz)
        gains = np.ones((len(self.gain_db), size // step))
        total = np.zeros(size)
        spectrum = fft.rfft(heard)
        for index, (weight, (low, high)) in enumerate(zip(weights, ranges, strict=True)):
            band = spectrum[low:high] * weight
            gains[index] = self._frame_gains(band, index, low, size // step, size)
            total += _inverse(band, low, size) * frame_gain_to_samples(gains[index], step)
        limiting = self._limiting(total, step)
        drive = self._curve(total * frame_gain_to_samples(limiting, step))
        signal = drive
        if split and self.noise is not None:
            clean = fft.rfft(pressure_pa)
            alone = np.zeros(size)
            for gain, weight, (low, high) in zip(gains * limiting, weights, ranges, strict=True):
                alone += _inverse(clean[low:high] * weight, low, size) * frame_gain_to_samples(gain, step)
            signal = self._curve(alone)
        return AidTake(
            drive_pa=drive,
            signal_pa=signal,
            noise_density_pa2=self._noise_density(gains * limiting),
        )

    def _frame_gains(self, band: ComplexArray, index: int, low: int, frames: int, size: int) -> FloatArray:
        """Gain of a band at the start of every frame."""
        peaks = analytic_frame_peaks(band, low, frames, size)
        momentary = 20.0 * np.log10(np.maximum(peaks, _LOWEST_PA) / (np.sqrt(2.0) * REFERENCE_PA))
        detected = detect_level_db(momentary, attack_s=self.attack_s, release_s=self.release_s)
        above = np.maximum(detected - self.knee_db_spl[index], 0.0)
        return np.asarray(10.0 ** ((self.gain_db[index] - (1.0 - 1.0 / self.ratio[index]) * above) / 20.0))

    def _limiting(self, total: FloatArray, step: int) -> FloatArray:
        """Gain of the limiter at the start of every frame."""
        frames = total.size // step
        if np.isinf(self.ceiling_db_spl) or np.max(np.abs(total)) * 1.5 < self.ceiling_pa:
            return np.ones(frames)
        envelope = np.abs(fft.ifft(fft.rfft(total), n=total.size)) * 2.0
        peaks = envelope.reshape(frames, step).max(axis=1)
        return limiter_gain(peaks, ceiling=self.ceiling_pa, release_s=self.limiter_release_s)

    def _curve(self, drive: FloatArray) -> FloatArray:
        """Square and cube of the curved characteristic, scaled to the stated harmonics at the ceiling."""
        if self.second_harmonic == 0.0 and self.third_harmonic == 0.0:
            return drive
        x = drive / self.ceiling_pa
        return np.asarray(drive * (1.0 + x * (2.0 * self.second_harmonic + 4.0 * self.third_harmonic * x)))

    def _noise_density(self, gains: FloatArray) -> FloatArray:
        """Density of the aid's own noise in the drive: time mean of |Σ g w|² times its density."""
        if self.noise is None:
            return np.zeros_like(TWELFTH_OCTAVE_HZ)
        weights = self.band_weights(TWELFTH_OCTAVE_HZ)
        products = gains @ gains.T / gains.shape[1]
        power = np.einsum("bf,bf->f", weights, products @ weights)
        return np.asarray(power * self.noise.density_pa2(TWELFTH_OCTAVE_HZ))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Crossover:
    """What decides the filters of an aid, without its gains: the key under which they are kept."""

    crossover_hz: tuple[float, ...]
    low_hz: float
    high_hz: float
    delay_s: float


@lru_cache(maxsize=4)
def _bands_of(
    crossover: _Crossover, size: int, sampling_rate_hz: float
) -> tuple[tuple[ComplexArray, ...], tuple[tuple[int, int], ...]]:
    """Weights with the delay, and bins, of each band of a signal; kept for the next take of that length."""
    frequency_hz = bin_frequencies(size, sampling_rate_hz)
    delay = np.exp(-2j * np.pi * crossover.delay_s * frequency_hz)
    weights, ranges = [], []
    for weight in _band_weights(crossover, frequency_hz):
        present = np.flatnonzero(weight > 0.0)
        low, high = int(present[0]), int(present[-1]) + 1
        weights.append(weight[low:high] * delay[low:high])
        ranges.append((low, high))
    return tuple(weights), tuple(ranges)


def _band_weights(crossover: _Crossover, frequency_hz: FloatArray) -> FloatArray:
    position = np.log2(np.maximum(frequency_hz, 1.0) / np.asarray(crossover.crossover_hz)[:, None])
    turn = np.clip(position / _CROSSOVER_OCTAVES + 0.5, 0.0, 1.0)
    below = 0.5 + 0.5 * np.cos(np.pi * turn)
    edges = np.vstack([np.zeros_like(frequency_hz), below, np.ones_like(frequency_hz)])
    high_pass = 1.0 / np.sqrt(1.0 + (crossover.low_hz / np.maximum(frequency_hz, 1.0)) ** 4)
    low_pass = 1.0 / np.sqrt(1.0 + (frequency_hz / crossover.high_hz) ** 12)
    return np.asarray(np.diff(edges, axis=0) * (high_pass * low_pass))


def _inverse(band: ComplexArray, low: int, size: int) -> FloatArray:
    """Signal of a band from its bins alone."""
    spectrum = np.zeros(size // 2 + 1, dtype=np.complex128)
    spectrum[low : low + band.size] = band
    return np.asarray(fft.irfft(spectrum, n=size))
