"""A virtual hearing aid: bands, compression, limiting, distortion, noise, up to its receiver's drive."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._aid_bands import Crossover, bands_of, decimation, inverse_band
from umbo.sim._aid_inputs import RemoteMicrophone, Telecoil
from umbo.sim._dynamics import (
    FRAME_S,
    analytic_frame_peaks,
    detect_level_db,
    frame_gain_to_samples,
    limiter_gain,
)
from umbo.sim._expansion import Expansion
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ, ComplexArray, bin_frequencies
from umbo.sim._lowering import FrequencyLowering
from umbo.sim._noise import NoiseFloor
from umbo.sim._ports import Ports
from umbo.sim._steady_reduction import SteadyReduction
from umbo.sim._stimuli import REFERENCE_PA

__all__ = ["AidTake", "VirtualAid"]

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
    band is ``gain_db`` up to its knee and falls by 1 - 1/ratio decibels for each decibel above; expansion, noise
    reduction and feedback canceller take from it. Frequency lowering and the volume control work on the sum of the
    bands, a limiter follows, and the curved characteristic of an amplifier follows the limiter; products above half
    the sampling rate fold back, as in a device at that rate. A feature that is None is not there, or off.

    Attributes
    ----------
    crossover_hz : tuple of float, (bands - 1,)
        Frequencies between the bands. [Hz]
    gain_db, ratio, knee_db_spl : tuple of float, (bands,)
        Gain up to the knee at full volume [dB], compression ratio [1], and knee as the level in the band at the
        microphone [dB re 20 µPa].
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
    volume_db : float
        Setting of the volume control under full on, 0 or less. [dB]
    receiver_db : float
        Sensitivity of the receiver over that of a sound one: a worn or clogged one has less. [dB]
    expansion : Expansion or None
        Expansion.
    noise_reduction, feedback_canceller : SteadyReduction or None
        What takes steady noise, and steady tones, away.
    lowering : FrequencyLowering or None
        Frequency lowering.
    ports : Ports
        Microphone ports; the front one alone unless ``directional``.
    directional : bool
        Whether both ports work.
    telecoil : Telecoil or None
        Induction coil.
    remote_microphone : RemoteMicrophone or None
        Remote microphone.

    Raises
    ------
    InputError
        If settings do not belong together.
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
    volume_db: float = 0.0
    receiver_db: float = 0.0
    expansion: Expansion | None = None
    noise_reduction: SteadyReduction | None = None
    feedback_canceller: SteadyReduction | None = None
    lowering: FrequencyLowering | None = None
    ports: Ports = Ports()  # noqa: RUF009 - frozen
    directional: bool = False
    telecoil: Telecoil | None = None
    remote_microphone: RemoteMicrophone | None = None

    def __post_init__(self) -> None:
        counts = {len(self.gain_db), len(self.ratio), len(self.knee_db_spl), len(self.crossover_hz) + 1}
        if len(counts) != 1 or list(self.crossover_hz) != sorted(self.crossover_hz):
            raise InputError(
                "build a virtual hearing aid",
                f"{len(self.crossover_hz)} crossovers meet {len(self.gain_db)} gains, "
                f"{len(self.ratio)} ratios and {len(self.knee_db_spl)} knees",
                "give ascending crossovers and one gain, ratio and knee more than crossovers",
            )
        bands = len(self.gain_db)
        per_band = {
            "expansion": None if self.expansion is None else len(self.expansion.knee_db_spl),
            "noise reduction": None if self.noise_reduction is None else len(self.noise_reduction.depth_db),
            "feedback canceller": None if self.feedback_canceller is None else len(self.feedback_canceller.depth_db),
        }
        for what, count in per_band.items():
            if count not in (None, bands):
                raise InputError(
                    "build a virtual hearing aid",
                    f"its {what} is for {count} bands, and it has {bands}",
                    "give one value for each band",
                )
        if self.volume_db > 0.0:
            raise InputError(
                "build a virtual hearing aid",
                f"its volume lies {self.volume_db:g} dB above full on",
                "choose a volume of 0 dB or less",
            )

    @property
    def ceiling_pa(self) -> float:
        """Largest amplitude of the drive. [Pa]"""
        return float(np.sqrt(2.0) * REFERENCE_PA * 10.0 ** (self.ceiling_db_spl / 20.0))

    def band_weights(self, frequency_hz: FloatArray) -> FloatArray:
        """Weight of each band, shape (bands, n); without the bandwidth limits they add up to one. [1]"""
        return self._crossover.weights(np.asarray(frequency_hz, dtype=np.float64))

    @property
    def _crossover(self) -> Crossover:
        return Crossover(crossover_hz=self.crossover_hz, low_hz=self.low_hz, high_hz=self.high_hz, delay_s=self.delay_s)

    def band_gain(self, level_db_spl: FloatArray) -> FloatArray:
        """Gain of each band at its detected level and this volume, shape (bands, ...). [1]"""
        return np.asarray(10.0 ** (self._band_gain_db(level_db_spl) / 20.0))

    def _band_gain_db(self, level_db_spl: FloatArray) -> FloatArray:
        column = (len(self.gain_db),) + (1,) * (np.ndim(level_db_spl) - 1)
        knee, gain, ratio = (np.reshape(v, column) for v in (self.knee_db_spl, self.gain_db, self.ratio))
        above = np.maximum(level_db_spl - knee, 0.0)
        found = gain - (1.0 - 1.0 / ratio) * above + self.volume_db
        return np.asarray(found if self.expansion is None else found + self.expansion.change_db(level_db_spl))

    def tone_drive_pa(
        self, frequency_hz: FloatArray, level_db_spl: FloatArray | float
    ) -> tuple[FloatArray, FloatArray]:
        """Steady drive for a tone: amplitudes of its first three harmonics, and whether it is limited.

        Frequency lowering and what takes steady tones away are left out.

        Parameters
        ----------
        frequency_hz : array (n,)
            Frequencies of the tones. [Hz]
        level_db_spl : float or array (n,)
            Level of the input, behind the ports, of all or of each. [dB re 20 µPa]

        Returns
        -------
        amplitude_pa : array (3, n)
            Amplitudes of the fundamental, second and third harmonic of the drive. [Pa]
        limited : array of bool (n,)
            Where the limiter works.
        """
        amplitude = np.sqrt(2.0) * REFERENCE_PA * 10.0 ** (np.asarray(level_db_spl) / 20.0)
        in_band = self.band_weights(frequency_hz) * amplitude
        detected = 20.0 * np.log10(np.maximum(in_band, _LOWEST_PA) / (np.sqrt(2.0) * REFERENCE_PA))
        unlimited = np.sum(in_band * self.band_gain(detected), axis=0)
        before = np.minimum(unlimited, self.ceiling_pa)
        relative = before / self.ceiling_pa
        receiver = 10.0 ** (self.receiver_db / 20.0)
        return receiver * np.stack(
            [
                before * (1.0 + 3.0 * self.third_harmonic * relative**2),
                before * self.second_harmonic * relative,
                before * self.third_harmonic * relative**2,
            ]
        ), unlimited > self.ceiling_pa

    def process(
        self, pressure_pa: FloatArray, sampling_rate_hz: float, rng: np.random.Generator, *, split: bool = False
    ) -> AidTake:
        """Drive of the receiver for sound at the input, behind the ports.

        Parameters
        ----------
        pressure_pa : array (n,)
            Sound pressure at the input; n a whole number of milliseconds. [Pa]
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
        heard = fft.rfft(pressure_pa)
        if self.noise is not None:
            heard = heard + self._noise_spectrum(rng, size, sampling_rate_hz)
        weights, ranges = bands_of(self._crossover, size, sampling_rate_hz)
        momentary = np.empty((len(self.gain_db), size // step))
        for index, (weight, (low, high)) in enumerate(zip(weights, ranges, strict=True)):
            momentary[index] = self._momentary_db(heard[low:high] * weight, low, size // step, size)
        gains = self._frame_gains(momentary)
        total = self._summed(heard, gains, size, sampling_rate_hz)
        limiting = self._limiting(total, step)
        drive = self._curve(total * frame_gain_to_samples(limiting, step))
        signal = drive
        if split and self.noise is not None:
            alone = self._summed(fft.rfft(pressure_pa), gains * limiting, size, sampling_rate_hz)
            signal = self._curve(alone)
        return AidTake(
            drive_pa=drive,
            signal_pa=signal,
            noise_density_pa2=self._noise_density(gains * limiting),
        )

    def _noise_spectrum(self, rng: np.random.Generator, size: int, sampling_rate_hz: float) -> ComplexArray:
        """Bins of the aid's own noise at its input."""
        if self.noise is None:
            return np.zeros(size // 2 + 1, dtype=np.complex128)
        spectrum = self.noise.spectrum(rng, size, sampling_rate_hz)
        if self.directional:
            frequency_hz = bin_frequencies(size, sampling_rate_hz)
            spectrum = spectrum * np.sqrt(self.ports.noise_power(frequency_hz, directional=True))
        return np.asarray(spectrum)

    def _momentary_db(self, band: ComplexArray, low: int, frames: int, size: int) -> FloatArray:
        """Momentary level of a band in every frame. [dB re 20 µPa]"""
        peaks = analytic_frame_peaks(band, low, frames, size)
        return np.asarray(20.0 * np.log10(np.maximum(peaks, _LOWEST_PA) / (np.sqrt(2.0) * REFERENCE_PA)))

    def _frame_gains(self, momentary_db: FloatArray) -> FloatArray:
        """Gain of each band at the start of every frame."""
        detected = detect_level_db(momentary_db, attack_s=self.attack_s, release_s=self.release_s)
        gain_db = self._band_gain_db(detected)
        for reduction in (self.noise_reduction, self.feedback_canceller):
            if reduction is not None:
                gain_db = gain_db + reduction.course_db(momentary_db)
        return np.asarray(10.0 ** (gain_db / 20.0))

    def _summed(self, spectrum: ComplexArray, gains: FloatArray, size: int, sampling_rate_hz: float) -> FloatArray:
        """Sum of the bands of a spectrum with their gains, lowered in frequency. [Pa]"""
        step = size // gains.shape[-1]
        whole = np.zeros(size)
        slow = np.zeros(size // 2 + 1, dtype=np.complex128)
        for gain, weight, (low, high) in zip(gains, *bands_of(self._crossover, size, sampling_rate_hz), strict=True):
            every = decimation(high, size, step, sampling_rate_hz)
            band = inverse_band(spectrum[low:high] * weight, low, size // every)
            band *= frame_gain_to_samples(gain, step // every)
            if every == 1:
                whole += band
            else:
                turned = fft.rfft(band)
                slow[: turned.size] += turned
        total = whole + fft.irfft(slow, n=size)
        return total if self.lowering is None else self.lowering.apply(total, sampling_rate_hz)

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
        receiver = 10.0 ** (self.receiver_db / 20.0)
        if self.second_harmonic == 0.0 and self.third_harmonic == 0.0:
            return drive if self.receiver_db == 0.0 else np.asarray(drive * receiver)
        x = drive / self.ceiling_pa
        curved = drive * (1.0 + x * (2.0 * self.second_harmonic + 4.0 * self.third_harmonic * x))
        return np.asarray(curved * receiver)

    def _noise_density(self, gains: FloatArray) -> FloatArray:
        """Density of the aid's own noise in the drive: time mean of |Σ g w|² times its density, not lowered."""
        if self.noise is None:
            return np.zeros_like(TWELFTH_OCTAVE_HZ)
        weights = self.band_weights(TWELFTH_OCTAVE_HZ)
        receiver = 10.0 ** (self.receiver_db / 10.0) * self.ports.noise_power(
            TWELFTH_OCTAVE_HZ, directional=self.directional
        )
        products = gains @ gains.T / gains.shape[1]
        power = np.einsum("bf,bf->f", weights, products @ weights)
        return np.asarray(power * receiver * self.noise.density_pa2(TWELFTH_OCTAVE_HZ))
