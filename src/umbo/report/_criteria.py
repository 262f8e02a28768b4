"""The table of criteria: one row a criterion, one cell an ear."""

from __future__ import annotations

from typing import Any

from umbo.record import EarVerification, JudgementRecord, PointRecord, VerifyAnswer
from umbo.report._density import Density, shortened
from umbo.report._words import OUTCOMES, hertz, signed, spaced

__all__ = ["criteria_table"]

_NAMES = {
    "match": "Speech {} dB: match to target",
    "rms": "Speech {} dB: rms deviation",
    "audible": "Speech {} dB: above threshold",
}
_STATES_KNOWN = ("ok", "interpolated", "noisy")


def criteria_table(answer: VerifyAnswer, density: Density) -> dict[str, Any]:
    """Make the table of criteria.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    density : Density
        How many rows.

    Returns
    -------
    dict
        ``ears``, ``rows`` (name and a cell an ear, None where an ear has not this criterion), ``more``.
    """
    names = list(dict.fromkeys(j.criterion for ear in answer.ears.values() for j in ear.verdict.judgements))
    rows = [
        {"name": shortened(_name(name), density.letters), "cells": [_cell(ear, name) for ear in answer.ears.values()]}
        for name in names[: density.criteria]
    ]
    rest = len(names) - len(rows)
    more = f"{rest} more criteria in the machine-readable record." if rest else ""
    return {"ears": [f"{side.capitalize()} ear" for side in answer.ears], "rows": rows, "more": more}


def _name(criterion: str) -> str:
    kind, _, rest = criterion.partition("_")
    return _NAMES[kind].format(rest) if kind in _NAMES and rest else spaced(criterion).capitalize()


def _cell(ear: EarVerification, name: str) -> dict[str, str] | None:
    judgement = next((j for j in ear.verdict.judgements if j.criterion == name), None)
    if judgement is None:
        return None
    return {"kind": judgement.outcome, "word": OUTCOMES[judgement.outcome], "value": _value(ear, judgement)}


def _value(ear: EarVerification, judgement: JudgementRecord) -> str:
    """Give the number that decided: the criterion's own, else that of the frequency that decided."""
    if judgement.value_db is not None:
        return f"{judgement.value_db:.1f} dB"
    if judgement.points:
        point = _deciding(judgement)
        above = " re limit" if judgement.criterion.startswith("maximum") else ""
        return f"{signed(point.deviation_db)} dB{above}, {hertz(point.frequency_hz)}"
    return _heard(ear, judgement.criterion)


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
    known = [db for db, state in zip(curve.level_db, curve.state, strict=True) if state in _STATES_KNOWN]
    return f"{sum(db > 0.0 for db in known)} of {len(known)} bands"
