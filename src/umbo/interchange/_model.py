"""The tables of case.toml: the case, its client, calibrations, stimuli, recordings and imported curves."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from umbo.core import CouplerKind, Coupling, Ear, Source
from umbo.interchange._aid_tables import AidTestKeys, BoxTable, DataSheetTable, EnteredTables, SettingsTable
from umbo.interchange._ear_tables import EarsTable, TargetTable
from umbo.interchange._fields import (
    Age,
    Day,
    FileName,
    Frequencies,
    FromWord,
    Key,
    Name,
    Offsets,
    RefusedError,
    Table,
    Text,
    require_one_each,
)
from umbo.interchange._hearing_tables import CorrectionTable, DiscomfortRuleTable
from umbo.interchange._stimulus_table import StimulusTable

__all__ = [
    "CalibrationTable",
    "CaseTable",
    "ClientTable",
    "CurveTableEntry",
    "RecordingTable",
    "TubeTable",
]

#: A calibration dated later than this after the measurement is a wrong date (engineering judgement). [d]
LATEST_CALIBRATION_DAYS = 366


class ClientTable(Table):
    """Who the ears belong to: a pseudonym and an age, never a name."""

    code: Name = Field(description="Pseudonym; a case never carries a name.")
    age_months: Age | None = Field(None, description="Age at the measurement. [months]")
    born: Day | None = Field(None, description="Date of birth, instead of age_months; needs measured.")
    measured: Day | None = Field(None, description="Date of the measurement, with born.")

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.born is not None and self.age_months is not None:
            raise RefusedError("is given beside age_months", "give one of them", ("born",))
        return self


class TubeTable(Table):
    """Response of a probe tube that was calibrated apart from its microphone."""

    frequency_hz: Frequencies = Field(description="Frequencies, ascending. [Hz]")
    level_db: Offsets = Field(description="Level at the microphone minus level at the tip, one per frequency. [dB]")
    u_db: float = Field(ge=0, le=20, description="Standard uncertainty, k = 1. [dB]")

    @model_validator(mode="after")
    def _agree(self) -> Self:
        require_one_each(self.frequency_hz, self.level_db, "level_db")
        return self


class CalibrationTable(Table):
    """One microphone chain: how many pascals a sample of 1.0 is."""

    pa_per_full_scale: float = Field(gt=0, le=1e6, description="Peak pressure of a sample of 1.0. [Pa]")
    u_db: float = Field(ge=0, le=20, description="Standard uncertainty of that factor, k = 1. [dB]")
    date: Day = Field(description="When the calibration was made.")
    method: Text = Field("entered", min_length=1, description="How the calibration was made.")
    tube: TubeTable | None = Field(None, description="Response of the probe tube, where pa_per_full_scale lacks it.")


class _MeasurementTable(Table):
    """What a recording and an imported curve have in common."""

    name: Name = Field(description="What messages and answers call it; unique in the case.")
    file: FileName = Field(description="File in the case folder.")
    stimulus: Name = Field(description="Name of the [stimulus.NAME] that was played.")
    ear: Annotated[Ear, FromWord] = Field(description="Which ear it was taken for.")
    place: Literal["coupler", "probe_tip", "reference_microphone", "free_field"] = Field(
        description="Where the microphone was."
    )
    coupler: Annotated[CouplerKind, FromWord] | None = Field(
        None, description="Which coupler; with place = 'coupler', and only then."
    )
    coupling: Annotated[Coupling, FromWord] = Field(description="What joined the source to the load.")
    source: Annotated[Source, FromWord] = Field(description="What made the sound.")
    aid: Literal["on", "muted", "removed"] = Field(
        "on",
        description="State of the aid in the ear, with source = 'aid': in use, in place without sound of its own, or "
        "out of the open ear.",
    )
    date: Day | None = Field(
        None, description="Day it was taken, where that is an earlier one than the measurement's; needs measured."
    )

    @model_validator(mode="after")
    def _state_agrees(self) -> Self:
        if self.aid == "on":
            return self
        if self.source is not Source.AID:
            raise RefusedError(
                f"is '{self.aid}' although the source is '{self.source}'",
                "write source = 'aid', or leave aid out",
                ("aid",),
            )
        if self.place == "coupler":
            raise RefusedError(
                f"is '{self.aid}' although place is 'coupler'",
                "leave aid out: only in the ear and in the field can it be muted or removed",
                ("aid",),
            )
        return self

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.place == "coupler" and self.coupler is None:
            raise RefusedError(
                "is missing although place is 'coupler'", "name the coupler, for example 'ha1'", ("coupler",)
            )
        if self.place != "coupler" and self.coupler is not None:
            raise RefusedError(
                f"is '{self.coupler}' although place is '{self.place}'",
                "write place = 'coupler', or leave the coupler out",
                ("coupler",),
            )
        return self


class RecordingTable(_MeasurementTable, AidTestKeys):
    """One recording: back-to-back periods of the stimulus file, from sample 0, at its sampling rate."""

    repeats: int = Field(1, ge=1, le=100_000, description="Number of periods in the file.")
    calibration: Name = Field(description="Name of the [calibration.NAME] of its microphone chain.")


class CurveTableEntry(_MeasurementTable):
    """One exported curve in dB SPL, instead of a recording."""


class CaseTable(Table):
    """A whole case.toml, schema 1."""

    schema_number: Literal[1] = Field(alias="schema", description="Number of this format.")
    id: Name = Field(description="Name of the case.")
    measured: Day | None = Field(None, description="Date of the measurement.")
    client: ClientTable = Field(description="Who the ears belong to.")
    ear: EarsTable = Field(description="One table for each ear that is fitted or measured.")
    calibration: dict[Name, CalibrationTable] = Field({}, description="Microphone chains, by name.")
    stimulus: dict[Name, StimulusTable] = Field({}, description="What was played, by name.")
    corrections: dict[Name, CorrectionTable] = Field({}, description="Corrections from nHL to eHL, by name.")
    discomfort_rules: dict[Name, DiscomfortRuleTable] = Field(
        {}, description="Rules that predict discomfort levels from thresholds, by name."
    )
    settings: dict[Name, SettingsTable] = Field({}, description="How an aid was set in its tests, by name.")
    box: BoxTable = Field(default=BoxTable(), description="The box the tests of an aid were made in.")
    data_sheet: DataSheetTable | None = Field(None, description="Nominal values of the aids' model.")
    entered: EnteredTables = Field(default=EnteredTables(), description="Readings of the aids that were typed in.")
    recording: Annotated[tuple[RecordingTable, ...], Field(strict=False, max_length=1000)] = Field(
        (), description="Recordings."
    )
    curve: Annotated[tuple[CurveTableEntry, ...], Field(strict=False, max_length=1000)] = Field(
        (), description="Imported curves."
    )
    target: Annotated[tuple[TargetTable, ...], Field(strict=False, max_length=100)] = Field(
        (), description="Imported targets and limits."
    )

    @property
    def measured_on(self) -> date | None:
        """Date of the measurement, wherever it stands."""
        return self.measured or self.client.measured

    @model_validator(mode="after")
    def _dates_agree(self) -> Self:
        inner, outer, born = self.client.measured, self.measured, self.client.born
        if inner is not None and outer is not None and inner != outer:
            raise RefusedError(
                f"is {inner} although measured at the top is {outer}", "give one date", ("client", "measured")
            )
        on = self.measured_on
        if born is not None and on is None:
            raise RefusedError(
                f"is {born}, but the date of the measurement is missing", "add measured", ("client", "born")
            )
        if born is not None and on is not None and on < born:
            raise RefusedError(f"is {born}, after the measurement on {on}", "check both dates", ("client", "born"))
        for table, entries in (("recording", self.recording), ("curve", self.curve)):
            for i, entry in enumerate(entries):
                _require_before(entry.date, on, (table, i, "date"))
        for side, ear in self.ear.entries().items():
            _require_before(ear.fitting.mould_since, on, ("ear", str(side), "fitting", "mould_since"))
        for name, calibration in self.calibration.items():
            if on is not None and (calibration.date - on).days > LATEST_CALIBRATION_DAYS:
                raise RefusedError(
                    f"is {calibration.date}, more than a year after the measurement on {on}",
                    "check both dates",
                    ("calibration", name, "date"),
                )
        return self


def _require_before(day: date | None, on: date | None, key: Key) -> None:
    """Refuse a day that is later than the measurement, or that has no day to be compared with."""
    if day is None:
        return
    if on is None:
        raise RefusedError(f"is {day}, but the date of the measurement is missing", "add measured", key)
    if day > on:
        raise RefusedError(f"is {day}, after the measurement on {on}", "check both dates", key)
