"""The truth of the feature tests of an aid, from its output and its stated parameters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import fft

from umbo.core import FloatArray
from umbo.refdata import table
from umbo.sim._aid_bench import AidOnBench
from umbo.sim._aid_case_takes import AidRun, aid_runs, set_for
from umbo.sim._aid_courses import band_output_db_spl
from umbo.sim._aid_measures import HFA_HZ, condition, hfa, output_db_spl
from umbo.sim._aid_scenario import AidEar, AidScenario
from umbo.sim._aid_stimuli import AidStimulus
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ, bin_frequencies, third_octave_edges_hz
from umbo.sim._paths import Path, coupler_path
from umbo.sim._stimuli import level_db

__all__ = ["feature_truth"]

_THIRDS_HZ: FloatArray = 1000.0 * 10.0 ** (np.arange(-6, 10) / 10.0)  # 250 Hz to 8 kHz
_THIRD_EDGES_HZ = third_octave_edges_hz(_THIRDS_HZ)
_REMOTE_TEST = table("hearing_aid_test", source="aaa-2008")
_REMOTE_HZ = tuple(_REMOTE_TEST.at(f"remote_microphone_frequency_{k}", "value") for k in (1, 2, 3))
_JUDGED = table("hearing_aid_test", source="engineering-judgement")
_FRICATIVE_EDGES_HZ: FloatArray = np.array(
    [[_JUDGED.at(f"fricative_band_{k}", end) for end in ("value", "value_to")] for k in (1, 2, 3, 4)]
)
_SETTLED_S = 3.0  # the last part of a noise, which counts as settled (assumed)
_DIRECTIONAL_STATES = {"fitted": "off", "fitted_directional": "on"}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Played:
    """Plays the runs of one aid without a microphone."""

    scenario: AidScenario
    entry: AidEar
    stimuli: Mapping[str, AidStimulus]
    path: Path
    rng: np.random.Generator

    def levels(self, run: AidRun, edges_hz: FloatArray, last_s: float | None = None) -> tuple[FloatArray, FloatArray]:
        """Levels of signal and own noise in bands. [dB re 20 µPa]"""
        stimulus = self.stimuli[run.stimulus]
        how = run.on_bench(set_for(self.scenario, self.entry, run.settings), stimulus)
        return band_output_db_spl(how, stimulus.sound, self.path, edges_hz, self.rng, last_s=last_s)


def feature_truth(
    scenario: AidScenario, entry: AidEar, stimuli: Mapping[str, AidStimulus], rng: np.random.Generator
) -> dict[str, Any]:
    """What the speech and feature tests of an aid should find in the first coupler.

    Parameters
    ----------
    scenario : AidScenario
        What was recorded.
    entry : AidEar
        The aid and its faults.
    stimuli : mapping of AidStimulus
        What was played, by name.
    rng : Generator
        Source of the aid's noise.

    Returns
    -------
    dict
        JSON data, one entry for each feature that was tested.
    """
    path = coupler_path(scenario.source, scenario.couplers[0])
    played = _Played(scenario=scenario, entry=entry, stimuli=stimuli, path=path, rng=rng)
    runs = aid_runs(scenario, entry.aid, scenario.couplers[0])
    found: dict[str, Any] = {"third_octaves_hz": _listed(_THIRDS_HZ)}
    for name, tests, truth in (
        ("speech", ("speech",), _speech_truth),
        ("noise_reduction", ("noise",), _noise_truth),
        ("directional", ("front", "back"), _directional_truth),
        ("remote_microphone", ("remote_microphone",), _remote_truth),
        ("frequency_lowering", ("lowering_off", "lowering_on"), _lowering_truth),
        ("telecoil", ("telecoil",), _telecoil_truth),
    ):
        chosen = [run for run in runs if run.test in tests]
        if chosen:
            found[name] = truth(played, chosen)
    return found


def _speech_truth(played: _Played, runs: list[AidRun]) -> list[dict[str, Any]]:
    found = []
    for run in runs:
        signal, noise = played.levels(run, _THIRD_EDGES_HZ)
        stimulus = played.stimuli[run.stimulus]
        found.append(
            {
                "level_db_spl": stimulus.level_db_spl,
                "input_db_spl": _listed(_input_db_spl(stimulus)),
                "output_db_spl": _listed(signal),
                "noise_db_spl": _listed(noise),
            }
        )
    return found


def _input_db_spl(stimulus: AidStimulus) -> FloatArray:
    """Third-octave levels of a stimulus, shape (16,). [dB re 20 µPa]"""
    pressure_pa = stimulus.sound.pascals(stimulus.level_db_spl)
    power = np.abs(fft.rfft(pressure_pa)) ** 2 * (2.0 / pressure_pa.size**2)
    places = np.searchsorted(bin_frequencies(pressure_pa.size, stimulus.sound.sampling_rate_hz), _THIRD_EDGES_HZ)
    return level_db(np.array([np.sum(power[low:high]) for low, high in places]))


def _noise_truth(played: _Played, runs: list[AidRun]) -> dict[str, Any]:
    """Change of level from off to on: of noise at its end, of speech over its whole length."""
    reduction = played.entry.aid.noise_reduction
    levels = {}
    for run in runs:
        last_s = _SETTLED_S if run.stimulus == "noise" else None
        levels[run.stimulus == "noise", run.settings] = played.levels(run, _THIRD_EDGES_HZ, last_s)[0]
    return {
        "noise_change_db": _listed(levels[True, "fitted_noise_reduction"] - levels[True, "fitted"]),
        "noise_change_over_last_s": _SETTLED_S,
        "speech_change_db": _listed(levels[False, "fitted_noise_reduction"] - levels[False, "fitted"]),
        "band_depth_db": [] if reduction is None else list(reduction.depth_db),
        "detection_s": None if reduction is None else reduction.detection_s,
        "time_constant_s": None if reduction is None else reduction.time_constant_s,
    }


def _directional_truth(played: _Played, runs: list[AidRun]) -> dict[str, Any]:
    """Front minus back: at the input before compression, and of the output; the levels themselves with their noise."""
    ports = played.entry.as_it_is.ports
    front, back = (np.abs(ports.response(_THIRDS_HZ, angle, directional=True)) for angle in (0.0, 180.0))
    found: dict[str, Any] = {"input_front_minus_back_db": _listed(20.0 * np.log10(front / back))}
    levels = {(run.test, run.settings): played.levels(run, _THIRD_EDGES_HZ) for run in runs}
    for (test, settings), (signal, noise) in levels.items():
        state = _DIRECTIONAL_STATES[settings]
        found[f"{test}_{state}_db_spl"] = _listed(signal)
        found[f"{test}_{state}_noise_db_spl"] = _listed(noise)
    for settings, state in _DIRECTIONAL_STATES.items():
        if ("front", settings) in levels and ("back", settings) in levels:
            difference = levels["front", settings][0] - levels["back", settings][0]
            found[f"output_front_minus_back_{state}_db"] = _listed(difference)
    return found


def _remote_truth(played: _Played, runs: list[AidRun]) -> dict[str, Any]:
    """Output by the remote microphone minus output by the aid's own, in third-octaves around three frequencies."""
    edges_hz = third_octave_edges_hz(np.array(_REMOTE_HZ))
    levels = {run.input: played.levels(run, edges_hz)[0] for run in runs}
    offset_db = levels["remote_microphone"] - levels["acoustic"]
    return {
        "frequency_hz": list(_REMOTE_HZ),
        "own_output_db_spl": _listed(levels["acoustic"]),
        "remote_output_db_spl": _listed(levels["remote_microphone"]),
        "offset_db": _listed(offset_db),
        "mean_offset_db": round(float(np.mean(offset_db)), 4),
    }


