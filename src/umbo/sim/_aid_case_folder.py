"""Writing an aid-test case: recordings, case.toml and truth.json."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from umbo.sim._aid_case_takes import aid_case_takes, check_takes
from umbo.sim._aid_case_text import aid_case_text, data_sheet_keys
from umbo.sim._aid_feature_truth import feature_truth
from umbo.sim._aid_scenario import AidScenario
from umbo.sim._aid_stimuli import AidStimulus, aid_stimuli
from umbo.sim._aid_truth import aid_case_truth, data_sheet_truth, dynamics_truth
from umbo.sim._folder import write_json, write_wav, write_whole
from umbo.sim._toml_text import TomlValue

__all__ = ["write_aid_case"]


def write_aid_case(folder: Path | str, scenario: AidScenario) -> Path:
    """Record the tests of an aid by itself into a case folder.

    The folder appears whole or not at all. The same scenario gives the same bytes.

    Parameters
    ----------
    folder : Path or str
        Where; it may not exist yet, or be an empty folder.
    scenario : AidScenario
        What to record.

    Returns
    -------
    Path
        The folder: case.toml, the recordings, what was played, and truth.json with what there is to find.

    Raises
    ------
    InputError
        If something is there already, or the place cannot be written to.
    """
    return write_whole(folder, lambda beside: _fill(beside, scenario))


def _fill(folder: Path, scenario: AidScenario) -> None:
    stimulus_rng, recording_rng, truth_rng, sheet_rng = np.random.default_rng(scenario.seed).spawn(4)
    stimuli = aid_stimuli(scenario, stimulus_rng)
    drawn = scenario.microphone
    chain = drawn.perfect() if scenario.perfect else drawn.redraw(recording_rng)
    takes = []
    recorded = (
        check_takes(scenario, stimuli["check_sweep"], chain, recording_rng),
        aid_case_takes(scenario, stimuli, chain, recording_rng),
    )
    for take in (take for source in recorded for take in source):
        write_wav(folder / take.file, take.samples_fs)
        takes.append(replace(take, samples_fs=take.samples_fs[:0]))
    used = {stimuli[take.stimulus].file: stimuli[take.stimulus].sound for take in takes}
    for file, sound in used.items():
        if file:
            write_wav(folder / file, sound.samples_fs)
    sheet = _data_sheet(scenario, stimuli, sheet_rng) if scenario.with_data_sheet else {}
    text = aid_case_text(scenario, takes, stimuli, chain, sheet)
    (folder / "case.toml").write_text(text, encoding="utf-8")
    write_json(folder / "truth.json", aid_case_truth(scenario, stimuli, chain, truth_rng))


def _data_sheet(
    scenario: AidScenario, stimuli: Mapping[str, AidStimulus], rng: np.random.Generator
) -> dict[str, TomlValue]:
    """Nominal values of the first aid without its faults."""
    sound = replace(scenario.ears[0], faults=())
    sheet = data_sheet_truth(scenario, sound, scenario.couplers[0], rng)
    needed = replace(scenario, tests=("attack_release", "telecoil"))
    times, coil = dynamics_truth(needed, sound, stimuli, rng), feature_truth(needed, sound, stimuli, rng)
    return data_sheet_keys(scenario, sheet, times, coil)
