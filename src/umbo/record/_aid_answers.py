"""The machine-readable answer of ``umbo aid``."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from umbo.record._aid_parts import (
    AidCheckRecord,
    AidMeasure,
    AttackReleaseRecord,
    CheckSourceRecord,
    CouplerWord,
    DistortionRecord,
    InputNoiseRecord,
    InputOutputRecord,
    LoweringRecord,
    MeasureChange,
    NoiseReductionRecord,
    OutcomeWord,
    RatioRecord,
    ReferenceGainRecord,
    RouteCheckRecord,
    SheetRecord,
    SpeechTestRecord,
    UnmeasuredRecord,
)
from umbo.record._base import Part
from umbo.record._curves import CurveRecord, FindingRecord

__all__ = ["AidAnswer", "AidCurves", "AidRecord", "TwoCouplersRecord"]

EarName = Literal["right", "left"]


class AidCurves(Part):
    """Curves of an aid in a coupler; null where they were not recorded."""

    output_90: CurveRecord | None
    full_on_gain: CurveRecord | None
    response: CurveRecord | None = Field(description="Output with 60 dB SPL at the reference test setting.")
    response_gain: CurveRecord | None


class AidRecord(Part):
    """One aid in one coupler in one run."""

    coupler: CouplerWord
    run: str
    outcome: OutcomeWord
    sheet: SheetRecord | None = Field(description="Null where the case has no data sheet for this coupler.")
    measures: list[AidMeasure]
    reference_gain: ReferenceGainRecord | None
    curves: AidCurves
    distortion: list[DistortionRecord]
    input_noise: InputNoiseRecord | None
    input_output: list[InputOutputRecord]
    attack_release: list[AttackReleaseRecord]
    speech: list[SpeechTestRecord]
    level_compression: RatioRecord | None = Field(description="Between the softest and the loudest speech.")
    checks: list[AidCheckRecord]
    routes: list[RouteCheckRecord]
    hints: list[AidCheckRecord] = Field(description="Estimates that are shown and not judged.")
    noise_reduction: list[NoiseReductionRecord]
    frequency_lowering: list[LoweringRecord]
    unmeasured: list[UnmeasuredRecord]
    findings: list[FindingRecord]


class TwoCouplersRecord(Part):
    """The response in a 2 cc and in the 0.4 cc coupler: each to its own end, never joined."""

    large: CurveRecord
    small: CurveRecord
    step: CurveRecord = Field(description="0.4 cc minus 2 cc.")


class AidAnswer(Part):
    """Answer of ``umbo aid``; also what its report is printed from."""

    schema_: Literal[1] = Field(1, alias="schema")
    case: str
    software: str
    client: str
    measured: str | None = Field(description="Date of the measurement, ISO 8601; null if the case does not say.")
    outcome: OutcomeWord = Field(description="Pass only if everything that was judged passes.")
    calibrations: list[str]
    box: str
    box_u_db: float | None = Field(description="Standard uncertainty of its level; null where it is not stated.")
    tables: list[str] = Field(description="Reference tables used, with source and how they were obtained.")
    ears: dict[EarName, list[AidRecord]] = Field(description="By coupler and run.")
    between_ears: list[CurveRecord] = Field(description="Left re right aid, set alike.")
    between_couplers: dict[EarName, list[TwoCouplersRecord]]
    between_runs: dict[EarName, list[CurveRecord]] = Field(description="Now re the earlier run.")
    changes: dict[EarName, list[MeasureChange]] = Field(
        description="Numbers now re an earlier run or answer. An earlier answer tells its uncertainty but not its "
        "causes, so what both share counts twice."
    )
    since: str | None = Field(description="Date and case of the earlier answer; null without one.")
    check_source: list[CheckSourceRecord]
    unmeasured: list[UnmeasuredRecord]
    findings: list[FindingRecord]
    cautions: list[str]
