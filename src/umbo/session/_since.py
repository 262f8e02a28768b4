"""What has changed since an earlier visit."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TypeVar

import numpy as np

from umbo.core import (
    AUDIOMETRIC_HZ,
    Component,
    Ear,
    Finding,
    FloatArray,
    Grid,
    Level,
    PointState,
    Severity,
    States,
    Tags,
    Transfer,
    has_name,
    lies_within,
)
from umbo.errors import InputError
from umbo.session._aided import AVERAGE_SPEECH_DB_SPL
from umbo.session._earlier import Earlier, EarlierCurve, EarlierEar
from umbo.session._plan import Plan
from umbo.session._recds import MeasuredRecd
from umbo.session._result import EarResult
from umbo.session._routes import Route
from umbo.verdict import Change, Watched, change_since

__all__ = ["changes_since", "middle_ear_finding", "require_comparable"]

#: Grade of an RECD that nothing rests on.
_REJECTED = "D"


def require_comparable(earlier: Earlier, plan: Plan) -> tuple[date, date]:
    """Refuse to compare two clients, or visits of which one has no day or the earlier is the later one.

    Parameters
    ----------
    earlier : Earlier
        The earlier visit.
    plan : Plan
        This one.

    Returns
    -------
    tuple of date
        Day of the earlier visit and of this one.

    Raises
    ------
    InputError
        If the two cannot be compared.
    """
    asked = "compare this visit with an earlier one"
    if earlier.client != plan.client.code:
        raise InputError(
            asked,
            f"the earlier answer is of the client '{earlier.client}' and this case of '{plan.client.code}'",
            "give an answer of the same client",
        )
    for day, which in ((earlier.measured_on, "the earlier answer"), (plan.date, "this case")):
        if day is None:
            raise InputError(asked, f"{which} does not say when it was measured", "state measured in its case.toml")
    then_on, now_on = earlier.measured_on, plan.date
    if then_on is None or now_on is None or then_on > now_on:
        raise InputError(asked, f"the earlier answer is of {then_on} and this case of {now_on}", "exchange the two")
    return then_on, now_on


def changes_since(
    then: EarlierEar, now: EarResult, *, then_on: date, now_on: date, age_months: float | None
) -> tuple[Change, ...]:
    """Compare RECD, thresholds, aided speech and maximum output of one ear with an earlier visit.

    What one of the visits lacks, or measured in another way, is not compared.

    Parameters
    ----------
    then : EarlierEar
        The ear at the earlier visit.
    now : EarResult
        The same ear now.
    then_on, now_on : date
        Days of both visits.
    age_months : float or None
        Age now. [month]
    """
    side = now.plan.ear
    pairs: list[tuple[Watched, Level | Transfer, Level | Transfer]] = []
    if (recds := _recds(then, now)) is not None:
        pairs.append((Watched.RECD, *recds))
    heard = now.thresholds.at_eardrum if now.thresholds is not None else None
    if then.thresholds is not None and heard is not None and (held := _both(then.thresholds, heard)).size:
        pairs.append((Watched.THRESHOLD, *_levels(then.thresholds, heard, held, side)))
    aided = {s.run.input_db_spl: s.run.at_eardrum for s in now.speech}
    if (level := _middle(set(aided) & set(then.aided))) is not None:
        pairs += _compared(Watched.AIDED_LEVEL, then.aided[level], aided[level], side)
    if now.maximum is not None and now.maximum.run.input_db_spl in then.maximum:
        before = then.maximum[now.maximum.run.input_db_spl]
        pairs += _compared(Watched.MAXIMUM_OUTPUT, before, now.maximum.run.at_eardrum, side)
    return tuple(
        change_since(before, after, watched, then_on=then_on, now_on=now_on, age_months=age_months)
        for watched, before, after in pairs
    )


def _compared(
    watched: Watched, before: EarlierCurve, now: Level, ear: Ear
) -> list[tuple[Watched, Level | Transfer, Level | Transfer]]:
    """A pair of levels at the eardrum; none where they have no frequency in common."""
    held = _audiometric(before, now)
    return [(watched, *_levels(before, now, held, ear))] if held.size else []


def middle_ear_finding(then: EarlierEar, now: EarResult, then_on: date) -> Finding | None:
    """A middle ear in another state than at the earlier visit: what was measured then is not of this ear any more."""
    before, after = then.middle_ear, now.plan.middle_ear
    if before == after:
        return None
    text = f"The middle ear was '{before}' on {then_on} and is '{after}' now: an RECD of that day is out of date."
    action = "Use only what was measured in the present state; look into the ear and take a tympanogram."
    return Finding("middle_ear_changed", Severity.WARN, text, action, "babyhearing.org RECD page; common practice")


def _recds(then: EarlierEar, now: EarResult) -> tuple[Transfer, Transfer] | None:
    """The RECD in use, else any other, with one of the same coupler, sound and coupling at the earlier visit."""
    used = now.route.measured if isinstance(now.route, Route) else None
    candidates = [recd for recd in (used, *now.recds) if recd is not None and recd.grade.letter != _REJECTED]
    for recd in candidates:
        for before in then.recds:
            same = (before.kind, before.source, before.coupling) == (recd.kind, recd.source, recd.coupling)
            held = _audiometric(before.curve, recd.curve)
            if same and before.grade != _REJECTED and before.curve.plane == recd.curve.end and held.size:
                return _transfers(before.curve, recd, held)
    return None


def _transfers(before: EarlierCurve, recd: MeasuredRecd, frequency_hz: FloatArray) -> tuple[Transfer, Transfer]:
    now, grid = recd.curve, Grid.tones(frequency_hz)
    tags = Tags(
        quantity="RECD", ear=recd.ear, stimulus=None, statistic=None, coupling=recd.coupling, source=recd.source
    )
    then = Transfer.given(
        Grid(np.array(before.frequency_hz), before.bandwidth),
        before.level_db,
        start=now.start,
        end=now.end,
        tags=tags,
        source=_SOURCE,
        components=_causes(before, f"recd:{recd.ear}"),
        states=_states(before.states),
    )
    return _on(then, grid), _on(now, grid)


def _levels(before: EarlierCurve, now: Level, frequency_hz: FloatArray, ear: Ear) -> tuple[Level, Level]:
    grid = Grid.tones(frequency_hz)
    tags = Tags(quantity=now.tags.quantity, ear=ear, stimulus=None, statistic=None, coupling=None, source=None)
    then = Level.given(
        Grid(np.array(before.frequency_hz), before.bandwidth),
        before.level_db,
        plane=before.plane,
        tags=tags,
        source=_SOURCE,
        components=_causes(before, f"{now.tags.quantity}:{ear}"),
        states=_states(before.states),
    )
    return _on(then, grid), _on(now, grid)


#: How an explanation names what is only known from a stored answer.
_SOURCE = "answer of the earlier visit"


def _causes(before: EarlierCurve, name: str) -> tuple[Component, ...]:
    """All of its uncertainty as one cause of its own: what both visits share counts twice, which errs to the wide."""
    label = "uncertainty of the earlier visit, its causes not kept"
    return (Component(f"earlier:{name}", label, np.array(before.u_db), "none", "B", _SOURCE),)


def _states(words: Iterable[PointState]) -> States:
    each = tuple(words)
    states = States.ok(len(each))
    for state in dict.fromkeys(each):
        if state is not PointState.OK:
            states = states.marked(state, [word is state for word in each], "as stored at the earlier visit")
    return states


_C = TypeVar("_C", Level, Transfer)


def _on(curve: _C, grid: Grid) -> _C:
    return curve.on(grid, method="log_frequency", outside="refuse")


def _audiometric(before: EarlierCurve, now: Level | Transfer) -> FloatArray:
    """Audiometric frequencies inside the range of both. [Hz]"""
    low = max(before.frequency_hz[0], float(now.frequency_hz[0]))
    high = min(before.frequency_hz[-1], float(now.frequency_hz[-1]))
    return np.array([hz for hz in AUDIOMETRIC_HZ if lies_within(hz, low, high)])


def _both(before: EarlierCurve, now: Level) -> FloatArray:
    """Frequencies at which both were measured. [Hz]"""
    held: FloatArray = now.frequency_hz[has_name(now.frequency_hz, before.frequency_hz)]
    return held


def _middle(levels_db: Iterable[float]) -> float | None:
    """The input level nearest to average speech. [dB SPL]"""
    return min(levels_db, key=lambda level: (abs(level - AVERAGE_SPEECH_DB_SPL), level), default=None)
