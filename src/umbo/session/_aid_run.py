"""Running the tests of the aids by themselves: the only place that knows the order of steps."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from umbo.aid import HFA_HZ, Measure
from umbo.calibration import Recording
from umbo.core import CouplerKind, Ear, Finding, Grid, Severity
from umbo.errors import NotPossibleHereError
from umbo.session._aid_attempts import Attempts
from umbo.session._aid_comparisons import compared
from umbo.session._aid_data_sheet import data_sheet_tests, judged_sheet, omitted_findings
from umbo.session._aid_features import feature_tests
from umbo.session._aid_plan import AidTest
from umbo.session._aid_readings import AidReading, AidReadings, read_aid_tests
from umbo.session._aid_result import AidComparisons, AidInCoupler, AidResult, DataSheetTests
from umbo.session._judging import finding_list
from umbo.session._plan import Plan, Recordings
from umbo.session._run import calibration_findings

__all__ = ["run_aid"]

Progress = Callable[[str], None]

#: A grid has a point at a frequency where it has one this near. [1]
_SAME_POINT = 0.03

_UNKNOWN_NOISE = "noise_not_known"


def run_aid(
    plan: Plan,
    recordings: Recordings,
    *,
    ears: Iterable[Ear] | None = None,
    grid: Grid | None = None,
    earlier: Iterable[Measure] = (),
    progress: Progress | None = None,
) -> AidResult:
    """Test the aids of a case by themselves: data sheet, features, comparisons.

    Parameters
    ----------
    plan : Plan
        Names every stimulus, calibration, take with its test, settings and data sheet.
    recordings : Recordings
        Where samples come from.
    ears : iterable of Ear, optional
        Which aids; all if left out.
    grid : Grid, optional
        Grid of swept curves; twelfth-octaves if left out.
    earlier : iterable of Measure
        Numbers of an earlier answer.
    progress : callable, optional
        Called with a phrase before each step.

    Returns
    -------
    AidResult
        One answer for each aid, coupler and run, and what they say against one another.

    Raises
    ------
    NotPossibleHereError
        If no recording tests an aid.
    UmboError
        If the input is wrong. What only keeps one result from being reached stands in the answer as a sentence.
    """
    tell = progress or (lambda _phrase: None)
    wanted = tuple(ears or plan.ears)
    used = _with_standard_points(grid or Grid.twelfth_octave(), plan)
    if not any(take.tested is not None and not take.tested.test.is_of_the_box for take in plan.takes):
        raise NotPossibleHereError(
            f"test the aids of the case '{plan.case_id}'",
            "no recording in it says which test it is",
            "add test = '...' to the recordings of the aid, or verify the case instead",
        )
    tell("reading the recordings")
    readings = read_aid_tests(plan, recordings)
    aids = []
    for group_ear, group in _groups(readings, wanted):
        tell(f"the {group_ear} aid in the {group.kind.display_name}")
        aids.append(_aid(group_ear, group, readings, plan, recordings, used))
    comparisons = compared(aids, readings, used, earlier)
    return AidResult(plan, tuple(aids), comparisons, _findings(plan, comparisons))


def _with_standard_points(grid: Grid, plan: Plan) -> Grid:
    """The grid with the frequencies of averages exactly on it, in place of their neighbours within 3 %.

    A response may slope by 20 dB an octave: 1585 Hz in place of 1600 Hz would be 0.3 dB.
    """
    hz = grid.frequency_hz.copy()
    for wanted in (*HFA_HZ, *plan.aid_tests.special_hz):
        nearest = int(np.argmin(np.abs(np.log(hz / wanted))))
        if abs(hz[nearest] / wanted - 1) < _SAME_POINT:
            hz[nearest] = wanted
    return Grid(hz, grid.bandwidth)


def _groups(readings: Iterable[AidReading], wanted: tuple[Ear, ...]) -> list[tuple[Ear, AidReadings]]:
    """Readings by aid, coupler and run."""
    found: dict[tuple[Ear, CouplerKind, str], list[AidReading]] = {}
    for reading in readings:
        take = reading.take
        if reading.conditions is not None and take.coupler is not None and take.ear in wanted:
            found.setdefault((take.ear, take.coupler, reading.run.run), []).append(reading)
    return [(ear, AidReadings(kind, run, tuple(every))) for (ear, kind, run), every in found.items()]


def _aid(
    ear: Ear, group: AidReadings, readings: Iterable[AidReading], plan: Plan, recordings: Recordings, grid: Grid
) -> AidInCoupler:
    attempts = Attempts()
    tests = data_sheet_tests(group, plan, ear, grid, _background(readings, group), attempts)
    features = feature_tests(group, plan, recordings, tests.input_noise, attempts)
    sheet = judged_sheet(tests, plan.aid_tests.data_sheet, group, attempts)
    return AidInCoupler(
        ear=ear,
        kind=group.kind,
        run=group.run,
        sheet_tests=tests,
        features=features,
        sheet=sheet,
        unmeasured=tuple(attempts.unmeasured),
        findings=_merged(
            finding_list(
                [finding for reading in group.every for finding in reading.findings],
                _of_tests(tests),
                omitted_findings(tests.response, tests.distortion),
                [low.finding for low in features.lowerings if low.finding is not None],
                _unused(group, plan),
            )
        ),
    )


def _background(readings: Iterable[AidReading], group: AidReadings) -> Recording | None:
    """Box and microphone alone, in the coupler and run of a group."""
    wanted = (AidTest.BACKGROUND, group.kind, group.run)
    return next((r.silence for r in readings if (r.run.test, r.take.coupler, r.run.run) == wanted), None)


def _of_tests(tests: DataSheetTests) -> list[Finding]:
    found = [
        finding
        for one in (tests.output_90, tests.full_on_gain, tests.response, tests.input_noise, *tests.input_output)
        if one is not None
        for finding in one.findings
    ]
    found += [finding for one in tests.distortion for finding in one.findings]
    if tests.reference is not None and tests.reference.finding is not None:
        found.append(tests.reference.finding)
    return found


def _unused(group: AidReadings, plan: Plan) -> list[Finding]:
    """Recordings that no check rests on, said once."""
    lowered = group.of(AidTest.LOWERING_OFF, AidTest.LOWERING_ON)
    names = [r.take.name for r in lowered if plan.stimuli[r.take.stimulus].kind == "speech"]
    if not names:
        return []
    text = f"No check rests on {_named(names)}: long-term levels of speech do not show where fricatives go."
    action = "Nothing to do; the fricative shows it."
    return [Finding("speech_shows_no_lowering", Severity.INFO, text, action, "engineering judgement, no source")]


def _merged(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Recordings with one repeat, each with its own sentence, share one."""
    every = tuple(findings)
    alone = [finding for finding in every if finding.code == _UNKNOWN_NOISE]
    if len(alone) < 2:
        return every
    first = alone[0]
    text = f"{len(alone)} recordings have one repeat each, so their noise is not known and their levels count as noisy."
    merged = Finding(first.code, first.severity, text, first.action, first.source)
    return (*(finding for finding in every if finding.code != _UNKNOWN_NOISE), merged)


def _named(names: list[str]) -> str:
    return ", ".join(f"'{name}'" for name in names)


def _findings(plan: Plan, comparisons: AidComparisons) -> tuple[Finding, ...]:
    """What concerns the whole case: calibrations, box, drift, and comparisons that stand out."""
    tests = plan.aid_tests
    found = list(calibration_findings(plan))
    if tests.box_u_db is None:
        text = "The case does not say how exact the sound level of the box is: gains are taken as if it were exact."
        action = "State u_db in [box], from the levelling of the box."
        found.append(Finding("box_level_exact", Severity.INFO, text, action, "common practice, no source"))
    if not comparisons.check_source:
        text = "No check source was recorded earlier and now: a drift of box or microphone would not be seen."
        action = "Record a check source each day (test = 'check_source', run = 'earlier' and 'now')."
        found.append(Finding("no_check_source", Severity.INFO, text, action, "common practice, no source"))
    found += [check.finding for check in comparisons.check_source if check.finding is not None]
    found += [one.finding for one in (*comparisons.ears, *comparisons.runs) if one.finding is not None]
    found += [both.finding for _, both in comparisons.couplers]
    return finding_list(found)
