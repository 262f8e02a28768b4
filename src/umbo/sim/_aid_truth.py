"""The truth of an aid-test case, as plain data for its truth file: data sheet first, features in their own module."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from umbo.core import CouplerKind, FloatArray
from umbo.sim._aid_bench import AidOnBench
from umbo.sim._aid_case_takes import set_for, volume_db
from umbo.sim._aid_courses import step_times_s, steps_output_db_spl
from umbo.sim._aid_feature_truth import feature_truth
from umbo.sim._aid_measures import (
    DISTORTION_DB_SPL,
    DISTORTION_HZ,
    condition,
    distortion_percent,
    equivalent_noise,
    hfa,
    output_db_spl,
    range_hz,
)
from umbo.sim._aid_scenario import AidEar, AidScenario
from umbo.sim._aid_settings import Volume
from umbo.sim._aid_stimuli import STEP_HZ, AidStimulus, steps_stimulus
from umbo.sim._bench import microphone_noise_db_spl
from umbo.sim._filtering import TWELFTH_OCTAVE_HZ
from umbo.sim._microphones import MicrophoneChain
from umbo.sim._paths import Path, coupler_path
from umbo.sim._stimuli import SAMPLING_RATE_HZ

__all__ = ["aid_case_truth", "data_sheet_truth", "dynamics_truth", "listed"]

_NOTE = (
    "Levels are those of steady tones at the coupler microphone without noise (dB re 20 uPa), on the exact "
    "twelfth-octave grid where there is no other. Gains are levels minus the input level. hfa: mean at 1000, 1600 and "
    "2500 Hz. Distortion is over the fundamental. Equivalent input noise leaves the noise of the coupler microphone "
    "out. Attack and release count from the arrival of the jump in the output, so without the delay of the aid, to the "
    "last instant outside 3 and 4 dB of the steady level. Feature levels are third-octave or band levels of what the "
    "stimulus made; noise beside them is the aid's own. Expansion hears the noise of the aid: its output with that "
    "noise stands beside the one without."
)
_HIGHEST_HZ = 8000.0  # the maximum of OSPL90 is looked for up to here, as far as a 2 cc coupler goes


def aid_case_truth(
    scenario: AidScenario, stimuli: Mapping[str, AidStimulus], chain: MicrophoneChain, rng: np.random.Generator
) -> dict[str, Any]:
    """Everything there is to find in an aid-test case, faults included.

    Parameters
    ----------
    scenario : AidScenario
        What was recorded.
    stimuli : mapping of AidStimulus
        What was played, by name.
    chain : MicrophoneChain
        Chain in the coupler, with its true calibration.
    rng : Generator
        Source of the noise that moves the gains of an aid in silence.

    Returns
    -------
    dict
        JSON data.
    """
    return {
        "schema": 1,
        "case": scenario.name,
        "seed": scenario.seed,
        "note": _NOTE,
        "frequency_hz": TWELFTH_OCTAVE_HZ.tolist(),
        "calibration": {
            chain.name: {
                "stated_pa_per_full_scale": chain.pa_per_full_scale,
                "true_pa_per_full_scale": chain.true_pa_per_full_scale,
                "true_error_db": chain.true_error_db,
                "noise_db_spl": listed(microphone_noise_db_spl(chain)),
            }
        },
        "check_source": {"drift_db": scenario.check_drift_db},
        "ears": {str(entry.side): _ear_truth(scenario, entry, stimuli, rng) for entry in scenario.ears},
    }


def _ear_truth(
    scenario: AidScenario, entry: AidEar, stimuli: Mapping[str, AidStimulus], rng: np.random.Generator
) -> dict[str, Any]:
    return {
        "faults": [{"name": str(fault), "planted": fault.planted} for fault in entry.faults],
        "battery_current_ma": round(entry.current_ma, 4),
        "delay_s": entry.aid.delay_s,
        "data_sheet": {str(kind): data_sheet_truth(scenario, entry, kind, rng) for kind in scenario.couplers},
        "dynamics": dynamics_truth(scenario, entry, stimuli, rng),
        "features": feature_truth(scenario, entry, stimuli, rng),
    }


def data_sheet_truth(
    scenario: AidScenario, entry: AidEar, kind: CouplerKind, rng: np.random.Generator
) -> dict[str, Any]:
    """What the data-sheet tests of an aid should find in a coupler.

    Parameters
    ----------
    scenario : AidScenario
        What was recorded.
    entry : AidEar
        The aid and its faults.
    kind : CouplerKind
        The coupler.
    rng : Generator
        Source of the noise that moves the gains in silence.

    Returns
    -------
    dict
        JSON data.
    """
    path = coupler_path(scenario.source, kind)
    reference = set_for(scenario, entry, "reference")
    at_reference = AidOnBench(aid=reference, level_db_spl=condition("frequency_response_input"))
    noise = equivalent_noise(reference, path, rng, SAMPLING_RATE_HZ)
    return {
        **_full_on_truth(scenario, entry, path),
        "reference_volume_db": round(volume_db(scenario, entry, Volume.REFERENCE), 4),
        "reference_test_gain_db": round(hfa(at_reference, path) - at_reference.level_db_spl, 4),
        "response": _response_truth(at_reference, path),
        "distortion": _distortion_truth(at_reference, path),
        "input_noise": {
            "output_200_5000_db_spl": round(noise.output_db_spl, 4),
            "equivalent_200_5000_db_spl": round(noise.equivalent_db_spl, 4),
            "output_db_spl": round(noise.whole_output_db_spl, 4),
            "equivalent_db_spl": round(noise.whole_equivalent_db_spl, 4),
            "equivalent_third_octaves_from_200_hz_db_spl": listed(noise.equivalent_third_db_spl),
        },
    }


def _full_on_truth(scenario: AidScenario, entry: AidEar, path: Path) -> dict[str, Any]:
    full_on = set_for(scenario, entry, "full_on")
    loud = AidOnBench(aid=full_on, level_db_spl=condition("ospl90_input"))
    soft = AidOnBench(aid=full_on, level_db_spl=condition("full_on_gain_input"))
    special = np.array(scenario.special_hz)
    ospl90 = output_db_spl(loud, path, TWELFTH_OCTAVE_HZ)
    gain_db = output_db_spl(soft, path, TWELFTH_OCTAVE_HZ) - soft.level_db_spl
    inside = TWELFTH_OCTAVE_HZ < _HIGHEST_HZ
    top = int(np.argmax(np.where(inside, ospl90, -np.inf)))
    return {
        "ospl90": {
            "level_db_spl": listed(ospl90),
            "limited": loud.aid.tone_drive_pa(TWELFTH_OCTAVE_HZ, loud.level_db_spl)[1].tolist(),
            "maximum_db_spl": round(float(ospl90[top]), 4),
            "maximum_hz": float(TWELFTH_OCTAVE_HZ[top]),
            "hfa_db_spl": round(hfa(loud, path), 4),
            "special_hz": special.tolist(),
            "special_db_spl": round(hfa(loud, path, special), 4),
        },
        "full_on_gain": {
            "gain_db": listed(gain_db),
            "maximum_db": round(float(np.max(gain_db[inside])), 4),
            "hfa_db": round(hfa(soft, path) - soft.level_db_spl, 4),
            "special_db": round(hfa(soft, path, special) - soft.level_db_spl, 4),
        },
    }


def _response_truth(how: AidOnBench, path: Path) -> dict[str, Any]:
    level = output_db_spl(how, path, TWELFTH_OCTAVE_HZ)
    line = hfa(how, path) - condition("frequency_range_offset")
    low_hz, high_hz = range_hz(TWELFTH_OCTAVE_HZ, level, line)
    return {
        "input_db_spl": how.level_db_spl,
        "gain_db": listed(level - how.level_db_spl),
        "line_db_spl": round(line, 4),
        "low_hz": None if low_hz is None else round(low_hz, 2),
        "high_hz": None if high_hz is None else round(high_hz, 2),
    }


def _distortion_truth(how: AidOnBench, path: Path) -> dict[str, Any]:
    found = [
        distortion_percent(replace(how, level_db_spl=level), path, np.array([f]))
        for f, level in zip(DISTORTION_HZ, DISTORTION_DB_SPL, strict=True)
    ]
    return {
        "frequency_hz": list(DISTORTION_HZ),
        "input_db_spl": list(DISTORTION_DB_SPL),
        **{f"{name}_percent": listed(np.array([entry[name][0] for entry in found])) for name in found[0]},
    }


def dynamics_truth(
    scenario: AidScenario, entry: AidEar, stimuli: Mapping[str, AidStimulus], rng: np.random.Generator
) -> dict[str, Any]:
    """What the input-output, attack, release and expansion tests of an aid should find in the first coupler.

    Parameters
    ----------
    scenario : AidScenario
        What was recorded.
    entry : AidEar
        The aid and its faults.
    stimuli : mapping of AidStimulus
        What was played, by name.
    rng : Generator
        Source of the aid's noise, which an expansion hears.

    Returns
    -------
    dict
        JSON data, one entry for each test that was recorded.
    """
    path = coupler_path(scenario.source, scenario.couplers[0])
    dynamic = set_for(scenario, entry, "dynamic")
    found: dict[str, Any] = {}
    if "input_output" in scenario.tests:
        how = AidOnBench(aid=dynamic, level_db_spl=0.0)
        found["input_output"] = _steps_truth(how, stimuli["input_output_steps"], path)
    if "attack_release" in scenario.tests:
        times = [step_times_s(dynamic, stimuli[steps_stimulus(f)].sound) for f in STEP_HZ]
        found["attack_release"] = {
            "frequency_hz": list(STEP_HZ),
            "attack_s": listed(np.array([attack for attack, _ in times])),
            "release_s": listed(np.array([release for _, release in times])),
        }
    if "expansion" in scenario.tests and entry.aid.expansion is not None:
        how = AidOnBench(aid=set_for(scenario, entry, "expansion"), level_db_spl=0.0)
        steps = stimuli["expansion_steps"]
        found["expansion"] = {
            **_steps_truth(how, steps, path),
            "output_with_own_noise_db_spl": listed(steps_output_db_spl(how.aid, steps.sound, path, rng)),
            "slope": entry.aid.expansion.slope,
            "band_knee_db_spl": list(entry.aid.expansion.knee_db_spl),
        }
    return found


def _steps_truth(how: AidOnBench, steps: AidStimulus, path: Path) -> dict[str, Any]:
    frequency_hz = np.array(steps.sound.frequency_hz)
    levels = steps.sound.levels_db_spl
    return {
        "frequency_hz": float(frequency_hz[0]),
        "input_db_spl": list(levels),
        "output_db_spl": listed(
            np.array([output_db_spl(replace(how, level_db_spl=level), path, frequency_hz)[0] for level in levels])
        ),
    }


def listed(values: FloatArray) -> list[float]:
    """Values for a JSON file, four decimals."""
    return [round(float(value), 4) for value in values]
