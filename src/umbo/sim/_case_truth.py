"""The truth of a case, as plain data for its truth file."""

from __future__ import annotations

from typing import Any

import numpy as np

from umbo.core import CouplerKind, FloatArray
from umbo.sim._aid import VirtualAid
from umbo.sim._aid_bench import AidOnBench, PlayedLevels, played_levels, tone_output_db_spl
from umbo.sim._bench import microphone_noise_db_spl
from umbo.sim._case_takes import AID_SWEEP, CaseStimuli, measured_ear, speech_name
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ
from umbo.sim._microphones import MicrophoneChain
from umbo.sim._paths import coupler_path, ear_paths
from umbo.sim._scenario import EarScenario, Scenario
from umbo.sim._stimuli import Stimulus

__all__ = ["case_truth"]

_NOTE = (
    "All levels are power in twelfth-octave bands (dB re 20 uPa), responses band-averaged power (dB). "
    "recd_db: at the eardrum over in the coupler, ear sealed, no fault. Speech levels are without noise; "
    "maximum output is that of steady tones."
)


def case_truth(
    scenario: Scenario,
    stimuli: CaseStimuli,
    chains: tuple[MicrophoneChain, MicrophoneChain],
    rng: np.random.Generator,
) -> dict[str, Any]:
    """Everything there is to find in a case, planted faults included.

    Parameters
    ----------
    scenario : Scenario
        What was recorded.
    stimuli : CaseStimuli
        What was played.
    chains : tuple of MicrophoneChain
        Chain in the couplers and chain in the ears, with their true calibration.
    rng : Generator
        Source of the aids' noise in the runs that find the true levels.

    Returns
    -------
    dict
        JSON data.
    """
    microphones = {
        chain.name: {
            "stated_pa_per_full_scale": chain.pa_per_full_scale,
            "true_pa_per_full_scale": chain.true_pa_per_full_scale,
            "true_error_db": chain.true_error_db,
            "noise_db_spl": _listed(microphone_noise_db_spl(chain)),
        }
        for chain in chains
    }
    return {
        "schema": 1,
        "case": scenario.name,
        "seed": scenario.seed,
        "note": _NOTE,
        "frequency_hz": TWELFTH_OCTAVE_HZ.tolist(),
        "calibration": microphones,
        "ears": {str(e.side): _ear_truth(scenario, e, stimuli, chains[0], rng) for e in scenario.ears},
    }


def _ear_truth(
    scenario: Scenario,
    entry: EarScenario,
    stimuli: CaseStimuli,
    chain: MicrophoneChain,
    rng: np.random.Generator,
) -> dict[str, Any]:
    paths = ear_paths(scenario.bench.source, entry.ear)
    recds = {}
    for kind in scenario.couplers:
        coupler_db = coupler_path(scenario.bench.source, kind).band_db()
        recds[str(kind)] = {
            "recd_db": _listed(paths.to_drum.band_db() - coupler_db),
            "recd_probe_tip_db": _listed(paths.to_probe.band_db() - coupler_db),
            "coupler_response_db": _listed(coupler_db),
        }
    truth: dict[str, Any] = {
        "faults": [{"name": str(fault), "planted": fault.planted} for fault in entry.faults],
        "probe_to_drum_mm": round(1e3 * measured_ear(entry).probe_to_drum_m, 4),
        "canal_mm": round(1e3 * entry.ear.length_m, 4),
        "recd": recds,
        "eardrum_response_db": _listed(paths.to_drum.band_db()),
    }
    aid = entry.aid
    if aid is not None:
        if stimuli.speech is not None:
            truth["speech"] = _speech_truth(scenario, entry, aid, stimuli.speech, chain, rng)
        truth["maximum_output"] = _maximum_truth(scenario, entry, aid)
    return truth


def _speech_truth(
    scenario: Scenario,
    entry: EarScenario,
    aid: VirtualAid,
    speech: Stimulus,
    chain: MicrophoneChain,
    rng: np.random.Generator,
) -> list[dict[str, Any]]:
    in_ear = {"eardrum": ear_paths(scenario.aid_source, entry.ear).to_drum}
    in_box = {str(kind): coupler_path(scenario.aid_source, kind) for kind in scenario.couplers}
    microphone_db_spl = microphone_noise_db_spl(chain)
    runs = []
    for level in scenario.speech_levels_db_spl:
        box = AidOnBench(aid=aid, level_db_spl=level, repeats=1)
        worn = AidOnBench(aid=aid, level_db_spl=level, repeats=1, microphone_location_db=entry.microphone_location_db)
        worn_levels = played_levels(worn, speech, in_ear, rng)
        box_levels = played_levels(box, speech, in_box, rng)
        runs.append(
            {
                "stimulus": speech_name(level),
                "level_db_spl": level,
                "eardrum": _levels(worn_levels["eardrum"], None),
                "coupler": {name: _levels(found, microphone_db_spl) for name, found in box_levels.items()},
            }
        )
    return runs


def _levels(found: PlayedLevels, microphone_db_spl: FloatArray | None) -> dict[str, list[float]]:
    noise = found.noise_db_spl
    if microphone_db_spl is not None:
        noise = np.asarray(10.0 * np.log10(10.0 ** (noise / 10.0) + 10.0 ** (microphone_db_spl / 10.0)))
    return {"signal_db_spl": _listed(found.signal_db_spl), "noise_db_spl": _listed(noise)}


def _maximum_truth(scenario: Scenario, entry: EarScenario, aid: VirtualAid) -> dict[str, Any]:
    level = scenario.maximum_level_db_spl
    drum = ear_paths(scenario.aid_source, entry.ear).to_drum
    at_drum, limited = tone_output_db_spl(aid, level, drum)

    def in_coupler(kind: CouplerKind) -> list[float]:
        return _listed(tone_output_db_spl(aid, level, coupler_path(scenario.aid_source, kind))[0])

    return {
        "stimulus": AID_SWEEP,
        "level_db_spl": level,
        "limited": limited.tolist(),
        "eardrum_db_spl": _listed(at_drum),
        "coupler_db_spl": {str(kind): in_coupler(kind) for kind in scenario.couplers},
    }


def _listed(values: FloatArray) -> list[float]:
    return [round(float(value), 4) for value in values]
