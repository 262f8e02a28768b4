"""What the tests of an aid by itself found out, as objects that still know where every number came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from umbo.aid import (
    AidCurve,
    AttackRelease,
    BandRatio,
    Distortion,
    FeatureCheck,
    InputNoise,
    InputOutput,
    Lowering,
    Measure,
    NoiseReduction,
    ReferenceGain,
    ReferenceResponse,
    RouteCheck,
    RunDifference,
    SheetJudgement,
    SpeechTest,
    TwoCouplerResponse,
)
from umbo.core import CouplerKind, Difference, Ear, Finding, Outcome, Severity, worst
from umbo.session._plan import Plan

__all__ = [
    "AidChange",
    "AidComparisons",
    "AidInCoupler",
    "AidResult",
    "CheckSource",
    "CurveComparison",
    "DataSheetTests",
    "FeatureTests",
    "Unmeasured",
]


@dataclass(frozen=True, slots=True)
class Unmeasured:
    """What was recorded or asked for and could not be read.

    Parameters
    ----------
    what : str
        Name of the test.
    why : str
        One sentence.
    """

    what: str
    why: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class DataSheetTests:
    """Measures that a data sheet states.

    Parameters
    ----------
    output_90, full_on_gain : AidCurve or None
        Output with 90 dB SPL and gain with 50 dB SPL, at full-on gain.
    reference : ReferenceGain or None
        Whether the reference test setting was found.
    response : ReferenceResponse or None
        Response at that setting.
    distortion : tuple of Distortion
        At each frequency that was tested.
    input_noise : InputNoise or None
        Equivalent input noise.
    input_output : tuple of InputOutput
        Input-output curves.
    steps : tuple of AttackRelease
        Attack and release at each frequency.
    current : Measure or None
        Battery current that was typed in.
    telecoil : RouteCheck or None
        Telecoil against microphone.
    coil_item : Measure or None
        The same as an item of a data sheet.
    """

    output_90: AidCurve | None = None
    full_on_gain: AidCurve | None = None
    reference: ReferenceGain | None = None
    response: ReferenceResponse | None = None
    distortion: tuple[Distortion, ...] = ()
    input_noise: InputNoise | None = None
    input_output: tuple[InputOutput, ...] = ()
    steps: tuple[AttackRelease, ...] = ()
    current: Measure | None = None
    telecoil: RouteCheck | None = None
    coil_item: Measure | None = None

    @property
    def measures(self) -> tuple[Measure, ...]:
        """Every number, in the order of a data sheet."""
        found: list[Measure | None] = []
        for curve in (self.output_90, self.full_on_gain):
            if curve is not None:
                found += [curve.maximum, curve.high_frequency_average, curve.special_average]
        if self.reference is not None:
            found.append(self.reference.measured)
        if self.response is not None:
            found += [self.response.low, self.response.high]
        found += [one.total for one in self.distortion]
        found.append(None if self.input_noise is None else self.input_noise.total)
        for steps in self.input_output:
            found += [steps.ratio, steps.knee, steps.expansion]
        for timed in self.steps:
            found += [timed.attack, timed.release]
        found += [self.current, self.coil_item]
        return tuple(measure for measure in found if measure is not None)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FeatureTests:
    """Speech and features.

    Parameters
    ----------
    speech : tuple of SpeechTest
        Speech at each level, softest first.
    compression : BandRatio or None
        Effective compression from the softest to the loudest speech.
    checks : tuple of FeatureCheck
        Every check of a feature.
    noise_reductions : tuple of NoiseReduction
        Depth and time course, where a noise was recorded with the feature off and on.
    lowerings : tuple of Lowering
        Fricatives without and with frequency lowering.
    remote : tuple of RouteCheck
        Remote microphone against the aid's own.
    hints : tuple of FeatureCheck
        Estimates that are shown and not judged: the feedback margin.
    """

    speech: tuple[SpeechTest, ...] = ()
    compression: BandRatio | None = None
    checks: tuple[FeatureCheck, ...] = ()
    noise_reductions: tuple[NoiseReduction, ...] = ()
    lowerings: tuple[Lowering, ...] = ()
    remote: tuple[RouteCheck, ...] = ()
    hints: tuple[FeatureCheck, ...] = ()


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AidInCoupler:
    """Everything about one aid in one coupler, from one run.

    Parameters
    ----------
    ear : Ear
        Side of the aid.
    kind : CouplerKind
        The coupler.
    run : str
        Name of the run.
    sheet_tests : DataSheetTests
        Measures.
    features : FeatureTests
        Speech and features.
    sheet : SheetJudgement or None
        Against the data sheet; None where there is none for this coupler, or this is an earlier run.
    unmeasured : tuple of Unmeasured
        What could not be read, and why.
    findings : tuple of Finding
        Everything that has to be said, each once.
    """

    ear: Ear
    kind: CouplerKind
    run: str
    sheet_tests: DataSheetTests
    features: FeatureTests
    sheet: SheetJudgement | None
    unmeasured: tuple[Unmeasured, ...]
    findings: tuple[Finding, ...]

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """Outcome of everything that is judged."""
        tests, features = self.sheet_tests, self.features
        found = [check.outcome for check in features.checks]
        found += [check.outcome for check in features.remote]
        found += [] if tests.reference is None else [tests.reference.outcome]
        found += [] if tests.telecoil is None else [tests.telecoil.outcome]
        found += [] if self.sheet is None or not self.sheet.items else [self.sheet.outcome]
        found += [Outcome.CANNOT_TELL for _ in self.unmeasured]
        found += [Outcome.CANNOT_TELL for f in self.findings if f.severity is Severity.STOP]
        return tuple(found)

    @property
    def outcome(self) -> Outcome:
        """Fail if something fails, else cannot tell if something cannot be told or nothing was judged."""
        return worst(self.outcomes)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class CurveComparison:
    """One curve against another: two ears or two runs.

    Parameters
    ----------
    ear : Ear or None
        Side, where one aid is compared with itself.
    kind : CouplerKind
        The coupler.
    difference : Difference
        Second minus first: left re right ear, now re earlier. [dB]
    finding : Finding or None
        What has to be said.
    """

    ear: Ear | None
    kind: CouplerKind
    difference: Difference
    finding: Finding | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckSource:
    """The check source now against earlier.

    Parameters
    ----------
    kind : CouplerKind
        The coupler.
    change_db, u_db : float
        Mean change and its standard uncertainty. [dB]
    finding : Finding or None
        A warning, or a stop that forbids a verdict.
    """

    kind: CouplerKind
    change_db: float
    u_db: float
    finding: Finding | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AidChange:
    """One number now against an earlier run or answer.

    Parameters
    ----------
    earlier, now : Measure
        The same item of the same aid.
    difference : RunDifference
        What changed.
    """

    earlier: Measure
    now: Measure
    difference: RunDifference


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AidComparisons:
    """What one aid, coupler or run says against another.

    Parameters
    ----------
    ears : tuple of CurveComparison
        Left re right aid, set alike.
    couplers : tuple of (Ear, TwoCouplerResponse)
        One aid in a 2 cc and in the 0.4 cc coupler.
    runs : tuple of CurveComparison
        One aid now re earlier.
    changes : mapping of Ear to tuple of AidChange
        Numbers of each aid now re an earlier run or answer.
    check_source : tuple of CheckSource
        Drift of the box, by coupler.
    unmeasured : tuple of Unmeasured
        What could not be compared, and why.
    """

    ears: tuple[CurveComparison, ...] = ()
    couplers: tuple[tuple[Ear, TwoCouplerResponse], ...] = ()
    runs: tuple[CurveComparison, ...] = ()
    changes: Mapping[Ear, tuple[AidChange, ...]]
    check_source: tuple[CheckSource, ...] = ()
    unmeasured: tuple[Unmeasured, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class AidResult:
    """Everything about the aids of a case by themselves.

    Parameters
    ----------
    plan : Plan
        What was planned.
    aids : tuple of AidInCoupler
        By ear, coupler and run.
    comparisons : AidComparisons
        What they say against one another.
    findings : tuple of Finding
        What concerns the whole case.
    """

    plan: Plan
    aids: tuple[AidInCoupler, ...]
    comparisons: AidComparisons
    findings: tuple[Finding, ...]

    @property
    def outcome(self) -> Outcome:
        """Of everything judged in this run; a stop that concerns the whole case forbids a pass."""
        found = [outcome for aid in self.aids if aid.run == "now" for outcome in aid.outcomes]
        found += [Outcome.CANNOT_TELL for f in self.findings if f.severity is Severity.STOP]
        return worst(found)
