"""From the takes that test an aid to readings, each with the conditions it holds for."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from umbo.aid import (
    AttackRelease,
    Conditions,
    InputRoute,
    StimulusKind,
    attack_release,
    constant,
    fricative_edges_hz,
)
from umbo.calibration import Calibration, Recording
from umbo.core import CouplerKind, Finding, FloatArray, Grid, Level, Statistic
from umbo.curves import (
    BandReading,
    Reading,
    SpeechInput,
    SpeechReading,
    SweepReading,
    ToneSeries,
    ToneStep,
    range_levels,
    speech_input,
    steady_noise,
    tone_series,
    tone_steps,
)
from umbo.errors import CaseError
from umbo.session._aid_plan import AidTest, AidTestRun
from umbo.session._plan import Plan, Recordings, StimulusPlan, Take
from umbo.session._readings import plane_of, read_take, tags_of

__all__ = ["AidReading", "AidReadings", "read_aid_tests"]

#: Takes read at once: more would only cost memory.
_MOST_WORKERS = 4

#: Share of a step that is left for the aid to settle (engineering judgement). [1]
_SETTLE_SHARE = 0.5

_LOWERING = (AidTest.LOWERING_OFF, AidTest.LOWERING_ON)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AidReading:
    """One take of a test of an aid, read.

    Parameters
    ----------
    take : Take
        Which.
    run : AidTestRun
        What it tests.
    conditions : Conditions or None
        What it holds for; None with tests of the box.
    sweep : Reading or None
        Where a sweep was played.
    series : ToneSeries or None
        Where tones or level steps were played.
    speech : SpeechReading or None
        Where speech or noise was played.
    heard : SpeechInput or None
        That speech or noise at the aid's microphone, where its level is stated.
    silence : Recording or None
        Where nothing was played.
    steps : AttackRelease or None
        Attack and release, in their test.
    ranges_db_spl : array (4,) or None
        Levels in the bands of fricatives, in the tests of frequency lowering. [dB SPL]
    """

    take: Take
    run: AidTestRun
    conditions: Conditions | None = None
    sweep: Reading | None = None
    series: ToneSeries | None = None
    speech: SpeechReading | None = None
    heard: SpeechInput | None = None
    silence: Recording | None = None
    steps: AttackRelease | None = None
    ranges_db_spl: FloatArray | None = None

    @property
    def conditions_known(self) -> Conditions:
        """The conditions of a test of an aid.

        Raises
        ------
        CaseError
            If it is a test of the box.
        """
        if self.conditions is None:
            raise CaseError(
                f"use the take '{self.take.name}' as a test of an aid",
                f"it is the test '{self.run.test}'",
                "name another",
            )
        return self.conditions

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What was noticed about the recording itself."""
        found = (self.sweep, self.series, self.speech, self.steps)
        return tuple(finding for one in found if one is not None for finding in one.findings)

    def level(self, grid: Grid, quantity: str) -> Level | None:
        """The reading as a curve: a sweep on the grid, tones at their own frequencies, speech in third octaves.

        Parameters
        ----------
        grid : Grid
            Grid of a sweep.
        quantity : str
            What the curve is called.
        """
        if self.sweep is not None:
            return self.sweep.on(grid).level.named(quantity)
        if self.series is not None:
            return self.series.level().named(quantity)
        return None if self.speech is None else self.speech.level.named(quantity)


@dataclass(frozen=True, slots=True, eq=False)
class AidReadings:
    """Readings of one aid in one coupler in one run.

    Parameters
    ----------
    kind : CouplerKind
        The coupler.
    run : str
        Name of the run.
    every : tuple of AidReading
        In the plan's order.
    """

    kind: CouplerKind
    run: str
    every: tuple[AidReading, ...]

    def of(self, *tests: AidTest) -> list[AidReading]:
        """Readings of one or more tests."""
        return [reading for reading in self.every if reading.run.test in tests]


def read_aid_tests(plan: Plan, recordings: Recordings) -> tuple[AidReading, ...]:
    """Read every take that tests an aid or the box, side by side on the machine's cores.

    Parameters
    ----------
    plan : Plan
        What was planned.
    recordings : Recordings
        Where samples come from.

    Raises
    ------
    RecordingError
        If a recording does not fit its stimulus.
    """
    takes = [(take, take.tested) for take in plan.takes if take.tested is not None]
    names = dict.fromkeys(take.stimulus for take, _ in takes if plan.stimuli[take.stimulus].has_file)
    played = {name: recordings.stimulus(name) for name in names}
    with ThreadPoolExecutor(max_workers=min(_MOST_WORKERS, os.cpu_count() or 1)) as pool:
        inputs = dict(zip(played, pool.map(lambda name: _heard(name, plan, played[name]), played), strict=True))
        return tuple(
            pool.map(
                lambda pair: _read(pair[0], pair[1], plan, recordings, played.get(pair[0].stimulus), inputs), takes
            )
        )


