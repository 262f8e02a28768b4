"""What the tests of this layer share: a small compressor, speech-like noise, and the cases with a known answer."""

import json
import os
from pathlib import Path

import numpy as np
import pytest
import soundfile

KNEE_DB = 30.0


def compress(samples, sampling_rate_hz, level_db_spl, *, ratio=2.0, attack_s=0.005, release_s=0.1):
    """Feed-forward compressor on blocks of 1 ms: output, and the gain it used.

    ``level_db_spl`` is the sound pressure level that a signal with an rms of 1 would have. Linear below 30 dB SPL.
    """
    block = round(0.001 * sampling_rate_hz)
    power = np.mean(samples[: samples.size // block * block].reshape(-1, block) ** 2, axis=1)
    level_db = 10 * np.log10(np.maximum(power, 1e-12)) + level_db_spl
    smooth = np.empty_like(level_db)
    state = level_db[0]
    rise, fall = np.exp(-0.001 / attack_s), np.exp(-0.001 / release_s)
    for i, now in enumerate(level_db):
        keep = rise if now > state else fall
        state = keep * state + (1 - keep) * now
        smooth[i] = state
    gain_db = -(1 - 1 / ratio) * (np.maximum(smooth, KNEE_DB) - 65.0)
    at = (np.arange(gain_db.size) + 1) * block
    gain = 10 ** (np.interp(np.arange(samples.size), at, gain_db) / 20)
    return samples * gain, gain


def speech_like(size, sampling_rate_hz, rng):
    """Noise with the slope of speech and slow modulation; rms 1."""
    spectrum = np.fft.rfft(rng.standard_normal(size))
    frequency_hz = np.fft.rfftfreq(size, 1 / sampling_rate_hz)
    shape = np.minimum(frequency_hz / 100, 1) ** 2 / (1 + (frequency_hz / 500) ** 2) ** 0.75
    coloured = np.fft.irfft(spectrum * shape, size)
    slow = np.fft.irfft(np.fft.rfft(rng.standard_normal(size)) / (1 + (frequency_hz / 4.0) ** 4), size)
    envelope = np.exp(1.2 * slow / slow.std())
    out = coloured * envelope
    return out / np.sqrt(np.mean(out**2))


@pytest.fixture(params=["case00_ear01_hudde_ha1", "case01_ear03_twores_cc04"])
def shared_case(request):
    """Recordings with a known answer: (coupler, ear, sweep, sampling rate, truth); skips without them."""
    here = Path(os.environ.get("UMBO_SHARED", Path(__file__).resolve().parents[3] / "shared"))
    folder = here / "cases" / request.param
    if not folder.is_dir():
        pytest.skip(f"no case folder {folder}: set UMBO_SHARED to the project's shared input folder")
    takes = {name: soundfile.read(folder / f"{name}.wav") for name in ("coupler", "ear", "sweep")}
    truth = json.loads((folder / "truth.json").read_text())
    return {name: take[0] for name, take in takes.items()}, takes["sweep"][1], truth


@pytest.fixture
def compressor():
    return compress


@pytest.fixture
def speech():
    return speech_like


@pytest.fixture
def show():
    """Prints a measured number; `pytest -s` or `-rP` shows it."""
    return print
