"""The recordings of an aid-test case, made aid by aid."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from umbo.core import CouplerKind, Ear, FloatArray, Source
from umbo.sim._aid import VirtualAid
from umbo.sim._aid_bench import AidOnBench, play_aid
from umbo.sim._aid_inputs import AidInput
from umbo.sim._aid_measures import reference_volume_db
from umbo.sim._aid_scenario import AidEar, AidScenario, AidTest
from umbo.sim._aid_settings import Volume, settings_of
from umbo.sim._aid_stimuli import STEP_HZ, AidStimulus, speech_stimulus, steps_stimulus
from umbo.sim._filtering import filter_periodic
from umbo.sim._microphones import MicrophoneChain
from umbo.sim._paths import coupler_path

__all__ = ["AidCaseTake", "AidRun", "aid_case_takes", "aid_runs", "check_takes", "set_for", "volume_db"]

#: Tests that belong to the data sheet: recorded in every coupler.
_DATA_SHEET_TESTS: tuple[AidTest, ...] = (
    "output_90",
    "full_on_gain",
    "reference_response",
    "distortion",
    "input_noise",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AidRun:
    """One run of an aid: what is tested, how it is set, what it hears.

    Attributes
    ----------
    test : str
        What it is a test of.
    settings, stimulus : str
        Names of settings and stimulus.
    repeats : int
        Periods recorded. [1]
    input : {"acoustic", "telecoil", "remote_microphone"}
        Where the stimulus goes in.
    direction_deg : float or None
        Where the sound comes from, where the test is about that. [°]
    lead_in : {"stimulus", "silence"}
        What there is before the recording.
    """

    test: AidTest
    settings: str
    stimulus: str
    repeats: int = 1
    input: AidInput = "acoustic"
    direction_deg: float | None = None
    lead_in: Literal["stimulus", "silence"] = "stimulus"

    def on_bench(self, aid: VirtualAid, stimulus: AidStimulus) -> AidOnBench:
        """How it is played on the bench.

        Parameters
        ----------
        aid : VirtualAid
            The aid as set.
        stimulus : AidStimulus
            What is played.

        Returns
        -------
        AidOnBench
            Aid, level, input and direction.
        """
        return AidOnBench(
            aid=aid,
            level_db_spl=stimulus.level_db_spl,
            repeats=self.repeats,
            lead_in=self.lead_in,
            input=self.input,
            field_a_per_m=stimulus.field_a_per_m,
            direction_deg=self.direction_deg or 0.0,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AidCaseTake:
    """One recording and what describes it in a case file; a run of the box itself has no aid run."""

    name: str
    ear: Ear
    coupler: CouplerKind
    source: Source
    stimulus: str
    repeats: int
    run: AidRun | None
    when: Literal["earlier", "now"]
    calibration: str
    samples_fs: FloatArray

    @property
    def file(self) -> str:
        """Name of its file."""
        return self.name.replace(" ", "-").replace("_", "-") + ".wav"


def aid_runs(scenario: AidScenario, aid: VirtualAid, coupler: CouplerKind) -> list[AidRun]:
    """Runs of an aid in a coupler: the data sheet in every one, the rest in the first.

    Parameters
    ----------
    scenario : AidScenario
        What is wanted.
    aid : VirtualAid
        The aid; tests of features it has not are left out.
    coupler : CouplerKind
        Which coupler.

    Returns
    -------
    list of AidRun
        In the order of the data sheet, then features.
    """
    found = [
        AidRun(test="output_90", settings="full_on", stimulus="sweep_90", repeats=2),
        AidRun(test="full_on_gain", settings="full_on", stimulus="sweep_50", repeats=2),
        AidRun(test="reference_response", settings="reference", stimulus="sweep_60", repeats=2),
        AidRun(test="distortion", settings="reference", stimulus="distortion_tones"),
        AidRun(test="input_noise", settings="reference", stimulus="silence"),
        AidRun(test="input_output", settings="dynamic", stimulus="input_output_steps"),
    ]
    found += [AidRun(test="attack_release", settings="dynamic", stimulus=steps_stimulus(f)) for f in STEP_HZ]
    found += [
        AidRun(test="speech", settings="fitted", stimulus=speech_stimulus(level))
        for level in scenario.speech_levels_db_spl
    ]
    found += _feature_runs(aid)
    chosen = scenario.tests if coupler is scenario.couplers[0] else _DATA_SHEET_TESTS
    return [run for run in found if run.test in chosen and run.test in scenario.tests]


def _feature_runs(aid: VirtualAid) -> Iterator[AidRun]:
    feature_speech = speech_stimulus(65.0)
    if aid.expansion is not None:
        yield AidRun(test="expansion", settings="expansion", stimulus="expansion_steps")
    if aid.telecoil is not None:
        yield AidRun(test="telecoil", settings="reference", stimulus="coil_sweep", repeats=2, input="telecoil")
    if aid.noise_reduction is not None:
        for settings in ("fitted", "fitted_noise_reduction"):
            yield AidRun(test="noise", settings=settings, stimulus="noise", lead_in="silence")
            yield AidRun(test="noise", settings=settings, stimulus=feature_speech, lead_in="silence")
    for settings in ("fitted", "fitted_directional"):
        yield AidRun(test="front", settings=settings, stimulus="short_noise", direction_deg=0.0)
        yield AidRun(test="back", settings=settings, stimulus="short_noise", direction_deg=180.0)
    if aid.remote_microphone is not None:
        for where in _REMOTE_INPUTS:
            yield AidRun(test="remote_microphone", settings="fitted", stimulus="short_speech", input=where)
    if aid.lowering is not None:
        for stimulus in ("fricative", "short_speech"):
            yield AidRun(test="lowering_off", settings="fitted", stimulus=stimulus)
            yield AidRun(test="lowering_on", settings="fitted_lowering", stimulus=stimulus)


_REMOTE_INPUTS: tuple[AidInput, ...] = ("acoustic", "remote_microphone")


def volume_db(scenario: AidScenario, entry: AidEar, volume: Volume) -> float:
    """What the volume control of an aid takes away where it stands, found in the first coupler, with faults. [dB]"""
    if volume is Volume.FULL_ON:
        return 0.0
    if volume is Volume.AS_FITTED:
        return entry.fitted_db
    full_on = settings_of("full_on").applied(entry.as_it_is, 0.0)
    return reference_volume_db(full_on, coupler_path(scenario.source, scenario.couplers[0]))


def set_for(scenario: AidScenario, entry: AidEar, settings: str) -> VirtualAid:
    """An aid with its faults, as set for a test."""
    chosen = settings_of(settings)
    return chosen.applied(entry.as_it_is, volume_db(scenario, entry, chosen.volume))


def aid_case_takes(
    scenario: AidScenario, stimuli: Mapping[str, AidStimulus], chain: MicrophoneChain, rng: np.random.Generator
) -> Iterator[AidCaseTake]:
    """Recordings of the aids, one after the other.

    Parameters
    ----------
    scenario : AidScenario
        What to record.
    stimuli : mapping of AidStimulus
        What to play, by name.
    chain : MicrophoneChain
        Chain in the coupler, with its true calibration.
    rng : Generator
        Source of all noise.

    Yields
    ------
    AidCaseTake
        Aid by aid, coupler by coupler.
    """
    for entry in scenario.ears:
        for kind in scenario.couplers:
            path = coupler_path(scenario.source, kind)
            for run in aid_runs(scenario, entry.aid, kind):
                stimulus = stimuli[run.stimulus]
                how = run.on_bench(set_for(scenario, entry, run.settings), stimulus)
                yield AidCaseTake(
                    name=_name(entry, kind, run),
                    ear=entry.side,
                    coupler=kind,
                    source=Source.AID,
                    stimulus=run.stimulus,
                    repeats=run.repeats,
                    run=run,
                    when="now",
                    calibration=chain.name,
                    samples_fs=play_aid(how, stimulus.sound, path, chain, rng),
                )


def _name(entry: AidEar, kind: CouplerKind, run: AidRun) -> str:
    parts = [str(entry.side), "aid", str(kind), run.test, run.settings, run.stimulus]
    return " ".join([*parts, run.input] if run.test == "remote_microphone" else parts)


def check_takes(
    scenario: AidScenario, stimulus: AidStimulus, chain: MicrophoneChain, rng: np.random.Generator
) -> Iterator[AidCaseTake]:
    """Recordings of the check source, earlier and now.

    Parameters
    ----------
    scenario : AidScenario
        What to record.
    stimulus : AidStimulus
        What the check source plays.
    chain : MicrophoneChain
        Chain in the coupler, with its true calibration.
    rng : Generator
        Source of all noise.

    Yields
    ------
    AidCaseTake
        Two, in the first coupler.
    """
    kind, sound, repeats = scenario.couplers[0], stimulus.sound, 2
    path = coupler_path("insert", kind)
    moments: tuple[tuple[Literal["earlier", "now"], float], ...] = (("earlier", 0.0), ("now", scenario.check_drift_db))
    for when, drift_db in moments:
        drive_pa = sound.pascals(stimulus.level_db_spl + drift_db)
        answer = filter_periodic(drive_pa, path.at_bins(drive_pa.size, sound.sampling_rate_hz))
        yield AidCaseTake(
            name=f"check source {kind} {when}",
            ear=scenario.ears[0].side,
            coupler=kind,
            source=Source.INSERT,
            stimulus=stimulus.name,
            repeats=repeats,
            run=None,
            when=when,
            calibration=chain.name,
            samples_fs=chain.record(np.tile(answer, repeats), sound.sampling_rate_hz, rng),
        )