def _heard(name: str, plan: Plan, played: Recording) -> SpeechInput | None:
    """Spectrum and percentiles of speech or noise as it was played."""
    stimulus = plan.stimuli[name]
    if stimulus.kind not in ("speech", "noise") or stimulus.level_db_spl is None:
        return None
    take = next(take for take in plan.takes if take.stimulus == name)
    tags = replace(tags_of(take, stimulus), ear=None)
    tests = plan.aid_tests
    return speech_input(played, stimulus.level_db_spl, tags=tags, box=tests.box, u_db=tests.box_u_db or 0.0)


def _read(
    take: Take,
    run: AidTestRun,
    plan: Plan,
    recordings: Recordings,
    played: Recording | None,
    inputs: dict[str, SpeechInput | None],
) -> AidReading:
    stimulus, calibration = plan.stimuli[take.stimulus], plan.calibrations[take.calibration]
    found = AidReading(take=take, run=run, conditions=_conditions(take, run, stimulus, plan))
    if stimulus.kind in ("tones", "level_steps"):
        return _read_tones(found, stimulus, calibration, recordings.take(take.name), plan)
    if stimulus.kind == "silence":
        return replace(found, silence=recordings.take(take.name))
    reading = read_take(take, plan, recordings, played)
    if isinstance(reading, SpeechReading):
        ranges = None
        if run.test in _LOWERING:
            ranges = range_levels(recordings.take(take.name), calibration, fricative_edges_hz())
        return replace(found, speech=reading, heard=inputs.get(take.stimulus), ranges_db_spl=ranges)
    return replace(found, sweep=reading) if isinstance(reading, SweepReading) else found


def _conditions(take: Take, run: AidTestRun, stimulus: StimulusPlan, plan: Plan) -> Conditions | None:
    if run.settings is None:
        return None
    return Conditions(
        plane=plane_of(take, plan),
        ear=take.ear,
        stimulus=StimulusKind(stimulus.kind),
        input_db_spl=_input_db_spl(run, stimulus),
        settings=run.settings,
        route=run.route,
        box=plan.aid_tests.box,
        input_u_db=plan.aid_tests.box_u_db or 0.0,
        run=run.run,
    )


def _input_db_spl(run: AidTestRun, stimulus: StimulusPlan) -> float | None:
    """Level at the aid's microphone: that of the sound, or of tones that all have the same. [dB SPL]"""
    if run.route is InputRoute.TELECOIL:
        return None
    levels = set(stimulus.levels_db_spl)
    return levels.pop() if stimulus.kind == "tones" and len(levels) == 1 else stimulus.level_db_spl


def _read_tones(
    found: AidReading, stimulus: StimulusPlan, calibration: Calibration, recording: Recording, plan: Plan
) -> AidReading:
    take, step_s = found.take, stimulus.step_s
    if step_s is None:
        raise CaseError(f"read the take '{take.name}'", f"the tones '{stimulus.name}' state no steps", "state them")
    steps = tone_steps(stimulus.frequency_hz, stimulus.levels_db_spl, step_s)
    if found.run.test is AidTest.ATTACK_RELEASE:
        three = _three(steps, take.name)
        timed = attack_release(recording, three, calibration, found.conditions_known, repeats=take.repeats)
        return replace(found, steps=timed)
    series = tone_series(
        recording,
        steps,
        calibration,
        repeats=take.repeats,
        settle_s=_SETTLE_SHARE * step_s,
        highest_harmonic=int(constant("thd_highest_harmonic")),
        plane=plane_of(take, plan),
        tags=replace(tags_of(take, stimulus), statistic=Statistic.RMS),
    )
    return replace(found, series=series)


def _three(steps: Sequence[ToneStep], name: str) -> tuple[ToneStep, ToneStep, ToneStep]:
    if len(steps) != 3:
        raise CaseError(
            f"read attack and release in '{name}'",
            f"its stimulus has {len(steps)} steps",
            "play a low, a high, a low one",
        )
    return steps[0], steps[1], steps[2]


def silence_level(reading: AidReading, plan: Plan, background: Recording | None) -> BandReading:
    """Noise of an aid in third octaves, with the box's and microphone's noise taken out where it was recorded.

    Parameters
    ----------
    reading : AidReading
        A recording of silence.
    plan : Plan
        Names its calibration.
    background : Recording or None
        The same without the aid.

    Raises
    ------
    CaseError
        If something was played.
    """
    take = reading.take
    if reading.silence is None:
        raise CaseError(f"read the noise in '{take.name}'", "something was played", "record in silence")
    return steady_noise(
        reading.silence, plan.calibrations[take.calibration], background=background, plane=plane_of(take, plan),
        tags=replace(tags_of(take, plan.stimuli[take.stimulus]), quantity="noise"),
    )  # fmt: skip
