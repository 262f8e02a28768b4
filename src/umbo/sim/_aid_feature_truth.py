"""The truth of the feature tests of an aid, from its noiseless output and its stated parameters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from umbo.core import FloatArray
from umbo.sim._aid_bench import AidOnBench
from umbo.sim._aid_case_takes import AidRun, aid_runs, set_for
from umbo.sim._aid_courses import band_output_db_spl, third_octave_output_db_spl
from umbo.sim._aid_measures import HFA_HZ, condition, hfa, output_db_spl
from umbo.sim._aid_scenario import AidEar, AidScenario
from umbo.sim._aid_stimuli import AidStimulus
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ
from umbo.sim._paths import Path, coupler_path

__all__ = ["feature_truth"]

_THIRDS_HZ: FloatArray = 1000.0 * 10.0 ** (np.arange(-6, 10) / 10.0)  # 250 Hz to 8 kHz
_REMOTE_HZ = (750.0, 1000.0, 2000.0)  # AAA 2008, from memory
_FRICATIVE_EDGES_HZ = ((2000.0, 4000.0), (4000.0, 6000.0), (6000.0, 8000.0), (8000.0, 10000.0))
_SETTLED_S = 3.0

_Levels = dict[tuple[str, str, str, str], FloatArray]


def feature_truth(scenario: AidScenario, entry: AidEar, stimuli: Mapping[str, AidStimulus]) -> dict[str, Any]:
    """What the speech and feature tests of an aid should find in the first coupler.

    Parameters
    ----------
    scenario : AidScenario
        What was recorded.
    entry : AidEar
        The aid and its faults.
    stimuli : mapping of AidStimulus
        What was played, by name.

    Returns
    -------
    dict
        JSON data, one entry for each feature that was tested.
    """
    path = coupler_path(scenario.source, scenario.couplers[0])
    runs = aid_runs(scenario, entry.aid, scenario.couplers[0])
    found: dict[str, Any] = {"third_octaves_hz": _listed(_THIRDS_HZ)}
    speech = [run for run in runs if run.test == "speech"]
    if speech:
        found["speech"] = [
            {
                "level_db_spl": stimuli[run.stimulus].level_db_spl,
                "input_db_spl": _listed(_input_db_spl(stimuli[run.stimulus])),
                "output_db_spl": _listed(_played(scenario, entry, run, stimuli, path)),
            }
            for run in speech
        ]
    for name, tests, truth in (
        ("noise_reduction", ("noise",), _noise_truth),
        ("directional", ("front", "back"), _directional_truth),
        ("remote_microphone", ("remote_microphone",), _remote_truth),
        ("frequency_lowering", ("lowering_off", "lowering_on"), _lowering_truth),
    ):
        chosen = [run for run in runs if run.test in tests]
        if chosen:
            found[name] = truth(scenario, entry, chosen, stimuli, path)
    if any(run.test == "telecoil" for run in runs):
        found["telecoil"] = _telecoil_truth(scenario, entry, stimuli, path)
    return found


def _played(
    scenario: AidScenario,
    entry: AidEar,
    run: AidRun,
    stimuli: Mapping[str, AidStimulus],
    path: Path,
    last_s: float | None = None,
) -> FloatArray:
    """Third-octave levels of the noiseless output of a run, shape (16,). [dB re 20 µPa]"""
    stimulus = stimuli[run.stimulus]
    how = run.on_bench(set_for(scenario, entry, run.settings), stimulus)
    return third_octave_output_db_spl(how, stimulus.sound, path, _THIRDS_HZ, last_s=last_s)


def _input_db_spl(stimulus: AidStimulus) -> FloatArray:
    """Third-octave levels of a stimulus, shape (16,). [dB re 20 µPa]"""
    pressure_pa = stimulus.sound.pascals(stimulus.level_db_spl)
    power = np.abs(np.fft.rfft(pressure_pa)) ** 2 * (2.0 / pressure_pa.size**2)
    frequency_hz = np.fft.rfftfreq(pressure_pa.size, 1.0 / stimulus.sound.sampling_rate_hz)
    half = 10.0**0.05
    places = np.searchsorted(frequency_hz, np.stack([_THIRDS_HZ / half, _THIRDS_HZ * half], axis=-1))
    return np.asarray(10.0 * np.log10([np.sum(power[low:high]) / 4e-10 for low, high in places]))


def _noise_truth(
    scenario: AidScenario, entry: AidEar, runs: list[AidRun], stimuli: Mapping[str, AidStimulus], path: Path
) -> dict[str, Any]:
    """Change of level from off to on: of noise at its end, of speech over its whole length."""
    reduction = entry.aid.noise_reduction
    levels = {
        (run.stimulus == "noise", run.settings): _played(
            scenario, entry, run, stimuli, path, _SETTLED_S if run.stimulus == "noise" else None
        )
        for run in runs
    }
    return {
        "noise_change_db": _listed(levels[True, "fitted_noise_reduction"] - levels[True, "fitted"]),
        "noise_change_over_last_s": _SETTLED_S,
        "speech_change_db": _listed(levels[False, "fitted_noise_reduction"] - levels[False, "fitted"]),
        "band_depth_db": [] if reduction is None else list(reduction.depth_db),
        "detection_s": None if reduction is None else reduction.detection_s,
        "time_constant_s": None if reduction is None else reduction.time_constant_s,
    }


def _directional_truth(
    scenario: AidScenario, entry: AidEar, runs: list[AidRun], stimuli: Mapping[str, AidStimulus], path: Path
) -> dict[str, Any]:
    """Front minus back: of the output, and at the input before compression."""
    levels = {(run.test, run.settings): _played(scenario, entry, run, stimuli, path) for run in runs}
    ports = entry.as_it_is.ports
    front, back = (np.abs(ports.response(_THIRDS_HZ, angle, directional=True)) for angle in (0.0, 180.0))
    found: dict[str, Any] = {"input_front_minus_back_db": _listed(20.0 * np.log10(front / back))}
    for state, settings in (("on", "fitted_directional"), ("off", "fitted")):
        if ("front", settings) in levels and ("back", settings) in levels:
            difference = levels["front", settings] - levels["back", settings]
            found[f"output_front_minus_back_{state}_db"] = _listed(difference)
    return found


def _remote_truth(
    scenario: AidScenario, entry: AidEar, runs: list[AidRun], stimuli: Mapping[str, AidStimulus], path: Path
) -> dict[str, Any]:
    """Output by the remote microphone minus output by the aid's own, in third-octaves around three frequencies."""
    levels = {}
    for run in runs:
        stimulus = stimuli[run.stimulus]
        how = run.on_bench(set_for(scenario, entry, run.settings), stimulus)
        levels[run.input] = third_octave_output_db_spl(how, stimulus.sound, path, np.array(_REMOTE_HZ))
    offset_db = levels["remote_microphone"] - levels["acoustic"]
    return {
        "frequency_hz": list(_REMOTE_HZ),
        "own_output_db_spl": _listed(levels["acoustic"]),
        "remote_output_db_spl": _listed(levels["remote_microphone"]),
        "offset_db": _listed(offset_db),
        "mean_offset_db": round(float(np.mean(offset_db)), 4),
    }


