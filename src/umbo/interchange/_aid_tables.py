"""The tables of case.toml for an aid that is tested by itself: settings, data sheet, box, readings typed in."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from umbo.aid import InputRoute, Switch, Volume
from umbo.core import CouplerKind, Ear
from umbo.interchange._fields import (
    FileName,
    Frequencies,
    FrequencyHz,
    FromWord,
    Name,
    Offsets,
    RefusedError,
    Table,
    require_one_each,
)
from umbo.session import AidTest

__all__ = [
    "AidTestKeys",
    "BoxTable",
    "DataSheetTable",
    "EnteredTable",
    "EnteredTables",
    "FeaturesTable",
    "NominalDistortionTable",
    "NominalResponseTable",
    "SettingsTable",
]

_Switch = Annotated[Switch, FromWord]

# ends of what is entered: wide enough for any aid, too narrow for a slip of the pen (engineering judgement)
_Level = Annotated[float, Field(ge=-40, le=180)]
_Gain = Annotated[float, Field(ge=-60, le=120)]
_Time = Annotated[float, Field(ge=0, le=600_000)]
_Percents = Annotated[
    tuple[Annotated[float, Field(ge=0, le=100)], ...], Field(strict=False, min_length=1, max_length=500)
]

#: Tests in which sound may start after quiet.
_LEAD_IN_TESTS = (AidTest.NOISE, AidTest.SPEECH)


class FeaturesTable(Table):
    """State of what an aid may do besides amplifying; what is left out is unknown."""

    compression: _Switch = Field(default=Switch.UNKNOWN, description="Compression.")
    expansion: _Switch = Field(default=Switch.UNKNOWN, description="Expansion: less gain for the softest sounds.")
    noise_reduction: _Switch = Field(default=Switch.UNKNOWN, description="Noise reduction.")
    directional: _Switch = Field(default=Switch.UNKNOWN, description="Directional microphone.")
    frequency_lowering: _Switch = Field(default=Switch.UNKNOWN, description="Frequency lowering.")
    feedback_canceller: _Switch = Field(default=Switch.UNKNOWN, description="Feedback canceller.")


class SettingsTable(Table):
    """How an aid was set during a test."""

    volume: Annotated[Volume, FromWord] = Field(description="Where the gain control stood.")
    features: FeaturesTable = Field(default=FeaturesTable(), description="State of each feature.")


class BoxTable(Table):
    """The box or levelling the tests were made in."""

    name: Name = Field(default="box", description="What messages call it; its level error is one for all its tests.")
    u_db: float | None = Field(
        default=None, ge=0, le=20, description="Standard uncertainty of the level of the sound, k = 1. [dB]"
    )


class EnteredTable(Table):
    """What was read off an instrument and typed in."""

    battery_current_ma: float = Field(ge=0, le=1000, description="Battery current. [mA]")
    battery_current_u_ma: float | None = Field(
        default=None, ge=0, le=1000, description="Its standard uncertainty, k = 1; taken as exact if left out. [mA]"
    )
    settings: Name = Field(description="Name of the [settings.NAME] it was read at.")


class EnteredTables(Table):
    """Typed-in readings of both aids."""

    right: EnteredTable | None = Field(default=None, description="The right aid.")
    left: EnteredTable | None = Field(default=None, description="The left aid.")

    def entries(self) -> dict[Ear, EnteredTable]:
        """List the aids with readings, right first."""
        both = {Ear.RIGHT: self.right, Ear.LEFT: self.left}
        return {ear: entry for ear, entry in both.items() if entry is not None}


class NominalDistortionTable(Table):
    """Nominal total harmonic distortion."""

    frequency_hz: Frequencies = Field(description="Frequencies, ascending. [Hz]")
    thd_percent: _Percents = Field(description="Distortion, one per frequency. [%]")

    @model_validator(mode="after")
    def _agree(self) -> Self:
        require_one_each(self.frequency_hz, self.thd_percent, "thd_percent")
        return self


class NominalResponseTable(Table):
    """Nominal response at the reference test setting."""

    frequency_hz: Frequencies = Field(description="Frequencies, ascending. [Hz]")
    gain_db: Offsets = Field(description="Gain with 60 dB SPL input, one per frequency. [dB]")

    @model_validator(mode="after")
    def _agree(self) -> Self:
        require_one_each(self.frequency_hz, self.gain_db, "gain_db")
        return self


class DataSheetTable(Table):
    """Nominal values of the model; what is left out is not judged."""

    file: FileName | None = Field(
        default=None, description="TOML or CSV file with the values, in place of all other keys."
    )
    standard: Literal["ansi_s3_22", "iec_60118_0"] | None = Field(
        default=None, description="Standard the values follow; required unless they stand in a file."
    )
    coupler: Annotated[CouplerKind, FromWord] | None = Field(
        default=None, description="Coupler the values hold for; required unless they stand in a file."
    )
    maximum_ospl90_db_spl: _Level | None = Field(default=None, description="Maximum OSPL90. [dB SPL]")
    hfa_ospl90_db_spl: _Level | None = Field(default=None, description="HFA-OSPL90. [dB SPL]")
    hfa_full_on_gain_db: _Gain | None = Field(default=None, description="HFA full-on gain. [dB]")
    special_average_hz: Frequencies | None = Field(
        default=None, description="Three frequencies of the special-purpose average. [Hz]"
    )
    special_ospl90_db_spl: _Level | None = Field(default=None, description="Special-purpose average OSPL90. [dB SPL]")
    special_full_on_gain_db: _Gain | None = Field(
        default=None, description="Special-purpose average full-on gain. [dB]"
    )
    reference_test_gain_db: _Gain | None = Field(default=None, description="Reference test gain. [dB]")
    response_low_hz: FrequencyHz | None = Field(default=None, description="Lower end of the frequency range. [Hz]")
    response_high_hz: FrequencyHz | None = Field(default=None, description="Upper end of the frequency range. [Hz]")
    equivalent_input_noise_db_spl: _Level | None = Field(default=None, description="Equivalent input noise. [dB SPL]")
    battery_current_ma: float | None = Field(default=None, ge=0, le=1000, description="Battery current. [mA]")
    attack_ms: _Time | None = Field(default=None, description="Attack time at 2 kHz. [ms]")
    release_ms: _Time | None = Field(default=None, description="Release time at 2 kHz. [ms]")
    telecoil_hfa_difference_db: _Gain | None = Field(
        default=None, description="HFA through the telecoil minus HFA through the microphone. [dB]"
    )
    distortion: NominalDistortionTable | None = Field(default=None, description="Total harmonic distortion.")
    response: NominalResponseTable | None = Field(default=None, description="Response at the reference test setting.")

    @model_validator(mode="after")
    def _file_agrees(self) -> Self:
        others = [key for key in type(self).model_fields if key != "file" and getattr(self, key) is not None]
        if self.file is not None:
            if others:
                raise RefusedError(f"is given beside {others[0]}", "give the file or the values", ("file",))
            return self
        for key in ("standard", "coupler"):
            if getattr(self, key) is None:
                raise RefusedError("is missing", f"say which {key} the values hold for, or name a file", (key,))
        return self

    @model_validator(mode="after")
    def _special_agrees(self) -> Self:
        if self.special_average_hz is not None and len(self.special_average_hz) != 3:
            raise RefusedError(f"has {len(self.special_average_hz)} frequencies", "give three", ("special_average_hz",))
        for key in ("special_ospl90_db_spl", "special_full_on_gain_db"):
            if getattr(self, key) is not None and self.special_average_hz is None:
                raise RefusedError(
                    f"is missing although {key} is given", "give its three frequencies", ("special_average_hz",)
                )
        return self

    @model_validator(mode="after")
    def _range_agrees(self) -> Self:
        low, high = self.response_low_hz, self.response_high_hz
        if low is not None and high is not None and high <= low:
            raise RefusedError(
                f"is {high:g} Hz, which is not above response_low_hz = {low:g} Hz", "check both", ("response_high_hz",)
            )
        return self


class AidTestKeys(Table):
    """What a recording says in addition when it tests an aid, or the box, by itself."""

    test: Annotated[AidTest, FromWord] | None = Field(
        default=None,
        description="What the recording tests of the aid by itself; such a recording is no part of a verification.",
    )
    settings: Name | None = Field(
        default=None, description="Name of the [settings.NAME]; with every test but 'check_source' and 'background'."
    )
    input: Annotated[InputRoute, FromWord] = Field(
        default=InputRoute.ACOUSTIC, description="How the sound got into the aid, in a test."
    )
    direction_deg: float | None = Field(
        default=None,
        ge=-180,
        le=180,
        description="Where the sound came from, 0 = front; with test 'front' or 'back'. [°]",
    )
    run: Name = Field(
        default="now", description="Name of the run: a test of the same name in run 'earlier' is compared."
    )
    lead_in: Literal["stimulus", "silence"] = Field(
        default="stimulus", description="What there was before the recording, in test 'noise' or 'speech'."
    )

    @model_validator(mode="after")
    def _test_agrees(self) -> Self:
        if self.test is None:
            defaults = {key: field.default for key, field in AidTestKeys.model_fields.items()}
            said = [key for key, default in defaults.items() if getattr(self, key) != default]
            if said:
                raise RefusedError("is given, but the recording names no test", "name the test", (said[0],))
            return self
        if self.test.is_of_the_box and self.settings is not None:
            raise RefusedError(f"is given although '{self.test}' is no test of an aid", "leave it out", ("settings",))
        if not self.test.is_of_the_box and self.settings is None:
            raise RefusedError(
                f"is missing, and the test '{self.test}' depends on how the aid was set",
                "name the settings",
                ("settings",),
            )
        return self

    @model_validator(mode="after")
    def _route_agrees(self) -> Self:
        telecoil = self.input is InputRoute.TELECOIL
        if telecoil != (self.test is AidTest.TELECOIL):
            raise RefusedError(
                f"is '{self.input}' with the test '{self.test}'",
                "write input = 'telecoil' with test = 'telecoil', and only there",
                ("input",),
            )
        if self.input is InputRoute.REMOTE_MICROPHONE and self.test is not AidTest.REMOTE_MICROPHONE:
            raise RefusedError(
                f"is '{self.input}' with the test '{self.test}'", "write test = 'remote_microphone'", ("input",)
            )
        return self

    @model_validator(mode="after")
    def _direction_agrees(self) -> Self:
        if self.lead_in == "silence" and self.test not in _LEAD_IN_TESTS:
            raise RefusedError(f"is 'silence' with the test '{self.test}'", "leave it out", ("lead_in",))
        if self.direction_deg is None:
            return self
        ahead = abs(self.direction_deg) < 90
        if self.test not in (AidTest.FRONT, AidTest.BACK) or ahead != (self.test is AidTest.FRONT):
            raise RefusedError(
                f"is {self.direction_deg:g}° with the test '{self.test}'",
                "write test = 'front' for less than 90°, and 'back' beyond",
                ("direction_deg",),
            )
        return self
