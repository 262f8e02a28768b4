"""Making a calibration from a recording of a sound calibrator."""

from __future__ import annotations

from datetime import date

import numpy as np

from umbo.calibration._calibration import REFERENCE_PRESSURE_PA, Calibration
from umbo.calibration._recording import Recording
from umbo.errors import CalibrationError

__all__ = ["CALIBRATOR_LEVELS_DB", "calibration_from_calibrator"]

#: Levels of sound calibrators at 1 kHz (IEC 60942; from memory). [dB SPL]
CALIBRATOR_LEVELS_DB = (94.0, 114.0)

#: A calibrator's tone must hold at least this share of the recording's power (engineering judgement). [1]
_PURITY = 0.99


def calibration_from_calibrator(
    recording: Recording,
    *,
    name: str,
    level_db_spl: float,
    frequency_hz: float,
    u_calibrator_db: float,
    date: date,
) -> Calibration:
    r"""Sensitivity of a microphone chain from a calibrator's tone.

    .. math:: S = \frac{\sqrt2 \cdot 20\,\mu\mathrm{Pa} \cdot 10^{L/20}}{\hat a} \qquad (1)

    with the tone's amplitude :math:`\hat a` in full scale by least squares at the calibrator's frequency, refined
    within 1 %. The uncertainty joins the calibrator's with the scatter over eight stretches (JCGM 100 Eq. 10).

    Parameters
    ----------
    recording : Recording
        Steady tone, at least one second. [FS]
    name : str
        Name of the chain.
    level_db_spl : float
        Level the calibrator produces. [dB SPL]
    frequency_hz : float
        Its frequency. [Hz]
    u_calibrator_db : float
        Standard uncertainty of that level. [dB]
    date : date
        When.

    Returns
    -------
    Calibration
        Dated, with its uncertainty.

    Raises
    ------
    CalibrationError
        If the recording is too short, clipped, or not that tone.
    """
    asked = f"calibrate '{name}' with the recording '{recording.name}'"
    samples = recording.samples_fs - recording.samples_fs.mean()
    if recording.duration_s < 1.0:
        raise CalibrationError(asked, f"it lasts {recording.duration_s:.2f} s and 1 s is needed", "record longer")
    if np.mean(np.abs(recording.samples_fs) >= 0.9999) > 1e-4:
        raise CalibrationError(asked, "its samples reach full scale", "lower the input gain and record again")
    frequency = _refined(samples, recording.sampling_rate_hz, frequency_hz)
    whole = _amplitude(samples, recording.sampling_rate_hz, frequency)
    power = float(np.mean(samples**2))
    if power == 0 or whole**2 / 2 < _PURITY * power:
        share = 0.0 if power == 0 else 100 * whole**2 / 2 / power
        raise CalibrationError(
            asked,
            f"a tone at {frequency_hz:g} Hz holds {share:.0f} % of its power and {100 * _PURITY:.0f} % are needed",
            "seat the calibrator, check its frequency and record again",
        )
    parts = np.array([_amplitude(p, recording.sampling_rate_hz, frequency) for p in np.array_split(samples, 8)])
    scatter = float(20 * np.log10(parts / parts.mean()).std(ddof=1) / np.sqrt(parts.size))
    sensitivity = np.sqrt(2) * REFERENCE_PRESSURE_PA * 10 ** (level_db_spl / 20) / whole  # Eq. (1)
    return Calibration(
        name=name,
        pa_per_full_scale=float(sensitivity),
        u_db=float(np.hypot(u_calibrator_db, scatter)),
        date=date,
        method=f"calibrator {level_db_spl:g} dB SPL at {frequency_hz:g} Hz",
    )


def _amplitude(samples: np.ndarray[tuple[int], np.dtype[np.float64]], rate_hz: float, frequency_hz: float) -> float:
    """Amplitude of a tone by least squares on cosine and sine."""
    phase = 2 * np.pi * frequency_hz / rate_hz * np.arange(samples.size)
    basis = np.stack([np.cos(phase), np.sin(phase)], axis=1)
    part, *_ = np.linalg.lstsq(basis, samples, rcond=None)
    return float(np.hypot(*part))


def _refined(samples: np.ndarray[tuple[int], np.dtype[np.float64]], rate_hz: float, frequency_hz: float) -> float:
    """Frequency of the strongest line within 1 % of the nominal one (calibrators: IEC 60942 class 1, from memory)."""
    size = min(samples.size, int(4 * rate_hz))
    window = np.hanning(size)
    spectrum = np.abs(np.fft.rfft(samples[:size] * window))
    axis = np.fft.rfftfreq(size, 1 / rate_hz)
    near = np.flatnonzero(np.abs(axis / frequency_hz - 1) <= 0.01)
    if near.size == 0:
        return frequency_hz
    top = int(near[np.argmax(spectrum[near])])
    if not 0 < top < spectrum.size - 1 or spectrum[top] == 0:
        return frequency_hz
    left, mid, right = np.log(np.maximum(spectrum[top - 1 : top + 2], 1e-300))
    shift = 0.5 * (left - right) / (left - 2 * mid + right)  # parabola through three log magnitudes
    return float(axis[top] + shift * (axis[1] - axis[0]))
