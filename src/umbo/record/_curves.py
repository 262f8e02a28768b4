"""Curves as plain data: values, uncertainty, a state word a point, and where they belong."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from umbo.record._base import Part

__all__ = [
    "CurveRecord",
    "ExplainLine",
    "FindingRecord",
    "GradedRecd",
    "Harmonic",
    "LimitRecord",
    "ResponseRecord",
]

StateWord = Literal[
    "ok",
    "interpolated",
    "noisy",
    "nonlinear",
    "standing_wave",
    "extrapolated",
    "clipped",
    "below_noise",
    "outside_coupler",
    "withdrawn",
]


class FindingRecord(Part):
    """One finding: code, weight, frequencies, sentence and next action."""

    code: str
    severity: Literal["info", "warn", "stop"]
    from_hz: float | None = None
    to_hz: float | None = None
    text: str
    action: str
    source: str


class LimitRecord(Part):
    """One trust rule's word on where a curve ends."""

    rule: str
    max_hz: float
    reason: str
    action: str
    source: str


class ExplainLine(Part):
    """One term of the sum behind a value."""

    depth: int
    sign: int
    label: str
    level_db: float
    unit: str
    source: str


class CurveRecord(Part):
    """A curve on its grid."""

    quantity: str = Field(description="What the curve is, in the field's words.")
    plane: str = Field(description="Where it belongs: eardrum, probe_tip, coupler:ha1, dial:insert, ...")
    unit: str = Field(description="dB SPL, dB HL or dB.")
    bandwidth: str = Field(description="tone, 1/3_octave or 1/12_octave.")
    frequency_hz: list[float]
    level_db: list[float]
    u_db: list[float] = Field(description="Standard uncertainty, k = 1.")
    state: list[StateWord]

    @model_validator(mode="after")
    def _same_length(self) -> CurveRecord:
        sizes = {len(self.frequency_hz), len(self.level_db), len(self.u_db), len(self.state)}
        if len(sizes) != 1:
            msg = "frequency_hz, level_db, u_db and state must be equally long"
            raise ValueError(msg)
        return self


class GradedRecd(Part):
    """An RECD with everything a reader needs to judge it."""

    coupler: Literal["ha1", "ha2", "ha4", "cc04", "oes"]
    source: Literal["insert", "aid"]
    coupling: Literal["foam_tip", "mould", "dome"]
    from_: str = Field(alias="from", description="Plane the transfer starts at.")
    to: Literal["eardrum", "probe_tip"]
    bandwidth: str
    frequency_hz: list[float]
    level_db: list[float]
    u_db: list[float]
    state: list[StateWord]
    ear_curve_db: list[float]
    coupler_curve_db: list[float]
    coupler_noise_db: list[float | None]
    ear_noise_db: list[float | None]
    insertions: int = Field(description="Number of ear insertions averaged.")
    tip_to_drum_mm: float | None
    tip_to_drum_u_mm: float | None
    tip_to_drum_known_by: Literal["declared", "notch", "bound"] | None
    trusted_max_hz: float
    trusted_limit: str
    limits: list[LimitRecord]
    grade: Literal["A", "B", "C", "D"]
    grade_reasons: list[str]
    findings: list[FindingRecord]


class Harmonic(Part):
    """One harmonic over the excitation frequency; null where it was not measured."""

    percent: list[float | None]
    db_re_fundamental: list[float | None]


class ResponseRecord(CurveRecord):
    """One recording's curve, for ``umbo response``."""

    recording: str
    ear: Literal["right", "left"]
    stimulus: str
    statistic: str
    noise_db: list[float | None]
    repeats: int
    repeats_used: int
    harmonics: dict[str, Harmonic]
    percentiles: dict[str, list[float]]
    findings: list[FindingRecord]
