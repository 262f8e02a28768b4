"""What an aid-test case plays: the files, and the stimuli made of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from umbo.sim._aid_inputs import STANDARD_FIELD_A_PER_M
from umbo.sim._aid_measures import DISTORTION_DB_SPL, DISTORTION_HZ, condition
from umbo.sim._aid_scenario import AidScenario
from umbo.sim._speech import speech_like
from umbo.sim._stimuli import Stimulus, exponential_sweep, silence
from umbo.sim._test_signals import fricative_noise, level_steps, speech_shaped_noise, tones

__all__ = ["CHECK_DB_SPL", "STEP_HZ", "AidStimulus", "aid_stimuli", "speech_stimulus", "steps_stimulus"]

#: Frequencies of the attack and release tests, common practice. [Hz]
STEP_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0)

#: Level of the check source (invented). [dB re 20 µPa]
CHECK_DB_SPL = 70.0

_FEATURE_DB_SPL = 65.0  # level of the feature tests, common practice
_DIRECTION_DB_SPL = 75.0  # of the front and back tests: what comes from behind has to stay above noise and expansion
# Of the bench's own choice: steps and lengths.
_INPUT_OUTPUT_STEP_DB = 5.0
_EXPANSION_DB_SPL = tuple(float(level) for level in range(20, 65, 5))
_SLOW_SWEEP_S = 8.0  # a limiter needs time to let go between the peak of the output and what lies above it
_STEP_S = 1.0
_SHORT_STEP_S = 0.75
_SHORT_NOISE_S = 4.0
_SHORT_SPEECH_S = 8.0
_SILENCE_S = 5.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AidStimulus:
    """A stimulus of a case: what the file holds, and how loud it is played.

    Attributes
    ----------
    name, file : str
        Its name and its file; silence has none.
    sound : Stimulus
        What the file holds.
    level_db_spl : float
        Level. [dB re 20 µPa]
    field_a_per_m : float or None
        Magnetic field strength in place of the level. [A/m]
    """

    name: str
    file: str
    sound: Stimulus
    level_db_spl: float
    field_a_per_m: float | None = None


def speech_stimulus(level_db_spl: float) -> str:
    """Name of the speech at this level."""
    return f"speech_{level_db_spl:g}".replace(".", "_")


def steps_stimulus(frequency_hz: float) -> str:
    """Name of the level steps at this frequency."""
    return f"steps_{frequency_hz:g}"


def aid_stimuli(scenario: AidScenario, rng: np.random.Generator) -> dict[str, AidStimulus]:
    """Stimuli of an aid-test case, by name.

    Parameters
    ----------
    scenario : AidScenario
        What is to be recorded.
    rng : Generator
        Source of speech and noise.

    Returns
    -------
    dict of AidStimulus
        All that its tests need.
    """
    found = [*_of_data_sheet(), *_of_steps()]
    speech = speech_like(rng, duration_s=scenario.speech_s)
    levels = {*scenario.speech_levels_db_spl, _FEATURE_DB_SPL}
    found += [
        AidStimulus(name=speech_stimulus(level), file="speech.wav", sound=speech, level_db_spl=level)
        for level in sorted(levels)
    ]
    for name, level, sound in (
        ("noise", _FEATURE_DB_SPL, speech_shaped_noise(rng, duration_s=scenario.noise_s)),
        ("short_speech", _FEATURE_DB_SPL, speech_like(rng, duration_s=_SHORT_SPEECH_S)),
        ("short_noise", _DIRECTION_DB_SPL, speech_shaped_noise(rng, duration_s=_SHORT_NOISE_S)),
        ("fricative", _FEATURE_DB_SPL, fricative_noise(rng)),
    ):
        file = f"{name.replace('_', '-')}.wav"
        found.append(AidStimulus(name=name, file=file, sound=sound, level_db_spl=level))
    return {entry.name: entry for entry in found}


def _of_data_sheet() -> Iterator[AidStimulus]:
    sweep = exponential_sweep()
    yield AidStimulus(
        name="sweep_90",
        file="slow-sweep.wav",
        sound=exponential_sweep(sweep_s=_SLOW_SWEEP_S),
        level_db_spl=condition("ospl90_input"),
    )
    for name, level in (
        ("sweep_50", condition("full_on_gain_input")),
        ("sweep_60", condition("frequency_response_input")),
        ("check_sweep", CHECK_DB_SPL),
    ):
        yield AidStimulus(name=name, file="sweep.wav", sound=sweep, level_db_spl=level)
    yield AidStimulus(
        name="coil_sweep",
        file="sweep.wav",
        sound=sweep,
        level_db_spl=condition("frequency_response_input"),
        field_a_per_m=STANDARD_FIELD_A_PER_M,
    )
    yield _stepped("distortion_tones", tones(DISTORTION_HZ, DISTORTION_DB_SPL, step_s=_STEP_S))
    yield AidStimulus(name="silence", file="", sound=silence(_SILENCE_S), level_db_spl=0.0)


def _of_steps() -> Iterator[AidStimulus]:
    low, high = condition("attack_release_low"), condition("attack_release_high")
    for frequency_hz in STEP_HZ:
        yield _stepped(steps_stimulus(frequency_hz), level_steps(frequency_hz, (low, high, low), step_s=_STEP_S))
    first, last = condition("input_output_low"), condition("input_output_high")
    levels = np.arange(first, last + 1.0, _INPUT_OUTPUT_STEP_DB)
    at_hz = condition("attack_release_frequency")
    yield _stepped("input_output_steps", level_steps(at_hz, [float(x) for x in levels], step_s=_SHORT_STEP_S))
    yield _stepped("expansion_steps", level_steps(at_hz, _EXPANSION_DB_SPL, step_s=_SHORT_STEP_S))


def _stepped(name: str, sound: Stimulus) -> AidStimulus:
    return AidStimulus(
        name=name, file=f"{name.replace('_', '-')}.wav", sound=sound, level_db_spl=max(sound.levels_db_spl)
    )
