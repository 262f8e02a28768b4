"""Speech and features, from the readings of one aid in one coupler."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from umbo.aid import (
    Feature,
    FeatureCheck,
    InputNoise,
    InputOutput,
    InputRoute,
    Lowering,
    NoiseReduction,
    RouteCheck,
    SpeechTest,
    Switch,
    constant,
    expansion_check,
    feedback_margin,
    frequency_lowering,
    front_back,
    level_compression,
    noise_against_speech,
    noise_reduction,
    remote_microphone_offset,
    speech_kept,
    speech_test,
)
from umbo.core import Bandwidth, Grid, Level, Outcome, Transfer
from umbo.curves import SpeechInput, SpeechReading, SweepReading
from umbo.errors import InputError
from umbo.session._aid_attempts import Attempts
from umbo.session._aid_data_sheet import input_output_curves
from umbo.session._aid_plan import AidTest
from umbo.session._aid_readings import AidReading, AidReadings
from umbo.session._aid_result import FeatureTests
from umbo.session._plan import Plan, Recordings
from umbo.session._readings import tags_of

__all__ = ["feature_tests"]


def feature_tests(
    readings: AidReadings, plan: Plan, recordings: Recordings, noise: InputNoise | None, attempts: Attempts
) -> FeatureTests:
    """Make every check the readings allow.

    Parameters
    ----------
    readings : AidReadings
        Of one aid, coupler and run.
    plan : Plan
        What was declared.
    recordings : Recordings
        Where samples come from: a time course is read from them.
    noise : InputNoise or None
        The aid's own noise, which can hide an expansion.
    attempts : Attempts
        Keeps what could not be read.
    """
    speech = _speech(readings, attempts)
    compression = None
    if len({test.level_db_spl for test in speech}) > 1:
        compression = attempts.make("compression between speech levels", level_compression, speech)
    reductions, checks = _noise(readings, plan, recordings, attempts)
    lowerings = _lowerings(readings, plan, attempts)
    expansion = [_expansion(curve, noise) for curve in input_output_curves(readings, AidTest.EXPANSION, attempts)]
    return FeatureTests(
        speech=speech,
        compression=compression,
        checks=(*expansion, *checks, *_directions(readings, attempts), *(low.check for low in lowerings)),
        noise_reductions=reductions,
        lowerings=lowerings,
        remote=_remote(readings, attempts),
        hints=_feedback(readings, attempts),
    )


def _expansion(curve: InputOutput, noise: InputNoise | None) -> FeatureCheck:
    """Whether expansion is in its declared state; one that hears the aid's own noise cannot be seen."""
    check = expansion_check(curve)
    softest = float(curve.input_db_spl[0])
    if check.outcome is Outcome.PASS or noise is None or noise.total.value < softest:
        return check
    return check.with_doubt(
        f"the aid's own noise of {noise.total.value:.0f} dB SPL reaches the softest tone of {softest:g} dB SPL, and "
        "expansion follows both together"
    )


def _spoken(reading: AidReading) -> SpeechReading:
    if reading.speech is None:
        raise InputError(
            f"read '{reading.take.name}' in third octaves", "no speech and no noise was played", "play one of them"
        )
    return reading.speech


def _level(reading: AidReading) -> Level:
    return _spoken(reading).level


def _speech(readings: AidReadings, attempts: Attempts) -> tuple[SpeechTest, ...]:
    found = [attempts.make(AidTest.SPEECH.phrase, _speech_test, reading) for reading in readings.of(AidTest.SPEECH)]
    return tuple(sorted((test for test in found if test is not None), key=lambda test: test.level_db_spl))


def _speech_test(reading: AidReading) -> SpeechTest:
    return speech_test(_spoken(reading), _heard(reading), reading.conditions_known)


def _heard(reading: AidReading) -> SpeechInput:
    if reading.heard is None:
        raise InputError(f"take the gain in '{reading.take.name}'", "its input has no level", "state level_db_spl")
    return reading.heard