def _lowering_truth(played: _Played, runs: list[AidRun]) -> dict[str, Any]:
    """The map, and band levels of the fricative without and with lowering."""
    lowering = played.entry.aid.lowering
    found: dict[str, Any] = {"bands_hz": _FRICATIVE_EDGES_HZ.tolist()}
    if lowering is not None:
        found |= {
            "start_hz": lowering.start_hz,
            "ratio": lowering.ratio,
            "shift_hz": lowering.shift_hz,
            "maps_to_hz": _listed(lowering.mapped_hz(TWELFTH_OCTAVE_HZ)),
        }
    for run in runs:
        if run.stimulus == "fricative":
            levels = played.levels(run, _FRICATIVE_EDGES_HZ)[0]
            found[f"fricative_{run.test.removeprefix('lowering_')}_db_spl"] = _listed(levels)
    return found


def _telecoil_truth(played: _Played, runs: list[AidRun]) -> dict[str, Any]:
    """Output for the standard field, and its HFA over that for sound at 60 dB SPL."""
    run, path = runs[0], played.path
    reference = set_for(played.scenario, played.entry, run.settings)
    coil = run.on_bench(reference, played.stimuli[run.stimulus])
    sound = AidOnBench(aid=reference, level_db_spl=condition("frequency_response_input"))
    return {
        "field_a_per_m": coil.field_a_per_m,
        "output_db_spl": _listed(output_db_spl(coil, path, TWELFTH_OCTAVE_HZ)),
        "hfa_db_spl": round(hfa(coil, path), 4),
        "hfa_hz": HFA_HZ.tolist(),
        "hfa_minus_acoustic_db": round(hfa(coil, path) - hfa(sound, path), 4),
    }


def _listed(values: FloatArray) -> list[float]:
    return [round(float(value), 4) for value in values]
