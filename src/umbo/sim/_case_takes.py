"""The recordings of a case: made ear by ear, with the planted faults."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from umbo.core import CouplerKind, Ear, FloatArray, Source
from umbo.sim._aid_bench import AidOnBench, play_aid
from umbo.sim._ears import Leak, VirtualEar
from umbo.sim._filtering import filter_periodic
from umbo.sim._microphones import MicrophoneChain, RecordingFaults
from umbo.sim._paths import Path, coupler_path, ear_paths
from umbo.sim._scenario import EarScenario, Fault, Scenario
from umbo.sim._speech import speech_like
from umbo.sim._stimuli import Stimulus, exponential_sweep

__all__ = ["AID_SWEEP", "CaseStimuli", "CaseTake", "case_stimuli", "case_takes", "measured_ear", "speech_name"]

AID_SWEEP = "sweep_maximum"

_LOOSE = Leak(height_m=0.4e-3)
_SHALLOW_SHARE = 0.9
_BLOCKED_DB, _BLOCKED_HZ = -15.0, 1000.0
_NOISY_DB = 35.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CaseTake:
    """One recording and the keys that describe it in a case file."""

    name: str
    stimulus: str
    repeats: int
    ear: Ear
    coupler: CouplerKind | None
    source: Source
    calibration: str
    samples_fs: FloatArray

    @property
    def file(self) -> str:
        """Name of its file."""
        return self.name.replace(" ", "-") + ".wav"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CaseStimuli:
    """What a case plays."""

    sweep: Stimulus
    speech: Stimulus | None


def speech_name(level_db_spl: float) -> str:
    """Name of a speech stimulus in a case file."""
    return f"speech_{level_db_spl:g}".replace(".", "_")


def case_stimuli(scenario: Scenario, rng: np.random.Generator) -> CaseStimuli:
    """Stimuli of a case; speech only where an aid is to be played."""
    has_aid = any(entry.aid is not None for entry in scenario.ears) and scenario.speech_levels_db_spl
    speech = speech_like(rng, duration_s=scenario.speech_s) if has_aid else None
    return CaseStimuli(sweep=exponential_sweep(), speech=speech)


def measured_ear(entry: EarScenario) -> VirtualEar:
    """The ear as it was measured, with the faults that open it or move the probe."""
    ear = entry.ear
    if Fault.LEAK in entry.faults:
        ear = replace(ear, leak=_LOOSE)
    if Fault.SHALLOW_PROBE in entry.faults:
        ear = ear.with_probe(_SHALLOW_SHARE * ear.length_m)
    return ear


def case_takes(
    scenario: Scenario,
    stimuli: CaseStimuli,
    chains: tuple[MicrophoneChain, MicrophoneChain],
    rng: np.random.Generator,
) -> Iterator[CaseTake]:
    """Recordings of a case, one after the other.

    Parameters
    ----------
    scenario : Scenario
        What to record.
    stimuli : CaseStimuli
        What to play.
    chains : tuple of MicrophoneChain
        Chain in the couplers and chain in the ears.
    rng : Generator
        Source of all noise.

    Yields
    ------
    CaseTake
        Ear by ear: RECD couplers, RECD ear, then each run of the aid in each coupler.
    """
    for entry in scenario.ears:
        yield from _insert_takes(scenario, entry, stimuli.sweep, chains, rng)
        yield from _aid_takes(scenario, entry, stimuli, chains[0], rng)


def _insert_takes(
    scenario: Scenario,
    entry: EarScenario,
    sweep: Stimulus,
    chains: tuple[MicrophoneChain, MicrophoneChain],
    rng: np.random.Generator,
) -> Iterator[CaseTake]:
    bench, side = scenario.bench, entry.side
    takes = []
    for kind in scenario.couplers:
        path = coupler_path(bench.source, _made_in(scenario, entry, kind), bench.coupler_leak)
        samples = _play([path] * bench.repeats, bench.level_db_spl, sweep, chains[0], rng, bench.coupler_faults)
        takes.append(_take(f"{side} coupler {kind}", "sweep", samples, entry, kind, chains[0], bench.repeats))
    drift = bench.level_db_spl + bench.source_drift_db
    in_ear = _play(_ear_paths_of(scenario, entry), drift, sweep, _in_noise(entry, chains[1]), rng, bench.ear_faults)
    if Fault.CLIPPED in entry.faults:
        half = 0.5 * float(np.max(np.abs(in_ear)))
        in_ear = np.clip(in_ear, -half, half)
    ear_take = _take(f"{side} ear", "sweep", in_ear, entry, None, chains[1], bench.repeats)
    if Fault.SWAPPED_FILES in entry.faults:
        first = takes[0]
        takes[0] = replace(first, samples_fs=ear_take.samples_fs)
        ear_take = replace(ear_take, samples_fs=first.samples_fs)
    yield from (*takes, ear_take)


def _aid_takes(
    scenario: Scenario,
    entry: EarScenario,
    stimuli: CaseStimuli,
    chain: MicrophoneChain,
    rng: np.random.Generator,
) -> Iterator[CaseTake]:
    aid = entry.aid
    if aid is None:
        return
    runs: list[tuple[str, str, Stimulus, float, int]] = [
        (f"speech {level:g}", speech_name(level), stimuli.speech, level, scenario.speech_repeats)
        for level in scenario.speech_levels_db_spl
        if stimuli.speech is not None
    ]
    maximum = scenario.maximum_level_db_spl
    runs.append((f"sweep {maximum:g}", AID_SWEEP, stimuli.sweep, maximum, scenario.bench.repeats))
    for kind in scenario.couplers:
        path = coupler_path(scenario.aid_source, kind)
        for title, name, stimulus, level, repeats in runs:
            how = AidOnBench(aid=aid, level_db_spl=level, repeats=repeats)
            samples = play_aid(how, stimulus, path, chain, rng)
            take = _take(f"{entry.side} aid {kind} {title}", name, samples, entry, kind, chain, repeats)
            yield replace(take, source=Source.AID)


def _take(
    name: str,
    stimulus: str,
    samples_fs: FloatArray,
    entry: EarScenario,
    kind: CouplerKind | None,
    chain: MicrophoneChain,
    repeats: int,
) -> CaseTake:
    return CaseTake(
        name=name,
        stimulus=stimulus,
        repeats=repeats,
        ear=entry.side,
        coupler=kind,
        source=Source.INSERT,
        calibration=chain.name,
        samples_fs=samples_fs,
    )


def _play(
    paths: list[Path],
    level_db_spl: float,
    sweep: Stimulus,
    chain: MicrophoneChain,
    rng: np.random.Generator,
    faults: RecordingFaults | None,
) -> FloatArray:
    """Record one period at the end of each path, back to back. [FS]"""
    drive_pa, rate = sweep.pascals(level_db_spl), sweep.sampling_rate_hz
    answers = {id(path): filter_periodic(drive_pa, path.at_bins(drive_pa.size, rate)) for path in paths}
    return chain.record(np.concatenate([answers[id(path)] for path in paths]), rate, rng, faults)


def _made_in(scenario: Scenario, entry: EarScenario, kind: CouplerKind) -> CouplerKind:
    """The coupler a recording was really made in."""
    if Fault.WRONG_COUPLER_LABEL not in entry.faults or kind is not scenario.couplers[0]:
        return kind
    return CouplerKind.HA1 if kind is CouplerKind.CC04 else CouplerKind.CC04


def _ear_paths_of(scenario: Scenario, entry: EarScenario) -> list[Path]:
    """Path to the probe tip in each period, with the faults that move or block it."""
    ear = measured_ear(entry)
    path = ear_paths(scenario.bench.source, ear).to_probe
    later = path
    if Fault.DISAGREEING_REPEATS in entry.faults:
        later = ear_paths(scenario.bench.source, replace(ear, leak=_LOOSE)).to_probe
    if Fault.BLOCKED_PROBE in entry.faults:
        path, later = _blocked(path), _blocked(later)
    first = scenario.bench.repeats // 2
    return [path] * first + [later] * (scenario.bench.repeats - first)


def _blocked(path: Path) -> Path:
    """The path through a probe tube half full of wax."""
    return path.filtered(lambda f: 10.0 ** (_BLOCKED_DB / 20.0) / (1.0 + 1j * f / _BLOCKED_HZ))


def _in_noise(entry: EarScenario, chain: MicrophoneChain) -> MicrophoneChain:
    if Fault.NOISY not in entry.faults or chain.noise is None:
        return chain
    return replace(chain, noise=replace(chain.noise, level_dba=chain.noise.level_dba + _NOISY_DB))
