"""A small valid case folder, made from nothing, and what is needed to spoil it."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import numpy as np
import soundfile

RATE_HZ = 48_000
SWEEP_S = 0.3
REPEATS = 2

CASE_TOML = """\
schema = 1
id = "invented-0001"
measured = 2026-11-25

[client]
code = "K-0001"
age_months = 27

[ear.right]
middle_ear = "normal"
tip_to_drum_mm = 5.0

[ear.right.thresholds]
scale = "HL"
transducer = "insert"
coupler = "ha1"
coupling = "foam_tip"
frequency_hz = [250, 500, 1000, 2000, 4000, 8000]
level_db = [30, 35, 45, 55, 60, 65]
no_response = [false, false, false, false, false, true]

[calibration.coupler_mic]
pa_per_full_scale = 20.0
u_db = 0.3
date = 2026-11-20

[calibration.probe_mic]
pa_per_full_scale = 20.0
u_db = 0.5
date = 2026-11-20

[stimulus.sweep]
kind = "exponential_sweep"
file = "sweep.wav"
start_hz = 80.0
stop_hz = 20000.0
level_db_spl = 65.0

[[recording]]
name = "coupler sweep"
file = "coupler.wav"
stimulus = "sweep"
repeats = 2
ear = "right"
place = "coupler"
coupler = "ha1"
coupling = "foam_tip"
source = "insert"
calibration = "coupler_mic"

[[recording]]
name = "ear sweep"
file = "ear.wav"
stimulus = "sweep"
repeats = 2
ear = "right"
place = "probe_tip"
coupling = "foam_tip"
source = "insert"
calibration = "probe_mic"
"""

CURVE_TOML = """
[[curve]]
name = "exported"
file = "exported.csv"
ear = "right"
place = "coupler"
coupler = "ha1"
coupling = "foam_tip"
source = "aid"
stimulus = "sweep"
"""

CURVE_CSV = """\
# plane: coupler:ha1
# reference: 20 µPa
# exported by hand
frequency_hz,level_db,u_db
250,70.5,1
1000,82.25,1
4000,88,1.5
"""

TARGET_TOML = """
[[target]]
name = "clinic"
ear = "right"
method = "invented"
version = "1"
kind = "speech"
level_db_spl = 65.0
frequency_hz = [500, 1000, 2000, 4000]
level_db = [78, 83, 90, 96]
"""


TARGET = {
    "method": "invented",
    "version": "1",
    "options": "",
    "kind": "speech",
    "level_db_spl": 65,
    "frequency_hz": [500, 1000, 2000, 4000],
    "level_db": [78, 83, 90, 96.5],
}


def sweep() -> np.ndarray:
    """An exponential sweep, 80 Hz to 20 kHz, with short fades. Shape (n,). [FS]"""
    t = np.arange(int(SWEEP_S * RATE_HZ)) / RATE_HZ
    growth = np.log(20_000 / 80)
    phase = 2 * np.pi * 80 * SWEEP_S / growth * np.expm1(t / SWEEP_S * growth)
    fade = np.minimum(1, np.minimum(t, t[::-1]) / 0.005)
    return 0.5 * fade * np.sin(phase)


def recording(gain: float, seed: int, repeats: int = REPEATS) -> np.ndarray:
    """The sweep, circularly delayed and scaled, with microphone noise. Shape (repeats n,). [FS]"""
    played = np.tile(np.roll(sweep(), 24), repeats)
    return gain * played + 1e-4 * np.random.default_rng(seed).standard_normal(played.size)


def write_wav(path: Path, samples: np.ndarray, rate_hz: int = RATE_HZ, subtype: str = "PCM_24") -> None:
    soundfile.write(path, samples, rate_hz, subtype=subtype)


def build_case(folder: Path, *extra: str) -> Path:
    """Write the valid case, with more tables at its end."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "case.toml").write_text(CASE_TOML + "".join(extra), encoding="utf-8")
    write_wav(folder / "sweep.wav", sweep())
    write_wav(folder / "coupler.wav", recording(0.2, 1))
    write_wav(folder / "ear.wav", recording(0.4, 2))
    return folder


def add_curve(folder: Path, csv: str = CURVE_CSV) -> None:
    """Add an imported curve to a case."""
    (folder / "exported.csv").write_text(csv, encoding="utf-8")
    append(folder, CURVE_TOML)


def add_target(folder: Path, change: dict | None = None, *, text: str | None = None, name: str = "clinic.json") -> None:
    """Add a target in a file of its own: JSON with changed or (None) missing keys, or any text."""
    values = "frequency_hz = [500, 1000, 2000, 4000]\nlevel_db = [78, 83, 90, 96]\n"
    append(folder, TARGET_TOML.replace(values, f'file = "{name}"\n'))
    said = {key: value for key, value in (TARGET | (change or {})).items() if value is not None}
    (folder / name).write_text(json.dumps(said) if text is None else text, encoding="utf-8")


def append(folder: Path, text: str) -> None:
    path = folder / "case.toml"
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")


def edit(folder: Path, old: str, new: str) -> None:
    """Replace the first place where a text stands in case.toml; it must stand there."""
    path = folder / "case.toml"
    text = path.read_text(encoding="utf-8")
    if old not in text:
        message = f"{old!r} is not in case.toml"
        raise ValueError(message)
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def fingerprint(folder: Path) -> dict[str, tuple[str, int]]:
    """Content hash and time of change of everything in a folder."""
    found = {}
    for root, folders, files in os.walk(folder):
        for name in [*folders, *files]:
            path = Path(root) / name
            content = path.read_bytes() if path.is_file() else str(path.is_dir()).encode()
            found[str(path.relative_to(folder))] = (
                hashlib.sha256(content).hexdigest(),
                path.lstat().st_mtime_ns,
            )
    return found
