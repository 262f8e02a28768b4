"""The tables of case.toml that describe what an ear hears: thresholds, discomfort, and the rules they need."""

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from umbo.core import CouplerKind, Transducer
from umbo.ear import Reliability, ThresholdMethod
from umbo.interchange._fields import (
    Flags,
    Frequencies,
    FromWord,
    HearingLevels,
    Name,
    Offsets,
    RefusedError,
    Table,
    Text,
    require_one_each,
)
from umbo.interchange._wording import shown

__all__ = ["CorrectionTable", "DiscomfortRuleTable", "DiscomfortTable", "ThresholdsTable"]

_MASKING = ("masked", "unmasked", "not_needed")
_BY_REDD = (Transducer.SUPRA_AURAL, Transducer.CIRCUMAURAL)


def _masking(value: object) -> object:
    flags = isinstance(value, list | tuple) and all(isinstance(flag, bool) for flag in value)
    if not flags and value not in _MASKING:
        words = ", ".join(f"'{word}'" for word in _MASKING)
        raise RefusedError(
            f"is {shown(value)}, but must be {words}, or an array of true and false",
            "write one word for all points, or one true or false per frequency",
        )
    return tuple(value) if isinstance(value, list) else value


MaskingWords = Annotated[Literal["masked", "unmasked", "not_needed"] | Flags, BeforeValidator(_masking)]
Slopes = Annotated[tuple[Annotated[float, Field(gt=0, le=2)], ...], Field(strict=False, min_length=1, max_length=500)]


class _EnteredTable(Table):
    """What thresholds and discomfort levels have in common."""

    coupler: Annotated[CouplerKind, FromWord] | None = Field(
        None,
        description="Reference coupler of the RETSPL; with insert earphones, which require it.",
    )
    coupling: Literal["foam_tip", "mould"] | None = Field(None, description="What held the insert earphone.")
    frequency_hz: Frequencies = Field(description="Frequencies, ascending. [Hz]")
    level_db: HearingLevels = Field(description="Levels, one per frequency. [dB on the scale]")
    no_response: Flags | None = Field(
        None, description="true where there was no response, or no discomfort, at that level: it is a bound."
    )
    redd_db: Offsets | None = Field(
        None,
        description="Real-ear-to-dial difference measured in this ear with this earphone, one per frequency; only with "
        "supra-aural and circumaural earphones, which use an average without it. [dB]",
    )

    def require_entries(self, transducer: Transducer | None) -> None:
        """Refuse arrays of unequal length, and what does not belong to the transducer."""
        for key in ("level_db", "no_response", "redd_db"):
            require_one_each(self.frequency_hz, getattr(self, key), key)
        if transducer is Transducer.INSERT and self.coupler is None:
            raise RefusedError(
                "is missing, and insert-earphone thresholds are referred to a coupler",
                "name the coupler of the RETSPL, for example coupler = 'ha1'",
                ("coupler",),
            )
        if self.redd_db is not None and transducer not in _BY_REDD:
            raise RefusedError(
                "is given, and only supra-aural and circumaural earphones have one",
                "leave it out, or correct the transducer",
                ("redd_db",),
            )


class ThresholdsTable(_EnteredTable):
    """Hearing thresholds of one ear, as they were entered."""

    scale: Literal["HL", "eHL", "nHL"] = Field(
        description="HL: audiometer dial; eHL: already corrected to behavioural thresholds; nHL: needs one."
    )
    transducer: Annotated[Transducer, FromWord] = Field(description="What the thresholds were taken with.")
    correction: Name | None = Field(
        None,
        description="Name of a [corrections.NAME] table or of a set that umbo ships; required with nHL, otherwise "
        "refused.",
    )
    corrected_by_recorder: bool | None = Field(
        None, description="Whether the recorder of evoked responses corrected its values already."
    )
    method: Annotated[ThresholdMethod, FromWord] | None = Field(
        None,
        description="How they were found: conventional, play or vra by behaviour; abr_tone, abr_chirp, assr or click "
        "by evoked responses. vra gives minimum response levels; click belongs to no single frequency and is refused.",
    )
    reliability: Annotated[Reliability, FromWord] | None = Field(
        None, description="How far the tester trusts the responses; fair and poor widen the uncertainty."
    )
    masking: MaskingWords | None = Field(
        None, description="Whether the other ear was masked: one word for all points, or true and false per frequency."
    )
    highest_level_db: HearingLevels | None = Field(
        None,
        description="Highest level of the equipment, one per frequency; a threshold that equals it is asked about. "
        "[dB on the scale]",
    )
    fill_in_hz: Frequencies | None = Field(
        None, description="Frequencies between measured ones to be filled in on request, marked as interpolated. [Hz]"
    )

    @model_validator(mode="after")
    def _agree(self) -> Self:
        self.require_entries(self.transducer)
        require_one_each(self.frequency_hz, self.highest_level_db, "highest_level_db")
        if not isinstance(self.masking, str):
            require_one_each(self.frequency_hz, self.masking, "masking")
        self._require_method()
        self._require_correction()
        self._require_reachable()
        return self

    def _require_method(self) -> None:
        if self.method is ThresholdMethod.CLICK:
            raise RefusedError(
                "is 'click', and a click excites all frequencies at once: its threshold belongs to no single one",
                "enter tone-pip or narrow-band-chirp thresholds, or leave these out",
                ("method",),
            )
        if self.method is not None and self.method.is_evoked == (self.scale == "HL"):
            do = "write scale = 'nHL' with a correction, or 'eHL' if they are corrected"
            raise RefusedError(
                f"is '{self.method}' although the scale is {self.scale}",
                do if self.method.is_evoked else "write scale = 'HL', or correct the method",
                ("method",),
            )

    def _require_correction(self) -> None:
        if self.corrected_by_recorder is not None and self.scale == "HL":
            raise RefusedError(
                "is given although the scale is HL, which no recorder corrects",
                "correct the scale, or leave it out",
                ("corrected_by_recorder",),
            )
        if self.corrected_by_recorder and self.scale == "nHL":
            raise RefusedError(
                "is true although the scale is nHL, which would be corrected a second time",
                "write scale = 'eHL' and leave the correction out",
                ("corrected_by_recorder",),
            )
        if self.scale == "nHL" and self.correction is None:
            raise RefusedError(
                "is missing, and the scale nHL needs one",
                "name a [corrections.NAME] table or a set that umbo ships",
                ("correction",),
            )
        if self.scale != "nHL" and self.correction is not None:
            raise RefusedError(
                f"is '{self.correction}' although the scale is {self.scale}, which takes no correction",
                "write scale = 'nHL', or leave the correction out",
                ("correction",),
            )

    def _require_reachable(self) -> None:
        for f, level, highest in zip(self.frequency_hz, self.level_db, self.highest_level_db or (), strict=False):
            if level > highest:
                raise RefusedError(
                    f"is {highest:g} dB at {f:g} Hz, below the level of {level:g} dB that was entered there",
                    "correct one of the two",
                    ("highest_level_db",),
                )


