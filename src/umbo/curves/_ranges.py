"""Level of a recording between stated frequencies."""

from __future__ import annotations

import numpy as np

from umbo.calibration import REFERENCE_PRESSURE_PA, Calibration, Recording
from umbo.core import FloatArray
from umbo.dsp import power_between

__all__ = ["range_levels"]


def range_levels(recording: Recording, calibration: Calibration, edges_hz: FloatArray) -> FloatArray:
    """Levels between neighbouring frequencies, noise included.

    Parameters
    ----------
    recording : Recording
        The sound.
    calibration : Calibration
        Microphone chain.
    edges_hz : array (m + 1,)
        Ascending frequencies, up to half the sampling rate. [Hz]

    Returns
    -------
    array (m,)
        Levels. [dB SPL]

    Raises
    ------
    OutOfRangeError
        If the edges do not ascend from at least 0 to at most half the sampling rate.
    """
    power = power_between(recording.samples_fs, recording.sampling_rate_hz, edges_hz)
    scale = (calibration.pa_per_full_scale / REFERENCE_PRESSURE_PA) ** 2
    return np.asarray(10 * np.log10(np.maximum(power * scale, 1e-12)))
