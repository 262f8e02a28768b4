"""The machine-readable answer of ``umbo targets``: prescriptions side by side."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from umbo.record._answers import EarName, TargetRecord, ThresholdRecord
from umbo.record._base import Part
from umbo.record._curves import FindingRecord, StateWord

__all__ = [
    "ConstantsRecord",
    "EarTargets",
    "ImportedLevels",
    "InputTargets",
    "MethodLevels",
    "PrescriptionRecord",
    "TargetsAnswer",
    "WantedLevels",
]


class ConstantsRecord(Part):
    """One set of constants of a prescription, and how each value was obtained."""

    label: str
    table: str = Field(description="Quantity and source of the reference table, as umbo tables takes them.")
    statuses: dict[str, str] = Field(description="How obtained, by frequency in hertz or by name of the constant.")


class PrescriptionRecord(Part):
    """An open prescription: what it is, what it is for, and how sure its constants are."""

    name: str
    version: str
    options: str
    reference: str
    prescribes: Literal["insertion_gain", "insertion_gain_by_input", "aided_level_by_input"] = Field(
        description="Insertion gain that is the same for every input, insertion gain for each input, or the aided "
        "level at the eardrum for each input."
    )
    suits: str
    not_for: str
    status: str = Field(description="Which constants are from memory; empty where none is.")
    constants: list[ConstantsRecord]


class WantedLevels(Part):
    """What is wanted of an ear for one speech input, point by point."""

    frequency_hz: list[float]
    aided_db_spl: list[float] = Field(description="Wanted level of the speech at the eardrum (REAR), third-octaves.")
    u_db: list[float] = Field(description="Standard uncertainty, k = 1, without that of the method's own constants.")
    aided_gain_db: list[float] | None = Field(description="Wanted level minus the speech in the field (REAG).")
    insertion_gain_db: list[float] | None = Field(
        description="Aided minus unaided gain (REIG); null for a child, see no_insertion_gain of the ear."
    )
    from_median_db: list[float | None] = Field(
        description="Wanted level minus the median of the open prescriptions; null where this point or all of theirs "
        "cannot be used."
    )
    state: list[StateWord]

    @model_validator(mode="after")
    def _same_length(self) -> WantedLevels:
        gains = [gain for gain in (self.aided_gain_db, self.insertion_gain_db) if gain is not None]
        sizes = {len(row) for row in (self.frequency_hz, self.aided_db_spl, self.u_db, *gains)}
        if len(sizes | {len(self.from_median_db), len(self.state)}) != 1:
            msg = "every list of wanted levels must be as long as frequency_hz"
            raise ValueError(msg)
        return self


class MethodLevels(Part):
    """One open prescription for one input."""

    method: str = Field(description="Key of the prescription.")
    why_not: str | None = Field(description="Why it prescribes nothing here; then there is no wanted level.")
    wanted: WantedLevels | None
    findings: list[FindingRecord]


class ImportedLevels(Part):
    """One imported target for one input, with its method as declared."""

    name: str
    version: str
    options: str
    why_not: str | None = Field(description="Why a gain is missing that could be had for another target.")
    wanted: WantedLevels


class InputTargets(Part):
    """Everything wanted of one ear for one speech level."""

    input_db_spl: float
    frequency_hz: list[float] = Field(description="Where at least one open prescription can be used.")
    median_db_spl: list[float]
    n_methods: list[int] = Field(description="Number of open prescriptions in the median.")
    spread_db: list[float] = Field(description="Highest minus lowest of them.")
    methods: list[MethodLevels]
    imported: list[ImportedLevels]


class EarTargets(Part):
    """Prescriptions for one ear."""

    thresholds: ThresholdRecord | None
    discomfort: ThresholdRecord | None
    why_not: str | None = Field(description="Why no open prescription could be asked at all.")
    no_insertion_gain: str | None = Field(description="Why nothing is stated as insertion gain; null for adults.")
    inputs: list[InputTargets]
    imported_limits: list[TargetRecord] = Field(description="Imported limits of maximum output.")
    imported_for_other_inputs: list[float] = Field(
        description="Speech levels of imported targets that were not asked about. [dB SPL]"
    )
    findings: list[FindingRecord]


class TargetsAnswer(Part):
    """Answer of ``umbo targets``."""

    schema_: Literal[1] = Field(1, alias="schema")
    case: str
    software: str
    client: str
    age_months: float | None
    inputs_db_spl: list[float]
    prescriptions: dict[str, PrescriptionRecord] = Field(description="The open prescriptions asked about, by key.")
    tables: list[str] = Field(description="Reference tables used, with source and how they were obtained.")
    ears: dict[EarName, EarTargets]
    findings: list[FindingRecord]
    cautions: list[str]
