"""Parts of the answer about an aid by itself: numbers with their conditions, judgements, checks."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from umbo.record._base import Part
from umbo.record._curves import CurveRecord, StateWord

__all__ = [
    "AidCheckRecord",
    "AidConditions",
    "AidMeasure",
    "AttackReleaseRecord",
    "CheckSourceRecord",
    "DistortionRecord",
    "InputNoiseRecord",
    "InputOutputRecord",
    "LikelyReasonRecord",
    "LoweringRecord",
    "MeasureChange",
    "NoiseReductionRecord",
    "RatioRecord",
    "ReferenceGainRecord",
    "RouteCheckRecord",
    "SheetItemRecord",
    "SheetRecord",
    "SpeechTestRecord",
    "UnmeasuredRecord",
]

OutcomeWord = Literal["pass", "cannot_tell", "fail"]
CouplerWord = Literal["ha1", "ha2", "ha4", "cc04", "oes"]
StimulusWord = Literal["exponential_sweep", "tones", "level_steps", "speech", "noise", "silence"]


class AidConditions(Part):
    """What a number of the aid holds for."""

    coupler: CouplerWord
    stimulus: StimulusWord
    input_db_spl: float | None = Field(description="Level at the aid's microphone; null for silence, steps, telecoil.")
    route: Literal["acoustic", "telecoil", "remote_microphone"]
    settings: str = Field(description="Name of the settings.")
    volume: Literal["full_on", "reference", "as_fitted"]
    features: dict[str, Literal["on", "off", "unknown"]]
    box: str
    input_u_db: float = Field(description="Standard uncertainty of the level in the box; 0 where it is not stated.")
    run: str


class AidMeasure(Part):
    """One number of the aid; its key names item and unit as a data sheet of a case does."""

    key: str = Field(description="Item and unit, for example hfa_ospl90_db_spl or attack_ms.")
    label: str
    unit: str
    value: float
    u: float = Field(description="Standard uncertainty, k = 1, in the unit of the value.")
    frequency_hz: float | None = Field(description="Where it belongs, or was found; null for averages.")
    is_bound: bool = Field(description="Whether the truth may lie further out, in the direction of the name.")
    doubt: str = Field(description="Why no verdict may rest on it; empty where one may.")
    entered: bool = Field(description="Whether it was typed in and not measured.")
    conditions: AidConditions


class SheetItemRecord(Part):
    """One item against its nominal value."""

    key: str
    label: str
    unit: str
    frequency_hz: float | None
    nominal: float
    measured: float
    u: float
    deviation: float = Field(description="Measured minus nominal.")
    lowest_deviation: float | None = Field(description="Allowed; null where there is no such bound.")
    highest_deviation: float | None = Field(description="Allowed; null where there is no such bound.")
    tolerance_source: str
    outcome: OutcomeWord
    sentence: str


class LikelyReasonRecord(Part):
    """What several failures together point to."""

    code: str
    reason: str
    action: str
    source: str
    also: list[str] = Field(description="What failed too and is not explained by it.")


class SheetRecord(Part):
    """An aid against its data sheet."""

    sheet: str
    standard: str
    outcome: OutcomeWord
    items: list[SheetItemRecord]
    not_judged: list[str]
    reasons: list[LikelyReasonRecord]


class ReferenceGainRecord(Part):
    """Whether the reference test setting was found."""

    wanted_db: float
    wanted_u_db: float
    measured_db: float
    u_db: float
    is_full_on: bool = Field(description="Whether the full-on gain itself is the reference test gain.")
    outcome: OutcomeWord


class AidCheckRecord(Part):
    """A check of one feature."""

    check: str
    feature: str
    value: float | None
    u: float | None
    unit: str
    outcome: OutcomeWord
    sentence: str
    action: str
    source: str
    settings: list[str] = Field(description="Names of the settings of its runs.")
    bands: CurveRecord | None


class RouteCheckRecord(Part):
    """Telecoil or remote microphone against the aid's own microphone."""

    route: Literal["telecoil", "remote_microphone"]
    offset_db: float
    offset_u_db: float
    frequency_hz: list[float]
    tolerance_db: float
    outcome: OutcomeWord
    sentence: str
    action: str
    source: str
    settings: list[str]


class RatioRecord(Part):
    """Effective compression by band."""

    frequency_hz: list[float]
    ratio: list[float]
    u: list[float]
    state: list[StateWord]


class SpeechTestRecord(Part):
    """Speech at one level through the aid."""

    level_db_spl: float
    settings: str
    output: CurveRecord
    gain: CurveRecord
    percentile_gain: dict[str, CurveRecord] = Field(description="Of the 30, 65 and 99 % levels.")
    input_range: CurveRecord = Field(description="99 less 30 % level before the aid.")
    output_range: CurveRecord = Field(description="99 less 30 % level after the aid.")
    compression: RatioRecord = Field(description="Input range over output range.")


class DistortionRecord(Part):
    """Harmonics at one frequency; their total is among the measures."""

    frequency_hz: float
    input_db_spl: float | None
    total_percent: float
    harmonic_percent: dict[str, float]
    harmonic_u_percent: dict[str, float]


class InputNoiseRecord(Part):
    """Noise of the aid; its equivalent input noise is among the measures."""

    band_hz: list[float]
    output_db_spl: float = Field(description="In the coupler, over the band.")
    bands: CurveRecord = Field(description="Third octaves at the aid's microphone.")


class InputOutputRecord(Part):
    """An input-output curve with its lines."""

    frequency_hz: float
    settings: str
    input_db_spl: list[float]
    output_db_spl: list[float]
    u_db: list[float]
    state: list[StateWord]
    knee_db_spl: list[float] = Field(description="Input levels at which the slope changes.")
    knee_u_db: list[float]
    slope: list[float] = Field(description="Output over input of each line, soft to loud.")
    slope_u: list[float]
    limited_from_db_spl: float | None


class AttackReleaseRecord(Part):
    """How the aid follows a jump; both times are among the measures."""

    frequency_hz: float
    attack_ms: float
    attack_u_ms: float
    release_ms: float
    release_u_ms: float
    steady_low_db_spl: float
    steady_high_db_spl: float
    overshoot_db: float
    delay_ms: float


class NoiseReductionRecord(Part):
    """What noise reduction does to a steady noise."""

    depth: CurveRecord
    time_63_s: list[float | None] = Field(description="Until 63 % of the depth, by band; null where not known.")
    mean_time_s: list[float] = Field(description="Once a second, from the onset.")
    mean_reduction_db: list[float] = Field(description="Mean over 200 Hz to 6.3 kHz at these times.")


class LoweringRecord(Part):
    """A fricative without and with frequency lowering."""

    band_hz: list[list[float]]
    before_db_spl: list[float | None]
    after_db_spl: list[float | None]
    edge_before_hz: float
    edge_after_hz: float


class MeasureChange(Part):
    """Change of one number since an earlier run or answer."""

    key: str
    label: str
    unit: str
    coupler: CouplerWord
    frequency_hz: float | None = Field(description="Where it belongs to one frequency.")
    earlier: float
    now: float
    change: float
    u: float
    is_significant: bool
    doubt: str
    sentence: str


class CheckSourceRecord(Part):
    """The check source now against earlier."""

    coupler: CouplerWord
    change_db: float
    u_db: float


class UnmeasuredRecord(Part):
    """What could not be read or compared, and why."""

    what: str
    why: str
