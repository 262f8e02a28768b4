"""Running a plan: the only place that knows the order of steps."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from umbo.core import Finding, Grid, Level, Severity, Statistic
from umbo.ear import require_closed
from umbo.errors import NotPossibleHereError
from umbo.session._aided import (
    AidedMaximum,
    AidedSpeech,
    Route,
    aided_maximum,
    aided_speech,
    routes,
    saturation,
)
from umbo.session._hearing import Hearing, hearing_at_eardrum
from umbo.session._judging import (
    closings,
    finding_list,
    judge_maximum,
    judge_speech,
    loop_findings,
    maximum_without_route,
    targets_of,
)
from umbo.session._plan import EarPlan, Plan, Recordings
from umbo.session._readings import Readings, read_all
from umbo.session._recds import MeasuredRecd, measured_recds
from umbo.session._result import EarResult, SessionResult
from umbo.verdict import RMS_HZ, conclude

__all__ = ["run", "run_recds"]

Progress = Callable[[str], None]


def run(
    plan: Plan, recordings: Recordings, *, grid: Grid | None = None, progress: Progress | None = None
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

    Returns
    -------
    SessionResult
        One answer for each ear, and what concerns the whole case.

    Raises
    ------
    UmboError
        If the input is wrong (a recording that cannot be read, ear and coupler exchanged). What only keeps one result
        from being reached is no error: it stands in the answer as a sentence.
    """
    tell = progress or (lambda _phrase: None)
    tell("reading the recordings")
    readings = read_all(plan, recordings)
    used = grid or Grid.twelfth_octave()
    ears = {}
    for side, ear in plan.ears.items():
        tell(f"the {side} ear")
        ears[side] = _ear(ear, plan, readings, used)
    return SessionResult(plan, ears, calibration_findings(plan))


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
    thresholds = _hearing(ear, recds, Statistic.THRESHOLD)
    discomfort = _hearing(ear, recds, Statistic.LIMIT)
    targets, unprescribed = targets_of(ear, thresholds, discomfort, plan.client)
    ways, closed = _ways(ear, recds, plan)
    speech, maxima = (aided_speech(readings, ear, ways), aided_maximum(readings, ear, ways, plan, grid))
    way = _chosen(ways, speech, maxima)
    mine = tuple(s for s in speech if s.route is way)
    judged, judgements = judge_speech(sorted(mine, key=lambda s: s.input_db_spl), targets, thresholds)
    loudest = max((m for m in maxima if m.route is way), key=lambda m: m.input_db_spl, default=None)
    maximum, maximum_judgement = judge_maximum(loudest, discomfort, targets, plan.client)
    if loudest is None and (unreached := maximum_without_route(ear, plan)):
        maximum_judgement = unreached
    loops = closings(speech, maxima, ear.ear)
    findings = finding_list(
        closed,
        [finding for recd in recds for finding in recd.findings],
        [finding for s in mine for finding in s.findings],
        [] if loudest is None else [*loudest.findings, *_saturation(loudest, speech, readings, ear)],
        [finding for target in targets for finding in target.findings],
        unprescribed,
        [finding for heard in (thresholds, discomfort) if heard is not None for finding in heard.findings],
        loop_findings(loops),
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
        maximum=maximum,
        closings=loops,
        findings=findings,
        verdict=conclude((*judgements, maximum_judgement), _forbidding(findings, way)),
    )


def _hearing(ear: EarPlan, recds: tuple[MeasuredRecd, ...], statistic: Statistic) -> Hearing | None:
    entry = ear.thresholds if statistic is Statistic.THRESHOLD else ear.discomfort
    return None if entry is None else hearing_at_eardrum(entry, ear, recds, statistic)


def _ways(ear: EarPlan, recds: tuple[MeasuredRecd, ...], plan: Plan) -> tuple[tuple[Route, ...], tuple[Finding, ...]]:
    """Routes to this eardrum; none for an open fitting, with the finding that says why."""
    try:
        require_closed(ear.venting)
    except NotPossibleHereError as error:
        text = f"No level at the eardrum is predicted: {error.disagrees}."
        action = f"{error.do[0].upper()}{error.do[1:]}."
        return (), (
            Finding("open_fitting", Severity.STOP, text, action, "leak corner F13; engineering judgement, no source"),
        )
    return routes(ear, recds, plan), ()


def _chosen(ways: tuple[Route, ...], speech: tuple[AidedSpeech, ...], maxima: tuple[AidedMaximum, ...]) -> Route | None:
    """The route the verdict rests on: most runs, a measured RECD, then the smallest uncertainty at 0.5 to 4 kHz."""
    if not ways:
        return None
    runs: list[AidedSpeech | AidedMaximum] = [*speech, *maxima]

    def order(way: Route) -> tuple[int, bool, float, str]:
        mine = [run for run in runs if run.route is way]
        worst = max((_uncertainty(run.at_eardrum) for run in mine), default=float("inf"))
        return -len(mine), way.measured is None, worst, str(way.kind)

    return min(ways, key=order)


def _uncertainty(level: Level) -> float:
    """Largest standard uncertainty at 0.5, 1, 2 and 4 kHz; a point that cannot be used counts 20 dB. [dB]."""
    index = [level.grid.index(hz) for hz in RMS_HZ]
    return float(np.max(np.where(level.states.is_usable[index], level.u_db[index], 20.0)))


def _saturation(
    maximum: AidedMaximum, speech: tuple[AidedSpeech, ...], readings: Readings, ear: EarPlan
) -> list[Finding]:
    finding = saturation(maximum, speech, readings, ear.ear)
    return [] if finding is None else [finding]


def _declared(ear: EarPlan, plan: Plan) -> list[Finding]:
    out = []
    if ear.frequency_lowering:
        text = "Frequency lowering is declared: an audibility index would not be valid and is not shown."
        out.append(
            Finding(
                "frequency_lowering",
                Severity.INFO,
                text,
                "Judge fricatives by their bands.",
                "engineering judgement, no source",
            )
        )
    if plan.client.age_months is None:
        text = "The client's age is not known: broad ranges for all ages and the caution for children are used."
        out.append(Finding("age_not_known", Severity.INFO, text, "State age_months.", "common practice, no source"))
    return out


def _forbidding(findings: tuple[Finding, ...], way: Route | None) -> tuple[Finding, ...]:
    """Findings that may forbid a verdict: those of the chosen route, not those of a rejected reading beside it."""
    rejected = set() if way is None or way.measured is None else set(way.measured.findings)
    shape = {"wrong_coupler", "blocked_probe"}
    return tuple(f for f in findings if f.code not in shape or f in rejected or way is None)
