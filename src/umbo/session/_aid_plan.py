"""What is declared of an aid that is tested by itself: tests, settings, data sheet, readings typed in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from umbo.aid import DataSheet, InputRoute, Settings
from umbo.core import Ear

__all__ = ["AidTest", "AidTestPlan", "AidTestRun", "EnteredReadings"]


class AidTest(StrEnum):
    """What a recording is a test of."""

    OUTPUT_90 = "output_90"
    FULL_ON_GAIN = "full_on_gain"
    REFERENCE_RESPONSE = "reference_response"
    DISTORTION = "distortion"
    INPUT_NOISE = "input_noise"
    INPUT_OUTPUT = "input_output"
    ATTACK_RELEASE = "attack_release"
    EXPANSION = "expansion"
    SPEECH = "speech"
    NOISE = "noise"
    FRONT = "front"
    BACK = "back"
    TELECOIL = "telecoil"
    REMOTE_MICROPHONE = "remote_microphone"
    LOWERING_OFF = "lowering_off"
    LOWERING_ON = "lowering_on"
    BACKGROUND = "background"
    CHECK_SOURCE = "check_source"

    @property
    def phrase(self) -> str:
        """How a sentence says it."""
        return _PHRASES.get(self, self.replace("_", " "))

    @property
    def is_of_the_box(self) -> bool:
        """Whether it tests the box and not the aid: then there are no settings."""
        return self in (AidTest.BACKGROUND, AidTest.CHECK_SOURCE)


_PHRASES = {
    AidTest.OUTPUT_90: "OSPL90",
    AidTest.FULL_ON_GAIN: "full-on gain",
    AidTest.REFERENCE_RESPONSE: "response at the reference test setting",
    AidTest.INPUT_NOISE: "equivalent input noise",
    AidTest.INPUT_OUTPUT: "input-output curve",
    AidTest.ATTACK_RELEASE: "attack and release",
    AidTest.NOISE: "noise reduction",
    AidTest.FRONT: "sound from the front",
    AidTest.BACK: "sound from the back",
    AidTest.LOWERING_OFF: "frequency lowering off",
    AidTest.LOWERING_ON: "frequency lowering on",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AidTestRun:
    """What a recording is declared to test, and how.

    Parameters
    ----------
    test : AidTest
        What it is a test of.
    settings : Settings or None
        How the aid was set; None with tests of the box.
    route : InputRoute
        How the sound got into the aid.
    direction_deg : float or None
        Where the sound came from, 0 = front; None where that plays no part. [°]
    run : str
        Name of the run: "now", "earlier".
    lead_in : {"stimulus", "silence"}
        What there was before the recording.
    """

    test: AidTest
    settings: Settings | None
    route: InputRoute = InputRoute.ACOUSTIC
    direction_deg: float | None = None
    run: str = "now"
    lead_in: Literal["stimulus", "silence"] = "stimulus"


@dataclass(frozen=True, slots=True, kw_only=True)
class EnteredReadings:
    """What was read off an instrument and typed in.

    Parameters
    ----------
    battery_current_ma : float
        Battery current. [mA]
    battery_current_u_ma : float or None
        Its standard uncertainty; None where it is not stated. [mA]
    settings : Settings
        How the aid was set.
    """

    battery_current_ma: float
    battery_current_u_ma: float | None
    settings: Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class AidTestPlan:
    """What a case declares for all tests of its aids.

    Parameters
    ----------
    data_sheet : DataSheet or None
        Nominal values of the model.
    special_hz : tuple of float
        Three frequencies of the special-purpose average; empty for none. [Hz]
    entered : mapping of Ear to EnteredReadings
        Typed-in readings of each aid.
    box : str
        Name of the box or levelling.
    box_u_db : float or None
        Standard uncertainty of the level of the sound in it; None where it is not stated. [dB]
    """

    data_sheet: DataSheet | None = None
    special_hz: tuple[float, ...] = ()
    entered: Mapping[Ear, EnteredReadings] = field(default_factory=dict)
    box: str = "box"
    box_u_db: float | None = None
