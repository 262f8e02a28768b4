"""Microphone chains: pressure in, samples out, with everything that goes wrong on the way."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy import signal

from umbo.core import FloatArray
from umbo.sim._noise import NoiseFloor

__all__ = ["MicrophoneChain", "RecordingFaults", "coupler_microphone", "probe_microphone"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingFaults:
    """What a recorder can do to a take; the defaults do nothing.

    Attributes
    ----------
    clip_fs : float
        Samples beyond ± this stay at it; a file cannot hold more than 1. [FS]
    dropout_s : tuple of float or None
        Start and length of a stretch of zeros. [s]
    dc_fs : float
        Constant added. [FS]
    gain_drift_db : float
        Change of gain from the first sample to the last, evenly in decibels. [dB]
    clock_ratio : float
        Rate of the recorder's clock over the player's; 1.0001 is 100 parts in a million fast. [1]
    """

    clip_fs: float = 1.0
    dropout_s: tuple[float, float] | None = None
    dc_fs: float = 0.0
    gain_drift_db: float = 0.0
    clock_ratio: float = 1.0

    def apply(self, samples: FloatArray, sampling_rate_hz: float) -> FloatArray:
        """The take as the file holds it; its length changes with the clock ratio only. [FS]"""
        result = samples
        if self.clock_ratio != 1.0:
            result = np.asarray(signal.resample(result, round(result.size * self.clock_ratio)))
        if self.gain_drift_db != 0.0:
            result = result * 10.0 ** (np.linspace(0.0, self.gain_drift_db, result.size) / 20.0)
        result = np.clip(result + self.dc_fs, -self.clip_fs, self.clip_fs)
        if self.dropout_s is not None:
            start = round(self.dropout_s[0] * sampling_rate_hz)
            result[start : start + round(self.dropout_s[1] * sampling_rate_hz)] = 0.0
        return result


@dataclass(frozen=True, slots=True, kw_only=True)
class MicrophoneChain:
    """A microphone, its amplifier and converter.

    Attributes
    ----------
    name : str
        Name of its calibration block.
    pa_per_full_scale : float
        Stated calibration: pascals of a sample of 1.0. [Pa]
    u_db : float
        Stated standard uncertainty of that factor. [dB]
    true_error_db : float
        True factor over stated factor: the drawn calibration error. [dB]
    noise : NoiseFloor or None
        Noise of the chain; none for a noise-free bench.
    """

    name: str
    pa_per_full_scale: float
    u_db: float
    true_error_db: float
    noise: NoiseFloor | None

    @property
    def true_pa_per_full_scale(self) -> float:
        """True calibration factor. [Pa]"""
        return float(self.pa_per_full_scale * 10.0 ** (self.true_error_db / 20.0))

    def redraw(self, rng: np.random.Generator) -> MicrophoneChain:
        """The same chain with a calibration error drawn from N(0, u_db)."""
        return replace(self, true_error_db=float(rng.normal(0.0, self.u_db)))

    def perfect(self) -> MicrophoneChain:
        """The same chain without noise and calibration error."""
        return replace(self, true_error_db=0.0, noise=None)

    def record(
        self,
        pressure_pa: FloatArray,
        sampling_rate_hz: float,
        rng: np.random.Generator,
        faults: RecordingFaults | None = None,
    ) -> FloatArray:
        """Samples of a take.

        Parameters
        ----------
        pressure_pa : array (n,)
            Sound pressure at the microphone. [Pa]
        sampling_rate_hz : float
            Samples a second. [Hz]
        rng : Generator
            Source of the noise.
        faults : RecordingFaults, optional
            What the recorder does wrong; without it samples are only clipped at full scale.

        Returns
        -------
        array (n,)
            Samples. [FS]
        """
        pressure = pressure_pa
        if self.noise is not None:
            pressure = pressure + self.noise.samples(rng, pressure_pa.size, sampling_rate_hz)
        chosen = faults if faults is not None else RecordingFaults()
        return chosen.apply(pressure / self.true_pa_per_full_scale, sampling_rate_hz)


def coupler_microphone(
    *, level_dba: float = 28.0, u_db: float = 0.3, pa_per_full_scale: float = 100.0
) -> MicrophoneChain:
    """A measuring microphone in a coupler: 28 dB(A) of noise within the usual 22 to 34 (shape and range assumed).

    Parameters
    ----------
    level_dba : float
        A-weighted level of its noise. [dB re 20 µPa]
    u_db : float
        Standard uncertainty of its calibration. [dB]
    pa_per_full_scale : float
        Sound pressure that fills the converter. [Pa]

    Returns
    -------
    MicrophoneChain
        Without a calibration error; ``redraw`` gives it one.
    """
    noise = NoiseFloor(level_dba=level_dba, low_corner_hz=200.0)
    return MicrophoneChain(
        name="coupler_mic", pa_per_full_scale=pa_per_full_scale, u_db=u_db, true_error_db=0.0, noise=noise
    )


def probe_microphone(*, level_dba: float = 38.0, u_db: float = 0.5) -> MicrophoneChain:
    """A probe-tube microphone: noisier, more so above 3 kHz where the tube's loss is equalised (assumed).

    Parameters
    ----------
    level_dba : float
        A-weighted level of its noise. [dB re 20 µPa]
    u_db : float
        Standard uncertainty of its calibration. [dB]

    Returns
    -------
    MicrophoneChain
        Without a calibration error; ``redraw`` gives it one.
    """
    noise = NoiseFloor(level_dba=level_dba, low_corner_hz=200.0, high_corner_hz=3000.0)
    return MicrophoneChain(name="probe_mic", pa_per_full_scale=100.0, u_db=u_db, true_error_db=0.0, noise=noise)
