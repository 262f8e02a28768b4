"""One aid against the other, one coupler against the other, now against earlier."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from umbo.aid import (
    HFA_HZ,
    AidCurve,
    Item,
    Measure,
    ReferenceResponse,
    TwoCouplerResponse,
    average_at,
    compare_ears,
    compare_measures,
    compare_runs,
    two_coupler_response,
)
from umbo.calibration import Drift
from umbo.core import CouplerKind, Ear, Grid, Level, Transfer
from umbo.errors import InputError
from umbo.session._aid_attempts import Attempts
from umbo.session._aid_plan import AidTest
from umbo.session._aid_readings import AidReading
from umbo.session._aid_result import AidChange, AidComparisons, AidInCoupler, CheckSource, CurveComparison

__all__ = ["EARLIER", "NOW", "compared"]

#: Names of the runs that are compared.
NOW, EARLIER = "now", "earlier"

_BY_FREQUENCY = (Item.DISTORTION, Item.ATTACK, Item.RELEASE, Item.COMPRESSION_RATIO, Item.KNEE, Item.EXPANSION_SLOPE)


def compared(
    aids: Sequence[AidInCoupler], readings: Iterable[AidReading], grid: Grid, earlier: Iterable[Measure]
) -> AidComparisons:
    """Make every comparison that can be made.

    Parameters
    ----------
    aids : sequence of AidInCoupler
        What was measured.
    readings : iterable of AidReading
        Every reading: those of the check source are compared here.
    grid : Grid
        Grid of swept curves.
    earlier : iterable of Measure
        Numbers of an earlier answer.
    """
    attempts = Attempts()
    before = [*earlier, *(m for aid in aids if aid.run == EARLIER for m in aid.sheet_tests.measures)]
    return AidComparisons(
        ears=_ears(aids, attempts),
        couplers=tuple(
            (aid.ear, both) for aid in aids for both in [_couplers(aid, aids, attempts)] if both is not None
        ),
        runs=_runs(aids, attempts),
        changes=_changes(aids, before),
        check_source=_check_source(readings, grid, attempts),
        unmeasured=tuple(attempts.unmeasured),
    )


def _pairs(one: AidInCoupler, other: AidInCoupler) -> list[tuple[Level, Level]]:
    """OSPL90 and response of both, where both were recorded alike."""
    found = []
    for mine, theirs in (
        (one.sheet_tests.output_90, other.sheet_tests.output_90),
        (one.sheet_tests.response, other.sheet_tests.response),
    ):
        first, second = _level_of(mine), _level_of(theirs)
        if mine is None or theirs is None or first is None or second is None:
            continue
        if not mine.conditions.differences(theirs.conditions):
            found.append((first, second))
    return found


def _level_of(found: AidCurve | ReferenceResponse | None) -> Level | None:
    if found is None or isinstance(found.curve, Transfer):
        return None
    return found.curve


def _ears(aids: Sequence[AidInCoupler], attempts: Attempts) -> tuple[CurveComparison, ...]:
    """Left re right in each coupler, where both were set alike."""
    present = {(aid.ear, aid.kind): aid for aid in aids if aid.run == NOW}
    out = []
    for (side, kind), right in present.items():
        left = present.get((Ear.LEFT, kind))
        if side is not Ear.RIGHT or left is None:
            continue
        for one, other in _pairs(right, left):
            made = attempts.make("both ears", compare_ears, one, other)
            if made is not None:
                out.append(CurveComparison(ear=None, kind=kind, difference=made[0], finding=made[1]))
    return tuple(out)


def _couplers(aid: AidInCoupler, aids: Sequence[AidInCoupler], attempts: Attempts) -> TwoCouplerResponse | None:
    """The response in a 2 cc coupler beside that in the 0.4 cc coupler."""
    if aid.run != NOW or not aid.kind.is_2cc:
        return None
    small = next((one for one in aids if (one.ear, one.run, one.kind) == (aid.ear, NOW, CouplerKind.CC04)), None)
    if small is None or aid.sheet_tests.response is None or small.sheet_tests.response is None:
        return None
    pair = aid.sheet_tests.response.curve, small.sheet_tests.response.curve
    return attempts.make("two couplers", two_coupler_response, *pair)


def _runs(aids: Sequence[AidInCoupler], attempts: Attempts) -> tuple[CurveComparison, ...]:
    """Curves now re the earlier run of the same aid in the same coupler."""
    out = []
    for aid in aids:
        before = next((one for one in aids if (one.ear, one.kind, one.run) == (aid.ear, aid.kind, EARLIER)), None)
        if aid.run != NOW or before is None:
            continue
        for then, now in _pairs(before, aid):
            made = attempts.make("two runs", compare_runs, then, now)
            if made is not None:
                out.append(CurveComparison(ear=aid.ear, kind=aid.kind, difference=made[0], finding=made[1]))
    return tuple(out)


def _changes(aids: Sequence[AidInCoupler], earlier: Sequence[Measure]) -> dict[Ear, tuple[AidChange, ...]]:
    """Numbers now re earlier, of the same item, coupler, frequency; ends that were not reached say nothing."""
    before = {_key(measure): measure for measure in earlier if not measure.is_bound}
    out: dict[Ear, list[AidChange]] = {}
    for aid in aids:
        if aid.run != NOW:
            continue
        for now in aid.sheet_tests.measures:
            then = before.get(_key(now))
            if then is not None and not now.is_bound:
                change = AidChange(earlier=then, now=now, difference=compare_measures(then, now))
                out.setdefault(aid.ear, []).append(change)
    return {ear: tuple(changes) for ear, changes in out.items()}


def _key(measure: Measure) -> tuple[object, ...]:
    hz = measure.frequency_hz if measure.item in _BY_FREQUENCY else None
    return measure.conditions.ear, measure.conditions.plane, measure.item, hz, measure.conditions.settings.volume


def _check_source(readings: Iterable[AidReading], grid: Grid, attempts: Attempts) -> tuple[CheckSource, ...]:
    """Drift of the box by a source that does not drift."""
    found: dict[tuple[CouplerKind | None, str], AidReading] = {}
    for reading in readings:
        if reading.run.test is AidTest.CHECK_SOURCE:
            found.setdefault((reading.take.coupler, reading.run.run), reading)
    out = []
    for (kind, run), now in found.items():
        before = found.get((kind, EARLIER))
        if run == NOW and kind is not None and before is not None:
            out.append(attempts.make("check source", _drift, kind, before, now, grid))
    return tuple(one for one in out if one is not None)


def _drift(kind: CouplerKind, before: AidReading, now: AidReading, grid: Grid) -> CheckSource:
    levels = [reading.level(grid, "check source") for reading in (before, now)]
    then, later = levels
    if then is None or later is None:
        raise InputError("compare the check source", "it was not swept", "sweep it in both runs")
    change, uncertainty, doubt = average_at(later.above(then, quantity="change of the check source"), HFA_HZ)
    if doubt:
        raise InputError("compare the check source", doubt, "measure well above the noise")
    drift = Drift(change)
    return CheckSource(kind=kind, change_db=change, u_db=float(uncertainty.u_db[0]), finding=drift.finding())
