"""From changes since an earlier visit to plain records, and from a stored answer to the visit it tells of."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

from umbo.core import Bandwidth, CouplerKind, Coupling, Ear, Plane, PointState, Source
from umbo.errors import InputError
from umbo.record._answers import AidedRun, EarVerification, VerifyAnswer
from umbo.record._curves import CurveRecord, GradedRecd
from umbo.record._fit import ChangeRecord, EarChanges, SinceRecord
from umbo.record._from_curve import finding_records
from umbo.record._plain import HZ_DECIMALS, rounded, state_words
from umbo.session import Earlier, EarlierCurve, EarlierEar, EarlierRecd, EarResult, SessionResult
from umbo.verdict import Change, Watched

__all__ = ["earlier_visit", "since_record"]

_ASKED, _DO = "read the earlier answer", "give the result.json that umbo verify wrote"

_NOTE = (
    "Of the earlier visit only the standard uncertainty of each value was kept, not its causes: what both visits "
    "share, a microphone for example, counts twice. So a change has to be larger to count as significant."
)


def since_record(result: SessionResult) -> SinceRecord | None:
    """What has changed since the earlier visit; None where none was given."""
    earlier = result.earlier
    if earlier is None or earlier.measured_on is None:
        return None
    both = {side: ear for side, ear in result.ears.items() if side in earlier.ears}
    return SinceRecord(
        case=earlier.case_id,
        measured=earlier.measured_on.isoformat(),
        note=_NOTE,
        ears={side.value: _ear_changes(ear) for side, ear in both.items()},
    )


def _ear_changes(ear: EarResult) -> EarChanges:
    compared = {change.watched for change in ear.changes}
    return EarChanges(
        compared=[_change_record(change) for change in ear.changes],
        not_compared=[watched.phrase for watched in Watched if watched not in compared],
    )


def _change_record(change: Change) -> ChangeRecord:
    found = change.contrast
    return ChangeRecord(
        watched=change.watched.value,
        frequency_hz=rounded(found.frequency_hz, HZ_DECIMALS),
        change_db=rounded(found.difference_db),
        u_db=rounded(found.u_db),
        state=state_words(found),
        significant=[bool(x) for x in change.is_significant],
        calls_for_action=[bool(x) for x in change.calls_for_action],
        findings=finding_records(change.findings),
    )


def earlier_visit(answer: VerifyAnswer) -> Earlier:
    """An answer of ``umbo verify`` as the earlier visit a session compares with.

    Parameters
    ----------
    answer : VerifyAnswer
        A stored answer.

    Returns
    -------
    Earlier
        Its RECDs, and its thresholds, aided levels and maximum output at the eardrum.

    Raises
    ------
    InputError
        If its date or a plane it names is none.
    """
    return Earlier(
        case_id=answer.case,
        client=answer.client,
        measured_on=_day(answer.measured),
        ears={Ear(side): _ear(ear) for side, ear in answer.ears.items()},
    )


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(_ASKED, f"its date {text[:40]!r} is none", _DO) from None


def _ear(ear: EarVerification) -> EarlierEar:
    heard = None if ear.thresholds is None else ear.thresholds.at_eardrum
    return EarlierEar(
        middle_ear=ear.middle_ear,
        recds=tuple(_recd(recd) for recd in ear.recds),
        thresholds=None if heard is None else _curve(heard),
        aided={run.input_db_spl: _curve(run.at_eardrum) for run in ear.speech},
        maximum=_maximum(ear.maximum_output),
    )


def _maximum(run: AidedRun | None) -> dict[float, EarlierCurve]:
    return {} if run is None else {run.input_db_spl: _curve(run.at_eardrum)}


def _curve(curve: CurveRecord) -> EarlierCurve:
    return _points(curve, curve.plane)


def _points(curve: CurveRecord | GradedRecd, plane: str) -> EarlierCurve:
    hz = curve.frequency_hz
    sizes = {len(hz), len(curve.level_db), len(curve.u_db), len(curve.state)}
    if sizes != {len(hz)} or not hz or hz[0] <= 0 or any(b <= a for a, b in pairwise(hz)) or min(curve.u_db) < 0:
        raise InputError(
            _ASKED,
            "a curve in it has lists of different length, frequencies that do not ascend, or an uncertainty below zero",
            _DO,
        )
    return EarlierCurve(
        plane=Plane.parse(plane),
        bandwidth=_bandwidth(curve.bandwidth),
        frequency_hz=tuple(hz),
        level_db=tuple(curve.level_db),
        u_db=tuple(curve.u_db),
        states=tuple(PointState(word) for word in curve.state),
    )


def _recd(recd: GradedRecd) -> EarlierRecd:
    return EarlierRecd(
        kind=CouplerKind(recd.coupler),
        source=Source(recd.source),
        coupling=Coupling(recd.coupling),
        grade=recd.grade,
        curve=_points(recd, recd.to),
    )


def _bandwidth(word: str) -> Bandwidth:
    try:
        return Bandwidth(word)
    except ValueError:
        raise InputError(_ASKED, f"{word[:40]!r} is no bandwidth among {', '.join(Bandwidth)}", _DO) from None
