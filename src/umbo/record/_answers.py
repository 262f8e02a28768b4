"""The machine-readable answers: one model per command that computes."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from umbo.record._audible import AudibilityRecord
from umbo.record._base import Part
from umbo.record._comparison import CouplerComparison
from umbo.record._curves import CurveRecord, ExplainLine, FindingRecord, GradedRecd, ResponseRecord
from umbo.record._fit import (
    DrawsRecord,
    GuidanceRecord,
    JudgementRecord,
    OutcomeWord,
    RmsRecord,
    SinceRecord,
    ToTryRecord,
)

__all__ = [
    "AidedRun",
    "ClosingRecord",
    "EarVerification",
    "RecdAnswer",
    "ResponseAnswer",
    "SpeechRun",
    "TargetRecord",
    "ThresholdRecord",
    "VerdictRecord",
    "VerifyAnswer",
]

EarName = Literal["right", "left"]


class RecdAnswer(Part):
    """Answer of ``umbo recd``."""

    schema_: Literal[1] = Field(1, alias="schema")
    case: str
    ears: dict[EarName, list[GradedRecd]]
    comparisons: dict[EarName, list[CouplerComparison]] = Field(
        default_factory=dict, description="Each pair of couplers one ear was measured against with the same insertions."
    )


class ResponseAnswer(Part):
    """Answer of ``umbo response``."""

    schema_: Literal[1] = Field(1, alias="schema")
    case: str
    response: ResponseRecord


class ThresholdRecord(Part):
    """Thresholds or discomfort levels: as entered and at the eardrum, with their route."""

    entered: CurveRecord
    at_eardrum: CurveRecord | None = Field(description="Null when no route to the eardrum exists; see why_not.")
    no_response: list[bool] = Field(description="Where the entered level is a bound, not a threshold.")
    route: str
    why_not: str | None
    explain_at_hz: float | None
    explain: list[ExplainLine]
    predicted: bool = Field(False, description="Whether discomfort levels were predicted and not measured.")
    scale: str | None = Field(None, description="HL, eHL, nHL or SPL, as it was declared.")
    correction: str | None = Field(None, description="Name and version of the set from nHL to eHL.")
    method: str | None = Field(None, description="How the thresholds were found.")
    reliability: str | None = Field(None, description="As the tester judged it.")
    masking: list[str] = Field(
        default_factory=list, description="Of the other ear, for each entered point; empty if not stated."
    )


class TargetRecord(Part):
    """A target or limit at the eardrum, with the method that made it."""

    method: str
    input_db_spl: float | None
    at_eardrum: CurveRecord
    findings: list[FindingRecord]


class SpeechRun(Part):
    """Speech through the aid: in the coupler or the ear, at the eardrum, against target and threshold."""

    recording: str
    input_db_spl: float
    coupler: str | None = Field(description="Null for a run measured in the ear.")
    coupler_level: CurveRecord | None
    on_ear_level: CurveRecord | None = Field(None, description="Level at the probe tip of a run measured in the ear.")
    percentiles: dict[str, CurveRecord] = Field(description="30, 65 and 99 % of 125 ms frames, at the eardrum.")
    at_eardrum: CurveRecord
    noise_at_eardrum_db: list[float | None]
    coupler_target: CurveRecord | None = Field(description="Target carried back to the coupler (F6).")
    deviation: CurveRecord | None
    rms: RmsRecord | None = Field(None, description="Null where there is no target for this input.")
    sensation_level: CurveRecord | None
    audibility: AudibilityRecord | None = Field(
        None, description="What of it is audible; null in answers from before it was computed."
    )
    explain_at_hz: float | None
    explain: list[ExplainLine]


class AidedRun(Part):
    """Maximum output: in the coupler or the ear, and at the eardrum, against the discomfort limit."""

    recording: str
    input_db_spl: float
    coupler: str | None = Field(description="Null for a run measured in the ear.")
    coupler_level: CurveRecord | None
    on_ear_level: CurveRecord | None = Field(None, description="Level at the probe tip of a run measured in the ear.")
    at_eardrum: CurveRecord
    limit: CurveRecord | None
    limit_source: str | None
    excess: CurveRecord | None
    upper_edge: bool = Field(
        False, description="Whether the upper edge of the band counts: a child, or a limit that was only predicted."
    )
    largest_db_spl: float
    largest_hz: float
    harmonic_percent: dict[str, list[float | None]]
    explain_at_hz: float | None
    explain: list[ExplainLine]


class ClosingRecord(Part):
    """The same sound at the eardrum by two couplers."""

    quantity: str
    routes: list[str]
    frequency_hz: list[float]
    error_db: list[float]
    u_db: list[float]
    usable: list[bool]
    closes: bool


class VerdictRecord(Part):
    """The verdict of one ear."""

    outcome: OutcomeWord
    verified: bool
    reasons: list[str]
    actions: list[str]
    judgements: list[JudgementRecord]
    pass_share: float | None = Field(
        None,
        ge=0,
        le=1,
        description="Share of draws that keep every criterion; null where one was not drawn completely.",
    )
    draws: DrawsRecord | None = Field(None, description="Null where nothing was compared, or nothing could be drawn.")


class EarVerification(Part):
    """Everything about one ear."""

    middle_ear: str
    recds: list[GradedRecd]
    recd_used: str | None = Field(description="Which RECD the eardrum levels rest on.")
    recd_measured: str | None = Field(None, description="Day of that RECD, ISO 8601; null where it is not known.")
    recd_usable_until: str | None = Field(
        None,
        description="Last day on which that RECD may be used, new moulds aside; null where day or age is not known.",
    )
    guidance: GuidanceRecord | None = Field(None, description="By whose criteria speech was judged.")
    thresholds: ThresholdRecord | None
    discomfort: ThresholdRecord | None
    targets: list[TargetRecord]
    speech: list[SpeechRun]
    maximum_output: AidedRun | None
    closings: list[ClosingRecord]
    findings: list[FindingRecord]
    verdict: VerdictRecord
    to_try: ToTryRecord | None = Field(
        None, description="Changes worth a try for average speech; null where no speech was compared with a target."
    )


class VerifyAnswer(Part):
    """Answer of ``umbo verify``; also what a report is printed from."""

    schema_: Literal[1] = Field(1, alias="schema")
    case: str
    software: str
    client: str
    age_months: float | None
    measured: str | None = Field(description="Date of the measurement, ISO 8601; null if the case does not say.")
    verified: bool
    calibrations: list[str]
    tables: list[str] = Field(description="Reference tables used, with source and how they were obtained.")
    ears: dict[EarName, EarVerification]
    findings: list[FindingRecord]
    since: SinceRecord | None = Field(None, description="What has changed since an earlier visit, where one was given.")
    cautions: list[str]
