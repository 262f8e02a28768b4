"""What the conditions of a test say about its result."""

from __future__ import annotations

from umbo.aid._conditions import Conditions, Feature, StimulusKind, Switch
from umbo.core import Finding, Severity

__all__ = ["limiter_finding", "stimulus_finding"]


def stimulus_finding(conditions: Conditions) -> Finding | None:
    """Say that a sweep and level steps read a compressive aid differently.

    A linear aid reads alike with both. Behind a compressor the gain of a sweep is that of the moment, set by what came
    before; level steps wait for the steady gain.

    Parameters
    ----------
    conditions : Conditions
        Of the reading.

    Returns
    -------
    Finding or None
        None where compression was off, or nothing was swept or stepped.
    """
    compression = conditions.settings.state(Feature.COMPRESSION)
    swept = conditions.stimulus is StimulusKind.SWEEP
    stepped = conditions.stimulus in (StimulusKind.TONES, StimulusKind.LEVEL_STEPS)
    if compression is Switch.OFF or not (swept or stepped):
        return None
    known = "on" if compression is Switch.ON else "not known to be off"
    text = (
        f"Compression was {known}: a sweep and level steps then read differently, by 0.5 to 1.8 dB rms for ratios "
        f"of 2 to 3, and this result holds for {conditions.stimulus.phrase}."
    )
    action = "Compare it only with results of the same stimulus, or switch compression off for the data-sheet test."
    return Finding("stimulus_matters", Severity.INFO, text, action, "own simulation")


def limiter_finding(conditions: Conditions, peak_hz: float) -> Finding | None:
    """Say that a swept maximum output reads low above its peak where the limiter lets go slowly.

    Parameters
    ----------
    conditions : Conditions
        Of the reading.
    peak_hz : float
        Frequency of the largest output. [Hz]

    Returns
    -------
    Finding or None
        None where tones were steady.
    """
    if conditions.stimulus is not StimulusKind.SWEEP:
        return None
    text = (
        f"A sweep passes {peak_hz:.0f} Hz, where the output is largest, and goes on before a slow limiter has let go: "
        "above it the curve, and an average that lies there, may read up to 3 dB lower than with steady tones; a slow "
        "sweep reads less low."
    )
    action = "Sweep slowly (an octave a second or less), or measure with steady tones."
    return Finding("swept_limiter", Severity.INFO, text, action, "own simulation", peak_hz)
