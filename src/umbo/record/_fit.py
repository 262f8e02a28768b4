"""Judging a fitting, as plain data: by whose criteria, how sure, what to try, what has changed."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from umbo.record._base import Part
from umbo.record._curves import CurveRecord, FindingRecord, StateWord

__all__ = [
    "BoundRecord",
    "ChangeRecord",
    "DrawnRecord",
    "DrawsRecord",
    "EarChanges",
    "GuidanceRecord",
    "JudgementRecord",
    "OutcomeWord",
    "PointRecord",
    "PredictedRecord",
    "RmsRecord",
    "SinceRecord",
    "SuggestionRecord",
    "ToTryRecord",
]

OutcomeWord = Literal["pass", "cannot_tell", "fail"]


class PointRecord(Part):
    """Outcome at one frequency."""

    frequency_hz: float
    deviation_db: float
    u_db: float
    tolerance_db: float
    outcome: OutcomeWord
    reason: str


class BoundRecord(Part):
    """A number against one published bound; it decides nothing."""

    bound_db: float
    outcome: OutcomeWord
    source: str


class JudgementRecord(Part):
    """Outcome of one criterion."""

    criterion: str
    outcome: OutcomeWord
    sentence: str
    action: str
    source: str
    guidance: str | None = Field(None, description="Key of the guidance whose criterion it is; null for another rule.")
    unit: Literal["dB", "dB/octave"] = Field(
        "dB", description="Of deviation_db, u_db and tolerance_db; a slope stands at the middle of its octave."
    )
    points: list[PointRecord]
    value_db: float | None
    u_db: float | None
    bounds: list[BoundRecord] = Field(
        default_factory=list, description="The same number against every published bound, the chosen one or not."
    )
    pass_share: float | None = Field(
        None,
        ge=0,
        le=1,
        description="Share of draws consistent with the stated uncertainty that keep the criterion; null where it was "
        "not drawn completely.",
    )


class GuidanceRecord(Part):
    """By whose criteria speech was judged against its target."""

    key: str
    title: str
    whom: str
    source: str = Field(description="Whose it is, and how its numbers were obtained.")


class RmsRecord(Part):
    """Rms deviation from target at 0.5, 1, 2 and 4 kHz, whether the guidance asks for it or not."""

    value_db: float | None = Field(description="Null where one of the four cannot be used.")
    u_db: float | None
    bounds: list[BoundRecord]


class DrawnRecord(Part):
    """How often one criterion is kept."""

    criterion: str
    pass_share: float = Field(ge=0, le=1)
    standard_error: float = Field(ge=0, description="Of the share, from drawing only so many times.")
    complete: bool = Field(description="If false, a part could not be used and the share is an upper bound.")


class DrawsRecord(Part):
    """A verdict drawn many times from its uncertainty (JCGM 101)."""

    n: int = Field(ge=1, description="Number of draws.")
    seed: int = Field(description="Makes the same draws again.")
    criteria: list[DrawnRecord]
    whole: DrawnRecord = Field(description="All criteria in one and the same draw.")
    sentence: str


class SuggestionRecord(Part):
    """A change to try, or why none is suggested; never a command."""

    frequency_hz: list[float]
    change_db: float = Field(description="0 where nothing is suggested.")
    sentence: str
    limit: str


class PredictedRecord(Part):
    """What a change would lead to, if the aid did exactly that; not measured."""

    frequency_hz: list[float]
    change_db: list[float]
    deviation: CurveRecord
    rms_before_db: float | None
    rms_after_db: float | None
    judgements: list[JudgementRecord]
    cautions: list[str]


class ToTryRecord(Part):
    """Changes worth a try for speech at one level."""

    input_db_spl: float
    suggestions: list[SuggestionRecord]
    predicted: PredictedRecord | None = Field(description="After all of them; null where no change is suggested.")


class ChangeRecord(Part):
    """Now minus then, of one quantity."""

    watched: Literal["recd", "threshold", "aided_level", "maximum_output"]
    frequency_hz: list[float]
    change_db: list[float]
    u_db: list[float] = Field(description="What both visits share is counted twice: its causes were not kept.")
    state: list[StateWord]
    significant: list[bool] = Field(description="Where the change is more than twice its standard uncertainty.")
    calls_for_action: list[bool]
    findings: list[FindingRecord]


class EarChanges(Part):
    """Changes of one ear."""

    compared: list[ChangeRecord]
    not_compared: list[str] = Field(description="Quantities that one of the visits lacks, or measured in another way.")


class SinceRecord(Part):
    """The earlier visit this one was compared with."""

    case: str
    measured: str
    note: str
    ears: dict[Literal["right", "left"], EarChanges]
