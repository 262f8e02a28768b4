"""Writing a case folder: recordings, case.toml and truth.json, all or nothing."""

from __future__ import annotations

import json
import shutil
import tempfile
from pathlib import Path

import numpy as np
import soundfile

from umbo.core import FloatArray
from umbo.errors import InputError
from umbo.sim._bench import bench_chains
from umbo.sim._case_takes import case_stimuli, case_takes
from umbo.sim._case_text import SPEECH_FILE, SWEEP_FILE, case_text
from umbo.sim._case_truth import case_truth
from umbo.sim._scenario import Scenario
from umbo.sim._stimuli import SAMPLING_RATE_HZ

__all__ = ["write_case"]

_FULL_SCALE = 2**23


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
    target = Path(folder)
    asked = f"write a simulated case to '{target}'"
    if target.exists() and not (target.is_dir() and not any(target.iterdir())):
        raise InputError(asked, "something is there already", "name a folder that does not exist yet")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise InputError(asked, f"its place cannot be written to ({error.strerror})", "choose another place") from error
    try:
        _fill(beside, scenario)
        beside.chmod(0o755)
        if target.exists():
            target.rmdir()
        beside.rename(target)
    except OSError as error:
        raise InputError(asked, f"the files cannot be written ({error.strerror})", "free the place") from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    return target


def _fill(folder: Path, scenario: Scenario) -> None:
    recording_rng, truth_rng = np.random.default_rng(scenario.seed).spawn(2)
    stimuli = case_stimuli(scenario, recording_rng)
    chains = bench_chains(scenario.bench, recording_rng)
    _write_wav(folder / SWEEP_FILE, stimuli.sweep.samples_fs)
    if stimuli.speech is not None:
        _write_wav(folder / SPEECH_FILE, stimuli.speech.samples_fs)
    takes = []
    for take in case_takes(scenario, stimuli, chains, recording_rng):
        _write_wav(folder / take.file, take.samples_fs)
        takes.append(take)
    text = case_text(scenario, takes, chains, has_speech=stimuli.speech is not None)
    (folder / "case.toml").write_text(text, encoding="utf-8")
    truth = case_truth(scenario, stimuli, chains, truth_rng)
    (folder / "truth.json").write_text(json.dumps(truth, indent=1, allow_nan=False), encoding="utf-8")


def _write_wav(path: Path, samples_fs: FloatArray) -> None:
    """24-bit file; integers are handed over so that no scale but 2^-23 comes in."""
    steps = np.clip(np.round(samples_fs * _FULL_SCALE), -_FULL_SCALE, _FULL_SCALE - 1)
    soundfile.write(path, steps.astype(np.int32) << 8, round(SAMPLING_RATE_HZ), subtype="PCM_24")
