"""The whole answer of ``umbo aid`` from a whole session, and the numbers of an earlier answer."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from umbo import __version__
from umbo.aid import Conditions, Feature, InputRoute, Item, Measure, Settings, StimulusKind, Switch, Volume
from umbo.core import Component, Curve, Ear, Plane, Uncertainty
from umbo.record._aid_answers import AidAnswer, AidCurves, AidRecord, TwoCouplersRecord
from umbo.record._aid_parts import AidMeasure, CheckSourceRecord, UnmeasuredRecord
from umbo.record._curves import CurveRecord
from umbo.record._from_aid import ITEM_KEYS, change_record, measure_record, reference_record, sheet_record
from umbo.record._from_aid_tests import (
    check_record,
    distortion_record,
    input_output_record,
    lowering_record,
    noise_record,
    ratio_record,
    reduction_record,
    route_record,
    speech_record,
    steps_record,
)
from umbo.record._from_curve import curve_record, finding_records
from umbo.refdata import table
from umbo.session import AidComparisons, AidInCoupler, AidResult, Unmeasured

__all__ = ["AID_CAUTIONS", "aid_answer", "earlier_measures"]

#: Printed with every answer.
AID_CAUTIONS = (
    "Full-on gain and 90 dB input make the loudest sound an aid can make: never test so with the aid in an ear.",
    "A pass says that this aid is like its sheet, not that it suits a person: listen to it, and verify the fitting.",
    "Not for client care unless it has been cleared for it where you work; local codes and licensed practice go first.",
)

_TABLES = ("ansi-s3.22-undated", "engineering-judgement", "aaa-2008", "iec-62886-2016")


def aid_answer(result: AidResult, *, since: AidAnswer | None = None) -> AidAnswer:
    """Answer of ``umbo aid``.

    Parameters
    ----------
    result : AidResult
        What was found.
    since : AidAnswer, optional
        The earlier answer whose numbers were compared.
    """
    plan, compared = result.plan, result.comparisons
    sides: dict[str, list[AidRecord]] = {}
    for aid in result.aids:
        sides.setdefault(aid.ear.value, []).append(_aid(aid, _standard(result)))
    fields: dict[str, Any] = {
        "schema": 1,
        "case": plan.case_id,
        "software": f"umbo {__version__}",
        "client": plan.client.code,
        "measured": plan.date.isoformat() if plan.date else None,
        "outcome": result.outcome.value,
        "calibrations": [
            f"{c.name}: {c.pa_per_full_scale:g} Pa per full scale, u {c.u_db:g} dB, {c.date.isoformat()}, {c.method}"
            for c in plan.calibrations.values()
        ],
        "box": plan.aid_tests.box,
        "box_u_db": plan.aid_tests.box_u_db,
        "tables": [f"{t.name}: {t.citation()}" for t in (table("hearing_aid_test", source=s) for s in _TABLES)],
        "ears": sides,
        "since": None if since is None else f"{since.measured or 'date not stated'}, case {since.case}",
        "unmeasured": _unmeasured(compared.unmeasured),
        "findings": finding_records(result.findings),
        "cautions": list(AID_CAUTIONS),
    }
    return AidAnswer.model_validate(fields | _comparisons(compared))


def _standard(result: AidResult) -> str:
    sheet = result.plan.aid_tests.data_sheet
    return "" if sheet is None else sheet.standard


def _unmeasured(found: Iterable[Unmeasured]) -> list[UnmeasuredRecord]:
    return [UnmeasuredRecord(what=one.what, why=one.why) for one in found]


def _comparisons(found: AidComparisons) -> dict[str, Any]:
    couplers: dict[str, list[TwoCouplersRecord]] = {}
    for ear, both in found.couplers:
        pair = TwoCouplersRecord(
            large=curve_record(both.large), small=curve_record(both.small), step=curve_record(both.step)
        )
        couplers.setdefault(ear.value, []).append(pair)
    runs: dict[str, list[CurveRecord]] = {}
    for one in found.runs:
        if one.ear is not None:
            runs.setdefault(one.ear.value, []).append(curve_record(one.difference))
    return {
        "between_ears": [curve_record(one.difference) for one in found.ears],
        "between_couplers": couplers,
        "between_runs": runs,
        "changes": {ear.value: [change_record(change) for change in every] for ear, every in found.changes.items()},
        "check_source": [
            CheckSourceRecord(coupler=one.kind.value, change_db=round(one.change_db, 4), u_db=round(one.u_db, 4))
            for one in found.check_source
        ],
    }


def _maybe(curve: Curve | None) -> CurveRecord | None:
    return None if curve is None else curve_record(curve)


def _aid(aid: AidInCoupler, standard: str) -> AidRecord:
    tests, features = aid.sheet_tests, aid.features
    response = tests.response
    routes = [*([] if tests.telecoil is None else [tests.telecoil]), *features.remote]
    return AidRecord(
        coupler=aid.kind.value,
        run=aid.run,
        outcome=aid.outcome.value,
        sheet=sheet_record(aid.sheet, standard),
        measures=[measure_record(measure) for measure in tests.measures],
        reference_gain=reference_record(tests.reference),
        curves=AidCurves(
            output_90=None if tests.output_90 is None else curve_record(tests.output_90.curve),
            full_on_gain=None if tests.full_on_gain is None else curve_record(tests.full_on_gain.curve),
            response=_maybe(None if response is None else response.curve),
            response_gain=_maybe(None if response is None else response.gain),
        ),
        distortion=[distortion_record(one) for one in tests.distortion],
        input_noise=noise_record(tests.input_noise),
        input_output=[input_output_record(one) for one in tests.input_output],
        attack_release=[steps_record(one) for one in tests.steps],
        speech=[speech_record(one) for one in features.speech],
        level_compression=ratio_record(features.compression),
        checks=[check_record(one) for one in features.checks],
        routes=[route_record(one) for one in routes],
        hints=[check_record(one) for one in features.hints],
        noise_reduction=[reduction_record(one) for one in features.noise_reductions],
        frequency_lowering=[lowering_record(one) for one in features.lowerings],
        unmeasured=_unmeasured(aid.unmeasured),
        findings=finding_records(aid.findings),
    )


def earlier_measures(answer: AidAnswer) -> tuple[Measure, ...]:
    """The numbers of an earlier answer, to be compared with those of today.

    Parameters
    ----------
    answer : AidAnswer
        The earlier answer; it knows the uncertainty of each number and not its causes, so that in a difference nothing
        cancels and the uncertainty is too large rather than too small.
    """
    items = {key: (item, scale) for item, (key, _, scale) in ITEM_KEYS.items()}
    return tuple(
        _measure(measure, Ear(side), *items[measure.key], day=answer.measured or "earlier")
        for side, aids in answer.ears.items()
        for aid in aids
        if aid.run == "now"
        for measure in aid.measures
        if measure.key in items
    )


def _measure(record: AidMeasure, ear: Ear, item: Item, scale: float, *, day: str) -> Measure:
    how = record.conditions
    settings = Settings(how.settings, Volume(how.volume), {Feature(k): Switch(v) for k, v in how.features.items()})
    u = np.array([record.u / scale])
    hz = record.frequency_hz
    cause = Component(f"answer of {day}:{ear}:{record.key}:{hz}", "earlier answer", u, "full", "B", f"answer of {day}")
    return Measure(
        item=item,
        value=record.value / scale,
        uncertainty=Uncertainty.of(1, [cause]),
        conditions=Conditions(
            plane=Plane.coupler(how.coupler),
            ear=ear,
            stimulus=StimulusKind(how.stimulus),
            input_db_spl=how.input_db_spl,
            settings=settings,
            route=InputRoute(how.route),
            box=how.box,
            input_u_db=how.input_u_db,
            run="earlier",
        ),
        frequency_hz=hz,
        doubt=record.doubt,
        is_bound=record.is_bound,
    )
