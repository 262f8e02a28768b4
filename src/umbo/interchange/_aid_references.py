"""Checks between the tables of a case that describe tests of an aid by itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.aid import InputRoute
from umbo.core import Source
from umbo.interchange._fields import Key, RefusedError
from umbo.interchange._wording import listed, plain, shown
from umbo.session import AidTest

if TYPE_CHECKING:
    from umbo.interchange._model import CaseTable, RecordingTable
    from umbo.interchange._stimulus_table import StimulusTable

__all__ = ["check_aid_tests"]

_CURVES = ("exponential_sweep", "tones")
_SOUNDS = ("noise", "speech")

#: What may be played in each test.
_KINDS: dict[AidTest, tuple[str, ...]] = {
    AidTest.OUTPUT_90: _CURVES,
    AidTest.FULL_ON_GAIN: _CURVES,
    AidTest.REFERENCE_RESPONSE: _CURVES,
    AidTest.TELECOIL: ("exponential_sweep",),
    AidTest.DISTORTION: _CURVES,
    AidTest.INPUT_NOISE: ("silence",),
    AidTest.BACKGROUND: ("silence",),
    AidTest.INPUT_OUTPUT: ("level_steps",),
    AidTest.EXPANSION: ("level_steps",),
    AidTest.ATTACK_RELEASE: ("level_steps",),
    AidTest.SPEECH: ("speech",),
    AidTest.NOISE: _SOUNDS,
    AidTest.FRONT: _SOUNDS,
    AidTest.BACK: _SOUNDS,
    AidTest.REMOTE_MICROPHONE: _SOUNDS,
    AidTest.LOWERING_OFF: _SOUNDS,
    AidTest.LOWERING_ON: _SOUNDS,
    AidTest.CHECK_SOURCE: ("exponential_sweep",),
}


def check_aid_tests(case: CaseTable) -> None:
    """Refuse tests of an aid whose settings lead nowhere, or whose stimulus cannot show what they test.

    Parameters
    ----------
    case : CaseTable
        A case whose other references are right.

    Raises
    ------
    RefusedError
        At the first that does not fit.
    """
    for i, recording in enumerate(case.recording):
        at: Key = ("recording", i)
        stimulus = case.stimulus[recording.stimulus]
        if recording.settings is not None:
            _require_settings((*at, "settings"), recording.settings, case)
        if recording.test is not None:
            _check_place(at, recording, recording.test)
            _check_stimulus(at, recording, stimulus, recording.test)
    ears = list(case.ear.entries())
    for ear, entry in case.entered.entries().items():
        at = ("entered", str(ear))
        if ear not in ears:
            raise RefusedError(
                f"is given, but the case has no [ear.{ear}]", "add that table, or enter the other ear", at
            )
        _require_settings((*at, "settings"), entry.settings, case)


def _require_settings(key: Key, name: str, case: CaseTable) -> None:
    if name not in case.settings:
        raise RefusedError(
            f"is {shown(name)}, but the case has no [settings.{plain(name)}] (it has: {listed(list(case.settings))})",
            "add that table, or name one that is there",
            key,
        )


def _check_place(at: Key, recording: RecordingTable, test: AidTest) -> None:
    if recording.place != "coupler":
        raise RefusedError(
            f"is '{recording.place}' with the test '{test}'", "test an aid by itself in a coupler", (*at, "place")
        )
    wanted = Source.INSERT if test is AidTest.CHECK_SOURCE else Source.AID
    if recording.source is not wanted:
        raise RefusedError(
            f"is '{recording.source}' with the test '{test}'", f"write source = '{wanted}'", (*at, "source")
        )


def _check_stimulus(at: Key, recording: RecordingTable, stimulus: StimulusTable, test: AidTest) -> None:
    named = f"the stimulus '{plain(recording.stimulus)}'"
    if stimulus.kind not in _KINDS[test]:
        raise RefusedError(
            f"is '{test}', but {named} is of kind '{stimulus.kind}'",
            f"play {' or '.join(_KINDS[test])} in this test",
            (*at, "test"),
        )
    played: Key = ("stimulus", recording.stimulus)
    if stimulus.kind == "tones" and stimulus.levels_db_spl is None:
        raise RefusedError(
            f"is missing, and the test '{test}' reads each tone",
            "give frequency_hz, levels_db_spl and step_s",
            (*played, "levels_db_spl"),
        )
    magnetic = recording.input is InputRoute.TELECOIL
    if magnetic and stimulus.field_a_per_m is None:
        disagrees = "is missing, and a recording through the telecoil plays it"
        raise RefusedError(disagrees, "give the field in A/m in place of a level", (*played, "field_a_per_m"))
    if not magnetic and stimulus.field_a_per_m is not None:
        raise RefusedError(
            f"is '{recording.input}', but {named} is a magnetic field", "write input = 'telecoil'", (*at, "input")
        )
    needs_level = not magnetic and stimulus.kind in ("exponential_sweep", *_SOUNDS)
    if needs_level and stimulus.level_db_spl is None:
        raise RefusedError(
            f"is missing, and the test '{test}' depends on the level", "give it", (*played, "level_db_spl")
        )
