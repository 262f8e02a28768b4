"""The table of criteria: outcome and deciding number of each, ears side by side."""

from __future__ import annotations

from math import log2
from typing import Any

from umbo.record import USABLE_STATES, EarVerification, JudgementRecord, PointRecord, VerifyAnswer
from umbo.report._density import Density, shortened
from umbo.report._kept import kept_line
from umbo.report._words import OUTCOMES, hertz, signed, spaced

__all__ = ["criteria_table"]

#: Criteria that are made once for every speech level; any other one has a row of its own.
_KINDS = ("match", "rms", "audible")
#: From the middle of an octave to its lower end. [1]
_HALF = 0.5**0.5


def criteria_table(answer: VerifyAnswer, density: Density) -> dict[str, Any]:
    """Make the table of criteria: a row for each speech level and each other criterion, three cells an ear.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    density : Density
        How many rows.

    Returns
    -------
    dict
        ``ears``, ``rows`` (name and three cells an ear, None where an ear has not this criterion), ``more``.
    """
    names = [j.criterion for ear in answer.ears.values() for j in ear.verdict.judgements]
    keys = list(dict.fromkeys(_row_of(name) for name in names))
    rows = [
        {
            "name": shortened(words, density.letters),
            "cells": [_cell(ear, name) for ear in answer.ears.values() for name in _criteria_of(key, is_speech)],
        }
        for key, words, is_speech in keys[: density.criteria]
    ]
    rest = len(keys) - len(rows)
    more = f"{rest} more rows in the machine-readable record." if rest else ""
    return {
        "ears": [f"{side.capitalize()} ear" for side in answer.ears],
        "rows": rows,
        "more": more,
        "kept": kept_line(answer),
    }


def _row_of(criterion: str) -> tuple[str, str, bool]:
    """Give the row a criterion stands in: its key, its words, and whether it is that of a speech level."""
    kind, _, level = criterion.partition("_")
    if kind in _KINDS and level:
        return level, f"Speech {level} dB", True
    if kind == "slope" and level:
        return criterion, f"Slope, {level} dB", False
    return criterion, spaced(criterion).capitalize(), False


def _criteria_of(key: str, is_speech: bool) -> tuple[str, ...]:
    return tuple(f"{kind}_{key}" for kind in _KINDS) if is_speech else (key, "", "")


def _cell(ear: EarVerification, name: str) -> dict[str, str] | None:
    judgement = next((j for j in ear.verdict.judgements if j.criterion == name), None)
    if judgement is None:
        return _informing_rms(ear, name)
    return {"kind": judgement.outcome, "word": OUTCOMES[judgement.outcome], "value": _value(ear, judgement)}


def _informing_rms(ear: EarVerification, name: str) -> dict[str, str] | None:
    """Give the rms deviation where the guidance has no such criterion: it informs and decides nothing."""
    kind, _, level = name.partition("_")
    run = next((s for s in ear.speech if kind == "rms" and f"{s.input_db_spl:g}" == level), None)
    if run is None or run.rms is None or run.rms.value_db is None:
        return None
    return {"kind": "informs", "word": "", "value": f"{run.rms.value_db:.1f} dB"}


def _value(ear: EarVerification, judgement: JudgementRecord) -> str:
    """Give the number that decided: the criterion's own, else that of the frequency that decided."""
    if judgement.value_db is not None:
        return f"{judgement.value_db:.1f} dB"
    if judgement.points and judgement.unit != "dB":
        point = _deciding(judgement)
        low, high = (_octave_hz(point.frequency_hz * factor) / 1000.0 for factor in (_HALF, 1 / _HALF))
        return f"{signed(point.deviation_db)} dB/oct, {low:g}–{high:g} kHz"
    if judgement.points:
        point = _deciding(judgement)
        return f"{signed(point.deviation_db)} dB, {hertz(point.frequency_hz)}"
    return _heard(ear, judgement.criterion)


def _octave_hz(frequency_hz: float) -> float:
    """Give the nominal octave frequency nearest to one. [Hz]"""
    return 1000.0 * 2.0 ** round(log2(frequency_hz / 1000.0))


def _deciding(judgement: JudgementRecord) -> PointRecord:
    """Give the point furthest towards or beyond its bound, among those with the criterion's outcome."""
    same = [p for p in judgement.points if p.outcome == judgement.outcome] or judgement.points
    if judgement.criterion.startswith("maximum"):
        return max(same, key=lambda p: p.deviation_db)
    return max(same, key=lambda p: abs(p.deviation_db) - p.tolerance_db)


def _heard(ear: EarVerification, criterion: str) -> str:
    kind, _, rest = criterion.partition("_")
    run = next((s for s in ear.speech if kind == "audible" and f"{s.input_db_spl:g}" == rest), None)
    if run is None or run.sensation_level is None:
        return ""
    curve = run.sensation_level
    known = [db for db, state in zip(curve.level_db, curve.state, strict=True) if state in USABLE_STATES]
    return f"{sum(db > 0.0 for db in known)} of {len(curve.level_db)}"
