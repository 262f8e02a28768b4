"""The tables of case.toml that describe an ear: its state, its fitting, its targets."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from umbo.core import Ear
from umbo.interchange._fields import (
    Day,
    FileName,
    Frequencies,
    FromWord,
    Levels,
    Name,
    Offsets,
    RefusedError,
    Table,
    Text,
    require_one_each,
)
from umbo.interchange._hearing_tables import DiscomfortTable, ThresholdsTable

__all__ = [
    "EarTable",
    "EarsTable",
    "FittingTable",
    "MleTable",
    "TargetTable",
]


class FittingTable(Table):
    """How the aid is fitted to the ear."""

    venting: Literal["closed", "vented", "open"] = Field(default="closed", description="How open the canal is.")
    prescription: (
        Literal["nal_r", "nal_rp", "half_gain", "pogo", "pogo_ii", "berger", "libby", "fig6", "dsl_io_1995", "none"]
        | None
    ) = Field(
        default=None,
        description="Open formula that gives speech targets where none are imported, or none. Where it is left out "
        "NAL-R is used, but for a child under seven years, whom insertion gain does not suit, nothing.",
    )
    frequency_lowering: bool = Field(default=False, description="Whether the aid moves sound down in frequency.")
    discomfort_prediction: Name | None = Field(
        default=None,
        description="Rule that predicts discomfort levels where none were measured: a [discomfort_rules.NAME] table "
        "or the one that umbo ships, 'constant-100-db-spl'; nothing is predicted unless it is named.",
    )
    vent_diameter_mm: float | None = Field(
        default=None,
        gt=0,
        le=10,
        description="Bore of the vent; with venting = 'vented', and together with its length. [mm]",
    )
    vent_length_mm: float | None = Field(default=None, gt=0, le=40, description="Length of the vent's bore. [mm]")
    aid_delay_ms: float | None = Field(
        default=None, ge=0, le=50, description="By how much the aid's sound is later than the direct sound. [ms]"
    )

    guidance: Literal["bsa", "mccreery_2013", "wiseman_2023", "project"] = Field(
        default="project",
        description="By whose criteria speech is judged against its target: those of adults, those of children (rms "
        "deviation of 5 or 3 dB), or the project's own rule.",
    )
    mould_since: Day | None = Field(
        default=None,
        description="Since when the present earmould is worn; an RECD that is older than it is out of date. Needs "
        "measured.",
    )

    @model_validator(mode="after")
    def _vent_agrees(self) -> Self:
        sizes = {"vent_diameter_mm": self.vent_diameter_mm, "vent_length_mm": self.vent_length_mm}
        given = [name for name, size in sizes.items() if size is not None]
        if given and self.venting != "vented":
            raise RefusedError(
                f"is given although venting is '{self.venting}'",
                "write venting = 'vented', or leave it out",
                (given[0],),
            )
        if len(given) == 1:
            missing = next(name for name in sizes if name not in given)
            raise RefusedError(f"is missing although {given[0]} is given", "give both sizes of the vent", (missing,))
        return self


class MleTable(Table):
    """Microphone-location effect of this aid style: level at its microphone minus level in the field."""

    frequency_hz: Frequencies = Field(description="Frequencies, ascending. [Hz]")
    level_db: Offsets = Field(description="Effect, one per frequency. [dB]")
    source: Text = Field(min_length=1, description="Where the numbers come from.")

    @model_validator(mode="after")
    def _agree(self) -> Self:
        require_one_each(self.frequency_hz, self.level_db, "level_db")
        return self


class EarTable(Table):
    """One ear."""

    middle_ear: Literal["normal", "effusion", "tube", "perforation", "unknown"] = Field(
        description="State of the middle ear when it was measured."
    )
    tip_to_drum_mm: float | None = Field(None, ge=0, le=60, description="Probe tip to eardrum, when known. [mm]")
    recd: Literal["measured", "adult_average"] = Field(
        "measured", description="Which RECD carries coupler levels to this eardrum."
    )
    thresholds: ThresholdsTable | None = Field(None, description="Hearing thresholds.")
    discomfort: DiscomfortTable | None = Field(None, description="Levels that are uncomfortably loud.")
    fitting: FittingTable = Field(
        FittingTable(), description="Venting, prescription, and what the aid does to frequencies."
    )
    mle: MleTable | None = Field(None, description="Microphone-location effect.")


class EarsTable(Table):
    """The ears."""

    right: EarTable | None = Field(None, description="The right ear.")
    left: EarTable | None = Field(None, description="The left ear.")

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.right is None and self.left is None:
            raise RefusedError("holds neither a right nor a left ear", "add [ear.right] or [ear.left]")
        return self

    def entries(self) -> dict[Ear, EarTable]:
        """List the ears that are described, right first."""
        both = {Ear.RIGHT: self.right, Ear.LEFT: self.left}
        return {ear: entry for ear, entry in both.items() if entry is not None}


class TargetTable(Table):
    """Targets or limits of one ear, imported from a prescription method, at the eardrum."""

    name: Name = Field(description="What messages and reports call these targets.")
    ear: Annotated[Ear, FromWord] = Field(description="Which ear.")
    method: Name = Field(description="Prescription method.")
    version: Name = Field(description="Its version.")
    options: Text = Field("", description="Options chosen in the method.")
    kind: Literal["speech", "insertion_gain", "maximum_output"] = Field(
        description="Speech targets, insertion gains for speech (adults only), or limits of maximum output."
    )
    level_db_spl: float | None = Field(
        None, ge=-20, le=140, description="Input level they are for; required but for maximum output. [dB SPL]"
    )
    file: FileName | None = Field(
        None, description="CSV file with frequency_hz,level_db, or JSON file of one target; or give them here."
    )
    frequency_hz: Frequencies | None = Field(None, description="Frequencies, ascending. [Hz]")
    level_db: Levels | None = Field(
        None, description="Levels at the eardrum, or insertion gains, one per frequency. [dB SPL] or [dB]"
    )

    @model_validator(mode="after")
    def _agree(self) -> Self:
        inline = self.frequency_hz is not None and self.level_db is not None
        if self.file is not None and (self.frequency_hz is not None or self.level_db is not None):
            raise RefusedError("has a file and values of its own", "give one of them", ("file",))
        if self.file is None and not inline:
            raise RefusedError("has neither a file nor values", "give file, or frequency_hz and level_db")
        if self.frequency_hz is not None:
            require_one_each(self.frequency_hz, self.level_db, "level_db")
        if self.kind != "maximum_output" and self.level_db_spl is None:
            raise RefusedError(
                "is missing, and a speech target belongs to an input level",
                "give the speech level, for example level_db_spl = 65.0",
                ("level_db_spl",),
            )
        return self
