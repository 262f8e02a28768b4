"""Changes worth a try for average speech: suggestions, never commands."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from umbo.core import BoolArray, FloatArray
from umbo.session._aided import AVERAGE_SPEECH_DB_SPL
from umbo.session._hearing import Hearing
from umbo.session._result import JudgedMaximum, JudgedSpeech, ToTry
from umbo.session._routes import OnEar
from umbo.verdict import RMS_HZ, Guidance, output_margin, suggest_changes, total_change, what_if

__all__ = ["SAME_BAND", "margin_of", "middle_run", "to_try"]

#: Nominal and exact name of one band differ by up to this. [1]
SAME_BAND = 0.03


def to_try(
    speech: Sequence[JudgedSpeech], maximum: JudgedMaximum | None, thresholds: Hearing | None, guidance: Guidance
) -> ToTry | None:
    """Suggest changes for average speech, as far as the maximum output allows.

    Parameters
    ----------
    speech : sequence of JudgedSpeech
        Runs of one ear; the one nearest to 65 dB that has a target is taken.
    maximum : JudgedMaximum or None
        Maximum output of that ear.
    thresholds : Hearing or None
        For bands without a response.
    guidance : Guidance
        Whose tolerances. One with an rms criterion alone gives its bound as the tolerance of each band from 0.5 to
        4 kHz: where every band keeps it, the rms does (engineering judgement).

    Returns
    -------
    ToTry or None
        None where no speech was compared with a target.
    """
    run = middle_run(speech)
    if run is None or run.deviation is None:
        return None
    deviation = run.deviation
    hz = deviation.frequency_hz
    margin = margin_of(maximum, hz)
    suggestions = suggest_changes(
        deviation,
        _tolerance(guidance, hz),
        margin_db=margin,
        no_response=_silent(thresholds, hz),
        place="in the ear" if isinstance(run.run.route, OnEar) else "in the coupler",
    )
    change = total_change(suggestions, hz)
    name = f"{run.run.input_db_spl:g}"
    predicted = what_if(deviation, change, name, guidance=guidance, margin_db=margin) if change.any() else None
    return ToTry(run.run.input_db_spl, suggestions, predicted)


def middle_run(speech: Sequence[JudgedSpeech]) -> JudgedSpeech | None:
    """The run nearest to average speech among those with a target, the softer of two."""
    compared = [s for s in speech if s.deviation is not None]
    return min(
        compared, key=lambda s: (abs(s.run.input_db_spl - AVERAGE_SPEECH_DB_SPL), s.run.input_db_spl), default=None
    )


def margin_of(maximum: JudgedMaximum | None, frequency_hz: FloatArray) -> FloatArray:
    """Room between the maximum output and its limit; NaN where it is not known. [dB]"""
    if maximum is None or maximum.excess is None:
        return np.full(len(frequency_hz), np.nan)
    return output_margin(maximum.excess, frequency_hz, is_child=maximum.upper_edge)


def _tolerance(guidance: Guidance, frequency_hz: FloatArray) -> FloatArray:
    if guidance.bands or guidance.rms_db is None:
        return guidance.tolerance_at(frequency_hz)
    low, high = RMS_HZ[0] / (1 + SAME_BAND), RMS_HZ[-1] * (1 + SAME_BAND)
    inside = (frequency_hz >= low) & (frequency_hz <= high)
    return np.where(inside, guidance.rms_db, np.nan)


def _silent(thresholds: Hearing | None, frequency_hz: FloatArray) -> BoolArray:
    """Bands of which the threshold is only a bound."""
    out = np.zeros(len(frequency_hz), dtype=np.bool_)
    if thresholds is None:
        return out
    for hz, silent in zip(thresholds.entered.frequency_hz, thresholds.no_response, strict=True):
        out |= silent & (np.abs(frequency_hz / hz - 1) <= SAME_BAND)
    return out
