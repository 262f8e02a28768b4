"""The table of case.toml that says what was played."""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from umbo.interchange._fields import FileName, FrequencyHz, RefusedError, Table
from umbo.interchange._wording import counted

__all__ = ["StimulusTable"]

_FIELD_KINDS = ("exponential_sweep", "tones", "noise", "speech")


def _in_a_row(value: object) -> object:
    """Take one frequency as a row of one."""
    return [value] if isinstance(value, int | float) and not isinstance(value, bool) else value


_ONE_HZ = {"type": "number", "exclusiveMinimum": 0, "maximum": 100_000}
_ToneFrequencies = Annotated[
    tuple[FrequencyHz, ...],
    Field(strict=False, min_length=1, max_length=500),
    BeforeValidator(_in_a_row),
    WithJsonSchema({"anyOf": [_ONE_HZ, {"type": "array", "items": _ONE_HZ, "minItems": 1, "maxItems": 500}]}),
]
_ToneLevels = Annotated[
    tuple[Annotated[float, Field(ge=-20, le=140)], ...], Field(strict=False, min_length=1, max_length=500)
]


class StimulusTable(Table):
    """What was played."""

    kind: Literal["exponential_sweep", "speech", "noise", "tones", "level_steps", "silence"] = Field(
        description="What the file holds."
    )
    file: FileName | None = Field(
        None,
        description="WAV or FLAC file, full scale; required when a recording uses it, except with silence.",
    )
    start_hz: FrequencyHz | None = Field(None, description="First frequency of a sweep. [Hz]")
    stop_hz: FrequencyHz | None = Field(None, description="Last frequency of a sweep. [Hz]")
    level_db_spl: float | None = Field(
        None, ge=-20, le=140, description="Level at the place named by field, for a field stimulus. [dB SPL]"
    )
    frequency_hz: _ToneFrequencies | None = Field(
        None, description="Tones: frequency of each, one after the other. Level steps: the one frequency. [Hz]"
    )
    levels_db_spl: _ToneLevels | None = Field(
        None, description="Level of each tone or step at the aid's microphone, in place of level_db_spl. [dB SPL]"
    )
    step_s: float | None = Field(None, gt=0, le=600, description="Length of each tone or step. [s]")
    field_a_per_m: float | None = Field(
        None, gt=0, le=10, description="Magnetic field strength for a telecoil, in place of level_db_spl. [A/m]"
    )

    @model_validator(mode="after")
    def _sweep_agrees(self) -> Self:
        if self.kind == "exponential_sweep":
            for key in ("start_hz", "stop_hz"):
                if getattr(self, key) is None:
                    raise RefusedError("is missing, and a sweep needs it", f"give {key} in hertz", (key,))
        if self.start_hz is not None and self.stop_hz is not None and self.stop_hz <= self.start_hz:
            raise RefusedError(
                f"is {self.stop_hz:g} Hz, which is not above start_hz = {self.start_hz:g} Hz",
                "give the lower frequency as start_hz",
                ("stop_hz",),
            )
        return self

    @model_validator(mode="after")
    def _tones_agree(self) -> Self:
        keys = ("frequency_hz", "levels_db_spl", "step_s")
        given = [key for key in keys if getattr(self, key) is not None]
        if self.kind not in ("tones", "level_steps"):
            if given:
                raise RefusedError(
                    f"is given although kind is '{self.kind}'", "write kind = 'tones' or 'level_steps'", (given[0],)
                )
            return self
        if self.kind == "tones" and not given:
            return self
        for key in keys:
            if key not in given:
                raise RefusedError(
                    f"is missing, and {'level steps need' if self.kind == 'level_steps' else 'tones need'} it",
                    "give frequency_hz, levels_db_spl and step_s",
                    (key,),
                )
        self._counts_agree(self.frequency_hz or (), self.levels_db_spl or ())
        if self.level_db_spl is not None:
            raise RefusedError(
                "is given beside levels_db_spl, and each step has its own level", "leave it out", ("level_db_spl",)
            )
        return self

    def _counts_agree(self, frequency_hz: tuple[float, ...], levels_db_spl: tuple[float, ...]) -> None:
        wanted = 1 if self.kind == "level_steps" else len(levels_db_spl)
        if len(frequency_hz) != wanted:
            found = counted(len(frequency_hz), "frequency", "frequencies")
            raise RefusedError(
                f"has {found} for {counted(len(levels_db_spl), 'level')}",
                "give level steps one frequency" if self.kind == "level_steps" else "give one level for each frequency",
                ("frequency_hz",),
            )

    @model_validator(mode="after")
    def _field_agrees(self) -> Self:
        if self.field_a_per_m is None:
            return self
        if self.level_db_spl is not None:
            raise RefusedError(
                "is given beside field_a_per_m, and a magnetic field has no sound level",
                "give one of them",
                ("level_db_spl",),
            )
        if self.kind not in _FIELD_KINDS or self.levels_db_spl is not None:
            raise RefusedError(
                f"is given although kind is '{self.kind}'", "use it with a sweep, noise or speech", ("field_a_per_m",)
            )
        return self
