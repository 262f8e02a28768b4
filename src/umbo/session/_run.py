"""Running a plan: the only place that knows the order of steps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

import numpy as np

from umbo.core import Finding, Grid, Level, Severity, Statistic
from umbo.ear import require_closed
from umbo.errors import NotPossibleHereError
from umbo.prescription import Target
from umbo.session._aided import (
    AidedMaximum,
    AidedSpeech,
    aided_maximum,
    aided_speech,
    saturation,
)
from umbo.session._drawing import drawn
from umbo.session._earlier import Earlier
from umbo.session._heard import heard_speech
from umbo.session._hearing import Hearing, hearing_at_eardrum, predicted_at_eardrum
from umbo.session._judging import (
    closings,
    finding_list,
    judge_maximum,
    judge_speech,
    loop_findings,
    maximum_without_route,
    targets_of,
)
from umbo.session._on_ear import on_ear, on_ear_findings, on_ear_maximum, on_ear_speech
from umbo.session._plan import EarPlan, Plan, Recordings
from umbo.session._readings import Readings, read_all
from umbo.session._recd_age import recd_age
from umbo.session._recds import MeasuredRecd, measured_recds
from umbo.session._result import EarResult, JudgedMaximum, SessionResult
from umbo.session._routes import OnEar, Route, Way, routes
from umbo.session._since import changes_since, middle_ear_finding, require_comparable
from umbo.session._suggesting import to_try
from umbo.session._threshold_findings import between_ears
from umbo.session._two_ears import between_two_ears
from umbo.verdict import RMS_HZ, Judgement, caution_findings, conclude, guidance

__all__ = ["run", "run_recds"]

Progress = Callable[[str], None]


def run(
    plan: Plan,
    recordings: Recordings,
    *,
    grid: Grid | None = None,
    progress: Progress | None = None,
    earlier: Earlier | None = None,
) -> SessionResult:
    """Verify a case: readings, RECDs, thresholds, targets, aided levels, verdict.

    Parameters
    ----------
    plan : Plan
        Names every stimulus, calibration, take, threshold and target.
    recordings : Recordings
        Where samples come from.
    grid : Grid, optional
        Grid of the answer; twelfth-octaves if left out.
    progress : callable, optional
        Called with a phrase before each step.
    earlier : Earlier, optional
        An earlier visit of the same client, to compare this one with.

    Returns
    -------
    SessionResult
        One answer for each ear, and what concerns the whole case.

    Raises
    ------
    UmboError
        If the input is wrong (a recording that cannot be read, ear and coupler exchanged, an earlier visit of another
        client or of a later day). What only keeps one result
        from being reached is no error: it stands in the answer as a sentence.
    """
    tell = progress or (lambda _phrase: None)
    if earlier is not None:
        require_comparable(earlier, plan)
    tell("reading the recordings")
    readings = read_all(plan, recordings)
    used = grid or Grid.twelfth_octave()
    ears = {}
    for side, ear in plan.ears.items():
        tell(f"the {side} ear")
        ears[side] = _since(_advised(_ear(ear, plan, readings, used), plan), earlier, plan)
    hearing = {side: ear.thresholds for side, ear in ears.items()}
    found = (*calibration_findings(plan), *between_ears(plan.ears, hearing), *between_two_ears(ears))
    return SessionResult(plan, ears, found, earlier)


def run_recds(plan: Plan, recordings: Recordings, grid: Grid) -> dict[str, tuple[MeasuredRecd, ...]]:
    """The RECDs of every ear of a plan, and nothing else.

    Parameters
    ----------
    plan : Plan
        Names every stimulus, calibration and take.
    recordings : Recordings
        Where samples come from; speech and noise are not read.
    grid : Grid
        Grid of the answer.

    Returns
    -------
    dict of str to tuple of MeasuredRecd
        For "left" and "right", as far as the plan has them.

    Raises
    ------
    UmboError
        As :func:`run`.
    """
    readings = read_all(plan, recordings, speech=False)
    return {str(side): measured_recds(readings, ear, plan, grid) for side, ear in plan.ears.items()}


def calibration_findings(plan: Plan) -> tuple[Finding, ...]:
    """Calibrations that are old or dated after the measurement."""
    if plan.date is None:
        return ()
    found = (calibration.age_finding(plan.date) for calibration in plan.calibrations.values())
    return tuple(finding for finding in found if finding is not None)


def _ear(ear: EarPlan, plan: Plan, readings: Readings, grid: Grid) -> EarResult:
    recds = measured_recds(readings, ear, plan, grid)
    thresholds = _hearing(ear, recds, Statistic.THRESHOLD, plan)
    discomfort = _hearing(ear, recds, Statistic.LIMIT, plan) or _predicted(ear, thresholds, recds, plan)
    targets, unprescribed = targets_of(ear, thresholds, discomfort, plan.client)
    ways, closed = _ways(ear, recds, plan, readings)
    speech, maxima = _runs(ear, ways, plan, readings, grid)
    way = _chosen(ways, speech, maxima)
    mine = tuple(s for s in speech if s.route is way)
    rules = guidance(ear.guidance)
    judged, judgements = judge_speech(sorted(mine, key=lambda s: s.input_db_spl), targets, thresholds, rules)
    loudest = _loudest(way, maxima)
    maximum, judgement = _judged_maximum(loudest, discomfort, targets, ear, plan)
    every, draws, undrawn = drawn((*judgements, judgement), judged, maximum, rules)
    loops = closings(speech, maxima, ear.ear)
    findings = finding_list(
        closed,
        _said(*recds, *mine),
        _of_maximum(loudest, speech, readings, ear),
        _said(*targets, thresholds, discomfort),
        (*unprescribed, *undrawn),
        loop_findings(loops),
        on_ear_findings(readings, ear, plan),
        _declared(ear, plan),
    )
    return EarResult(
        plan=ear,
        recds=recds,
        route=way,
        thresholds=thresholds,
        discomfort=discomfort,
        targets=targets,
        speech=judged,
        heard=heard_speech([one.run for one in judged], thresholds, ear, plan.client, readings),
        maximum=maximum,
        closings=loops,
        findings=findings,
        verdict=conclude(every, _forbidding(findings, way)),
        guidance=rules,
        draws=draws,
    )


class _Said(Protocol):
    """Whatever carries findings."""

    @property
    def findings(self) -> tuple[Finding, ...]: ...


def _said(*sources: _Said | None) -> list[Finding]:
    return [finding for source in sources if source is not None for finding in source.findings]


def _advised(ear: EarResult, plan: Plan) -> EarResult:
    """The ear with changes worth a try, and with what the age of its RECD says."""
    age = recd_age(ear.recd, ear.plan, plan)
    suggested = to_try(ear.speech, ear.maximum, ear.thresholds, ear.guidance)
    findings = finding_list(ear.findings, () if age is None else age.findings)
    return replace(ear, to_try=suggested, recd_age=age, findings=findings)


def _since(ear: EarResult, earlier: Earlier | None, plan: Plan) -> EarResult:
    """The ear with what has changed since an earlier visit, where there was one."""
    then = None if earlier is None else earlier.ears.get(ear.plan.ear)
    if earlier is None or then is None:
        return ear
    then_on, now_on = require_comparable(earlier, plan)
    changes = changes_since(then, ear, then_on=then_on, now_on=now_on, age_months=plan.client.age_months)
    other = middle_ear_finding(then, ear, then_on)
    said = [finding for change in changes for finding in change.findings]
    findings = finding_list(ear.findings, said, [] if other is None else [other])
    return replace(ear, changes=changes, findings=findings)


def _judged_maximum(
    loudest: AidedMaximum | None, discomfort: Hearing | None, targets: tuple[Target, ...], ear: EarPlan, plan: Plan
) -> tuple[JudgedMaximum | None, Judgement]:
    maximum, judgement = judge_maximum(loudest, discomfort, targets, plan.client)
    if loudest is None and (unreached := maximum_without_route(ear, plan)):
        return maximum, unreached
    return maximum, judgement


def _hearing(ear: EarPlan, recds: tuple[MeasuredRecd, ...], statistic: Statistic, plan: Plan) -> Hearing | None:
    entry = ear.thresholds if statistic is Statistic.THRESHOLD else ear.discomfort
    if entry is None:
        return None
    return hearing_at_eardrum(entry, ear, recds, statistic, age_months=plan.client.age_months)


def _predicted(ear: EarPlan, thresholds: Hearing | None, recds: tuple[MeasuredRecd, ...], plan: Plan) -> Hearing | None:
    """Discomfort levels by the rule that was chosen; none where none was."""
    rule = ear.discomfort_prediction
    if rule is None or thresholds is None:
        return None
    return predicted_at_eardrum(rule, thresholds, ear, recds, age_months=plan.client.age_months)


def _ways(
    ear: EarPlan, recds: tuple[MeasuredRecd, ...], plan: Plan, readings: Readings
) -> tuple[tuple[Way, ...], tuple[Finding, ...]]:
    """Ways to this eardrum; for an open fitting only measuring in the ear, with the finding that says why."""
    here = on_ear(readings, ear, plan)
    measured_here = () if here is None else (here,)
    try:
        require_closed(ear.venting)
    except NotPossibleHereError as error:
        text = f"No level at the eardrum is predicted from a coupler: {error.disagrees}."
        action = f"{error.do[0].upper()}{error.do[1:]}."
        severity = Severity.STOP
        if here is not None:
            severity, action = Severity.INFO, "Nothing to do: the aid was measured in the ear."
        source = "leak corner F13; engineering judgement, no source"
        return measured_here, (Finding("open_fitting", severity, text, action, source),)
    return (*routes(ear, recds, plan), *measured_here), ()


def _runs(
    ear: EarPlan, ways: tuple[Way, ...], plan: Plan, readings: Readings, grid: Grid
) -> tuple[tuple[AidedSpeech, ...], tuple[AidedMaximum, ...]]:
    """Speech and loud sweeps by every way."""
    couplers = tuple(way for way in ways if isinstance(way, Route))
    speech, maxima = aided_speech(readings, ear, couplers, plan), aided_maximum(readings, ear, couplers, plan, grid)
    for way in ways:
        if isinstance(way, OnEar):
            speech += on_ear_speech(readings, ear, way)
            maxima += on_ear_maximum(readings, ear, way, plan, grid)
    return speech, maxima


def _chosen(ways: tuple[Way, ...], speech: tuple[AidedSpeech, ...], maxima: tuple[AidedMaximum, ...]) -> Way | None:
    """The way the verdict rests on: most runs, what was measured rather than predicted, then the smallest uncertainty.

    Measured in the ear comes before a measured RECD, and that before an average; uncertainty is compared at 0.5 to
    4 kHz.
    """
    if not ways:
        return None
    runs: list[AidedSpeech | AidedMaximum] = [*speech, *maxima]

    def order(way: Way) -> tuple[int, int, float, str]:
        mine = [run for run in runs if run.route is way]
        worst = max((_uncertainty(run.at_eardrum) for run in mine), default=float("inf"))
        predicted = 0 if isinstance(way, OnEar) else 1 if way.measured is not None else 2
        return -len(mine), predicted, worst, way.name

    return min(ways, key=order)


def _loudest(way: Way | None, maxima: tuple[AidedMaximum, ...]) -> AidedMaximum | None:
    """The loudest sweep by a way; by the best coupler where speech was measured in the ear and no sweep was."""
    mine = [run for run in maxima if run.route is way]
    if not mine and isinstance(way, OnEar):
        mine = sorted(maxima, key=lambda run: _uncertainty(run.at_eardrum))[:1]
    return max(mine, key=lambda run: run.input_db_spl, default=None)


def _uncertainty(level: Level) -> float:
    """Largest standard uncertainty at 0.5, 1, 2 and 4 kHz; a point that cannot be used counts 20 dB. [dB]."""
    index = [level.grid.index(hz) for hz in RMS_HZ]
    return float(np.max(np.where(level.states.is_usable[index], level.u_db[index], 20.0)))


def _of_maximum(
    maximum: AidedMaximum | None, speech: tuple[AidedSpeech, ...], readings: Readings, ear: EarPlan
) -> tuple[Finding, ...]:
    """What the loud sweep says: of itself, whether it was limited at all, and whether it asks for special care."""
    if maximum is None:
        return ()
    unlimited = saturation(maximum, speech, readings, ear.ear)
    in_coupler = (maximum.measured,) if isinstance(maximum.route, Route) else ()
    cautions = caution_findings(*in_coupler, maximum.at_eardrum)
    return (*maximum.findings, *(() if unlimited is None else (unlimited,)), *cautions)


def _declared(ear: EarPlan, plan: Plan) -> list[Finding]:
    out = []
    if ear.frequency_lowering:
        text = "Frequency lowering is declared: an audibility index would not be valid and is not shown."
        out.append(
            Finding(
                "frequency_lowering",
                Severity.INFO,
                text,
                "Judge lowered sounds by whether they are audible where they arrive.",
                "engineering judgement, no source",
            )
        )
    if plan.client.age_months is None:
        text = "The client's age is not known: broad ranges for all ages and the caution for children are used."
        out.append(Finding("age_not_known", Severity.INFO, text, "State age_months.", "common practice, no source"))
    return out


def _forbidding(findings: tuple[Finding, ...], way: Way | None) -> tuple[Finding, ...]:
    """Findings that may forbid a verdict: those of the chosen route, not those of a rejected reading beside it."""
    measured = way.measured if isinstance(way, Route) else None
    rejected = set() if measured is None else set(measured.findings)
    shape = {"wrong_coupler", "blocked_probe"}
    return tuple(f for f in findings if f.code not in shape or f in rejected or way is None)