def _lowering_truth(
    scenario: AidScenario, entry: AidEar, runs: list[AidRun], stimuli: Mapping[str, AidStimulus], path: Path
) -> dict[str, Any]:
    """The map, and band levels of the fricative without and with lowering."""
    lowering = entry.aid.lowering
    found: dict[str, Any] = {"bands_hz": [list(edges) for edges in _FRICATIVE_EDGES_HZ]}
    if lowering is not None:
        found |= {
            "start_hz": lowering.start_hz,
            "ratio": lowering.ratio,
            "shift_hz": lowering.shift_hz,
            "maps_to_hz": _listed(lowering.mapped_hz(TWELFTH_OCTAVE_HZ)),
        }
    for run in runs:
        if run.stimulus == "fricative":
            stimulus = stimuli[run.stimulus]
            how = run.on_bench(set_for(scenario, entry, run.settings), stimulus)
            levels = band_output_db_spl(how, stimulus.sound, path, list(_FRICATIVE_EDGES_HZ))
            found[f"fricative_{run.test.removeprefix('lowering_')}_db_spl"] = _listed(levels)
    return found


def _telecoil_truth(
    scenario: AidScenario, entry: AidEar, stimuli: Mapping[str, AidStimulus], path: Path
) -> dict[str, Any]:
    """Output for the standard field, and its HFA over that for sound at 60 dB SPL."""
    reference = set_for(scenario, entry, "reference")
    coil = AidRun(test="telecoil", settings="reference", stimulus="coil_sweep", input="telecoil").on_bench(
        reference, stimuli["coil_sweep"]
    )
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