class DiscomfortTable(_EnteredTable):
    """Levels that one ear finds uncomfortably loud, as they were entered."""

    scale: Literal["HL", "SPL"] = Field(
        description="HL: audiometer dial; SPL: measured at the eardrum with a probe, needs no conversion."
    )
    transducer: Annotated[Transducer, FromWord] | None = Field(
        None, description="What they were taken with; required with HL, refused with SPL."
    )

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if self.scale == "HL" and self.transducer is None:
            raise RefusedError(
                "is missing, and dB HL belongs to a transducer", "name it, for example 'insert'", ("transducer",)
            )
        if self.scale == "SPL":
            for key in ("transducer", "coupler", "coupling", "redd_db"):
                if getattr(self, key) is not None:
                    raise RefusedError(
                        "is given although the scale is SPL, which was measured at the eardrum",
                        "leave it out, or write scale = 'HL'",
                        (key,),
                    )
        self.require_entries(self.transducer)
        return self


class CorrectionTable(Table):
    """A named set from nHL to eHL: a fixed difference, or a regression that follows the level."""

    frequency_hz: Frequencies = Field(description="Frequencies, ascending. [Hz]")
    level_db: Offsets | None = Field(None, description="Fixed set: nHL minus eHL, one per frequency. [dB]")
    slope: Slopes | None = Field(
        None, description="Level-dependent set: eHL = slope x nHL + intercept_db, one per frequency. [dB/dB]"
    )
    intercept_db: Offsets | None = Field(
        None, description="Level-dependent set: its intercept, one per frequency. [dB]"
    )
    source: Text = Field(min_length=1, description="Where the numbers come from.")
    version: Text = Field("", description="Version of the set, printed with its name.")
    method: Annotated[ThresholdMethod, FromWord] | None = Field(
        None, description="Method the set was made for; thresholds found in another way are warned about."
    )

    @model_validator(mode="after")
    def _agree(self) -> Self:
        for key in ("level_db", "slope", "intercept_db"):
            require_one_each(self.frequency_hz, getattr(self, key), key)
        follows = self.slope is not None or self.intercept_db is not None
        if self.level_db is None and not follows:
            raise RefusedError("is missing", "add 'level_db', or 'slope' and 'intercept_db'", ("level_db",))
        if self.level_db is not None and follows:
            raise RefusedError("is given beside a slope or intercept", "give one of the two", ("level_db",))
        for key, value in (("slope", self.slope), ("intercept_db", self.intercept_db)):
            if follows and value is None:
                raise RefusedError("is missing, and a regression has both", "give slope and intercept_db", (key,))
        return self


class DiscomfortRuleTable(Table):
    """A rule that predicts discomfort levels from thresholds: discomfort = intercept_db + slope x threshold."""

    scale: Literal["HL", "SPL"] = Field(description="HL: both on the dial; SPL: both at the eardrum.")
    slope: float = Field(ge=0, le=1.5, description="Slope; 0 for a constant. [dB/dB]")
    intercept_db: float = Field(ge=-60, le=160, description="Intercept. [dB on the scale]")
    u_db: float = Field(gt=0, le=40, description="Standard deviation of people about the line, k = 1. [dB]")
    source: Text = Field(min_length=1, description="Where the rule and its spread come from.")
