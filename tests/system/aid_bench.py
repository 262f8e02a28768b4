"""Random aids on the virtual bench, through a case folder and a session, beside their truth."""

import json
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import soundfile

from umbo.core import Ear
from umbo.interchange import open_case
from umbo.session import run_aid
from umbo.sim import AidEar, AidScenario, random_aid, write_aid_case

RATE_HZ = 48000
SHEET = ("output_90", "full_on_gain", "reference_response", "distortion", "input_noise")


@dataclass
class Recovered:
    """One aid: what the session found, and what there was to find."""

    seed: int
    aid: object
    truth: dict
    calibration_error_db: float
    result: object


def scenario_of(seed, tests, **changes):
    ear = AidEar(side=Ear.RIGHT, aid=random_aid(np.random.default_rng(seed)), fitted_db=-12.0)
    base = AidScenario(
        name=f"aid-{seed}", seed=seed, ears=(ear,), tests=tests, with_data_sheet=False, speech_s=5.0, noise_s=14.0
    )
    return replace(base, **changes)


def add_background(folder: Path, scenario, truth, seconds=5.0):
    """A recording with the aid away: only the microphone's noise, by its true calibration."""
    chain = scenario.microphone
    chain = replace(chain, true_error_db=truth["calibration"][chain.name]["true_error_db"])
    noise = chain.record(np.zeros(round(seconds * RATE_HZ)), RATE_HZ, np.random.default_rng(scenario.seed + 1000))
    soundfile.write(folder / "background.wav", noise, RATE_HZ, subtype="PCM_24")
    text = '\n[[recording]]\nname = "background"\nfile = "background.wav"\ntest = "background"\n'
    text += 'stimulus = "silence"\near = "right"\nplace = "coupler"\ncoupler = "ha1"\ncoupling = "mould"\n'
    text += f'source = "aid"\ncalibration = "{chain.name}"\n'
    path = folder / "case.toml"
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")


def recovered(folder: Path, seed, tests, *, background=True):
    scenario = scenario_of(seed, tests)
    write_aid_case(folder, scenario)
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    if background and "input_noise" in tests:
        add_background(folder, scenario, truth)
    case = open_case(folder)
    result = run_aid(case.plan, case)
    error_db = truth["calibration"][scenario.microphone.name]["true_error_db"]
    return Recovered(seed, result.aids[0], truth["ears"]["right"], error_db, result)
