"""Writing a case folder: recordings, case.toml and truth.json."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from umbo.sim._bench import bench_chains
from umbo.sim._case_takes import case_stimuli, case_takes
from umbo.sim._case_text import SPEECH_FILE, SWEEP_FILE, case_text
from umbo.sim._case_truth import case_truth
from umbo.sim._folder import write_json, write_wav, write_whole
from umbo.sim._scenario import Scenario

__all__ = ["write_case"]


def write_case(folder: Path | str, scenario: Scenario) -> Path:
    """Record a scenario into a case folder.

    The folder appears whole or not at all: everything is written beside it first. The same scenario gives the
    same bytes.

    Parameters
    ----------
    folder : Path or str
        Where; it may not exist yet, or be an empty folder.
    scenario : Scenario
        What to record.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    InputError
        If something is there already, or the place cannot be written to.
    """
    return write_whole(folder, lambda beside: _fill(beside, scenario))


def _fill(folder: Path, scenario: Scenario) -> None:
    recording_rng, truth_rng = np.random.default_rng(scenario.seed).spawn(2)
    stimuli = case_stimuli(scenario, recording_rng)
    chains = bench_chains(scenario.bench, recording_rng)
    write_wav(folder / SWEEP_FILE, stimuli.sweep.samples_fs)
    if stimuli.speech is not None:
        write_wav(folder / SPEECH_FILE, stimuli.speech.samples_fs)
    takes = []
    for take in case_takes(scenario, stimuli, chains, recording_rng):
        write_wav(folder / take.file, take.samples_fs)
        takes.append(take)
    text = case_text(scenario, takes, chains, has_speech=stimuli.speech is not None)
    (folder / "case.toml").write_text(text, encoding="utf-8")
    truth = case_truth(scenario, stimuli, chains, truth_rng)
    write_json(folder / "truth.json", truth)