def _grouped(found: Iterable[AidReading], by: str) -> list[list[AidReading]]:
    """Readings that share their stimulus, or their settings, in order."""
    groups: dict[str, list[AidReading]] = {}
    for reading in found:
        settings = reading.run.settings
        name = reading.take.stimulus if by == "stimulus" else "" if settings is None else settings.name
        groups.setdefault(name, []).append(reading)
    return list(groups.values())


def _noise(
    readings: AidReadings, plan: Plan, recordings: Recordings, attempts: Attempts
) -> tuple[tuple[NoiseReduction, ...], tuple[FeatureCheck, ...]]:
    """Noise with the feature off and on; speech in the same way; without a run with it off, speech against noise."""
    groups = _grouped(readings.of(AidTest.NOISE), "stimulus")
    reductions: list[NoiseReduction] = []
    checks: list[FeatureCheck] = []
    alone = []
    for group in groups:
        if len(group) < 2:
            alone += group
            continue
        without, within = _off_and_on(group, Feature.NOISE_REDUCTION)
        if plan.stimuli[without.take.stimulus].kind == "noise":
            made = attempts.make(AidTest.NOISE.phrase, _course, without, within, plan, recordings)
            reductions += [] if made is None else [made]
            checks += [] if made is None else [made.check]
        else:
            kept = attempts.make(AidTest.NOISE.phrase, _kept, without, within)
            checks += [] if kept is None else [kept]
    checks += _against_speech(alone, plan, attempts)
    return tuple(reductions), tuple(checks)


def _kept(without: AidReading, within: AidReading) -> FeatureCheck:
    return speech_kept(_level(without), without.conditions_known, _level(within), within.conditions_known)


def _off_and_on(group: list[AidReading], feature: Feature) -> tuple[AidReading, AidReading]:
    """The run with a feature off and the one with it on; runs that do not say so are taken in order."""

    def state(reading: AidReading) -> Switch:
        return reading.conditions_known.settings.state(feature)

    off = next((one for one in group if state(one) is Switch.OFF), group[0])
    rest = [one for one in group if one is not off]
    return off, next((one for one in rest if state(one) is Switch.ON), rest[0])


def _course(without: AidReading, within: AidReading, plan: Plan, recordings: Recordings) -> NoiseReduction:
    take = within.take
    if {without.run.lead_in, within.run.lead_in} != {"silence"}:
        raise InputError(
            f"follow the noise reduction in '{take.name}'",
            "the noise had been playing before it",
            "begin it after quiet, and say lead_in = 'silence'",
        )
    if without.take.calibration != take.calibration:
        raise InputError(
            f"compare '{without.take.name}' and '{take.name}'", "they have two calibrations", "use one microphone chain"
        )
    return noise_reduction(
        recordings.take(without.take.name),
        without.conditions_known,
        recordings.take(take.name),
        within.conditions_known,
        plan.calibrations[take.calibration],
        onset_s=0.0,
        background=None,
        tags=tags_of(take, plan.stimuli[take.stimulus]),
    )


def _against_speech(alone: list[AidReading], plan: Plan, attempts: Attempts) -> list[FeatureCheck]:
    """Runs of one noise and one speech without a partner, at one setting."""
    out = []
    for group in _grouped(alone, "settings"):
        speech = [one for one in group if plan.stimuli[one.take.stimulus].kind == "speech"]
        noise = [one for one in group if plan.stimuli[one.take.stimulus].kind == "noise"]
        if not speech or not noise:
            attempts.say(
                AidTest.NOISE.phrase,
                f"'{group[0].take.name}' has no partner: record the same sound with the feature off, or speech and "
                "noise of one spectrum with it on.",
            )
            continue
        check = attempts.make(AidTest.NOISE.phrase, _against, speech[0], noise[0])
        out += [] if check is None else [check]
    return out


def _against(speech: AidReading, noise: AidReading) -> FeatureCheck:
    return noise_against_speech(_gain(speech), speech.conditions_known, _gain(noise), noise.conditions_known)


