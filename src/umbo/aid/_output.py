"""The aid's own output in a coupler: averages, maximum, and whether it really was driven to its maximum."""

from __future__ import annotations

import numpy as np

from umbo.core import Finding, FloatArray, Level, Severity

__all__ = ["HFA_HZ", "MAXIMUM_INPUT_DB_SPL", "high_frequency_average_db", "maximum_db", "saturation_finding"]

#: High-frequency average: 1000, 1600 and 2500 Hz (ANSI S3.22, course notes read). [Hz]
HFA_HZ = (1000.0, 1600.0, 2500.0)

#: A sweep at or above this input is meant to show the maximum output (90 dB in the box, from memory). [dB SPL]
MAXIMUM_INPUT_DB_SPL = 85.0

#: Gain must have fallen by this much somewhere for an output to be called limited (engineering judgement). [dB]
_LIMITED_DB = 3.0


def high_frequency_average_db(output: Level) -> float:
    """Mean of the output at 1000, 1600 and 2500 Hz. [dB SPL]."""
    return float(np.mean([output.value_at(f) for f in HFA_HZ]))


def maximum_db(output: Level) -> tuple[float, float]:
    """Largest usable output and its frequency. [dB SPL], [Hz]."""
    level = np.where(output.states.is_usable, output.level_db, -np.inf)
    best = int(np.argmax(level)) if np.isfinite(level).any() else int(np.argmax(output.level_db))
    return float(output.level_db[best]), float(output.frequency_hz[best])


def saturation_finding(
    gain_at_maximum_db: FloatArray, gain_at_speech_db: FloatArray, frequency_hz: FloatArray
) -> Finding | None:
    """Whether the loud sweep drove the aid to its maximum, from the fall of its gain against speech.

    Parameters
    ----------
    gain_at_maximum_db, gain_at_speech_db : array (n,)
        Output minus input with the loud sweep and with speech at a middle level. [dB]
    frequency_hz : array (n,)
        Frequencies. [Hz]

    Returns
    -------
    Finding or None
        A warning if the output rose decibel for decibel with the input: then it is not the maximum output.
    """
    inside = (frequency_hz >= 500) & (frequency_hz <= 4000)
    if not inside.any():
        return None
    fall = float(np.max((gain_at_speech_db - gain_at_maximum_db)[inside]))
    if fall >= _LIMITED_DB:
        return None
    text = (
        f"The gain falls by at most {fall:.1f} dB from speech to the loud sweep: the aid was not driven to its maximum."
    )
    action = "Raise the gain to full-on or the input level for the maximum-output run, with the usual caution."
    return Finding("not_saturated", Severity.WARN, text, action, "common practice, no source", 500.0, 4000.0)