def _gain(reading: AidReading) -> Transfer:
    return _level(reading) - _heard(reading).level


def _directions(readings: AidReadings, attempts: Attempts) -> list[FeatureCheck]:
    out = []
    for group in _grouped(readings.of(AidTest.FRONT, AidTest.BACK), "settings"):
        front = [one for one in group if one.run.test is AidTest.FRONT]
        back = [one for one in group if one.run.test is AidTest.BACK]
        if not front or not back:
            missing = AidTest.BACK if front else AidTest.FRONT
            attempts.lacks(group[0].run.test, missing)
            continue
        check = attempts.make("directional microphone", _front_back, front[0], back[0])
        out += [] if check is None else [check]
    return out


def _front_back(front: AidReading, back: AidReading) -> FeatureCheck:
    return front_back(_level(front), _level(back), front.conditions_known, back.conditions_known)


def _lowerings(readings: AidReadings, plan: Plan, attempts: Attempts) -> tuple[Lowering, ...]:
    """Noise without and with the feature; long-term levels of speech do not show where fricatives go."""
    found = [
        one
        for one in readings.of(AidTest.LOWERING_OFF, AidTest.LOWERING_ON)
        if plan.stimuli[one.take.stimulus].kind == "noise"
    ]
    out = []
    for group in _grouped(found, "stimulus"):
        before = [one for one in group if one.run.test is AidTest.LOWERING_OFF]
        after = [one for one in group if one.run.test is AidTest.LOWERING_ON]
        if not before or not after:
            missing = AidTest.LOWERING_ON if before else AidTest.LOWERING_OFF
            attempts.lacks(group[0].run.test, missing)
            continue
        out.append(attempts.make("frequency lowering", _lowering, before[0], after[0]))
    return tuple(one for one in out if one is not None)


def _lowering(before: AidReading, after: AidReading) -> Lowering:
    one, other = before.ranges_db_spl, after.ranges_db_spl
    return frequency_lowering(
        _level(before),
        before.conditions_known,
        _level(after),
        after.conditions_known,
        ranges_db_spl=None if one is None or other is None else (one, other),
    )


def _remote(readings: AidReadings, attempts: Attempts) -> tuple[RouteCheck, ...]:
    hz = np.array([constant(f"remote_microphone_frequency_{n}") for n in (1, 2, 3)])
    at = Grid(hz, Bandwidth.THIRD_OCTAVE)
    out = []
    for group in _grouped(readings.of(AidTest.REMOTE_MICROPHONE), "stimulus"):
        own = [one for one in group if one.run.route is InputRoute.ACOUSTIC]
        remote = [one for one in group if one.run.route is InputRoute.REMOTE_MICROPHONE]
        if not own or not remote:
            missing = "remote_microphone" if own else "acoustic"
            attempts.say(AidTest.REMOTE_MICROPHONE.phrase, f"The run with input = '{missing}' was not recorded.")
            continue
        out.append(attempts.make(AidTest.REMOTE_MICROPHONE.phrase, _offset, own[0], remote[0], at))
    return tuple(one for one in out if one is not None)


def _offset(own: AidReading, remote: AidReading, grid: Grid) -> RouteCheck:
    return remote_microphone_offset(_on(own, grid), own.conditions_known, _on(remote, grid), remote.conditions_known)


def _on(reading: AidReading, grid: Grid) -> Level:
    return _level(reading).on(grid, method="log_frequency", outside="refuse")


def _feedback(readings: AidReadings, attempts: Attempts) -> tuple[FeatureCheck, ...]:
    """A hint from the ripple of the response at the highest gain that was swept."""
    swept = [one for one in readings.of(AidTest.FULL_ON_GAIN) if isinstance(one.sweep, SweepReading)]
    out = []
    for one in swept[:1]:
        reading = one.sweep
        if isinstance(reading, SweepReading):
            made = attempts.make("feedback margin", feedback_margin, reading.spectrum, one.conditions_known)
            out += [] if made is None else [made]
    return tuple(out)
