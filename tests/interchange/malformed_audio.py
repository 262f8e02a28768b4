"""Malformed cases: recordings and stimuli whose samples cannot be what was declared."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from case_builder import edit, recording, sweep, write_wav
from malformed_case import Malformed, changed_bytes

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

__all__ = ["AUDIO"]


def _wav(file: str, samples: np.ndarray, **how) -> Callable[[Path], None]:
    return lambda folder: write_wav(folder / file, samples, **how)


def _cut_flac(folder: Path) -> None:
    write_wav(folder / "ear.flac", recording(0.4, 2))
    changed_bytes("ear.flac", lambda b: b[: len(b) // 2])(folder)
    edit(folder, '"ear.wav"', '"ear.flac"')


def _nan_samples() -> np.ndarray:
    samples = recording(0.4, 2)
    samples[1234] = np.nan
    return samples


def _clipped_below_full_scale() -> np.ndarray:
    return np.clip(recording(0.9, 2), -0.3, 0.3)


AUDIO = [
    Malformed("recording empty", changed_bytes("ear.wav", lambda _: b""), ("'ear.wav' is not a readable",)),
    Malformed(
        "recording is text",
        changed_bytes("ear.wav", lambda _: b"frequency_hz,level_db\n1,2\n"),
        ("'ear.wav' is not a readable",),
    ),
    Malformed("header alone", changed_bytes("ear.wav", lambda b: b[:44]), ("'ear.wav' is cut off",)),
    Malformed(
        "recording cut off",
        changed_bytes("ear.wav", lambda b: b[: len(b) * 3 // 4]),
        ("'ear.wav' is cut off", "bytes"),
    ),
    Malformed("FLAC cut off", _cut_flac, ("'ear.flac'",)),
    Malformed("no samples", _wav("ear.wav", np.zeros(0)), ("'ear.wav' holds no samples",)),
    Malformed(
        "two channels",
        _wav("ear.wav", np.stack([recording(0.4, 2)] * 2, axis=1)),
        ("'ear.wav' has 2 channels",),
    ),
    Malformed(
        "wrong rate",
        _wav("ear.wav", recording(0.4, 2), rate_hz=44_100),
        ("'ear.wav'", "44100 Hz", "48000 Hz"),
    ),
    Malformed(
        "rate of a telephone",
        _wav("ear.wav", recording(0.4, 2), rate_hz=4_000),
        ("'ear.wav'", "4000 samples a second"),
    ),
    Malformed("eight bits", _wav("ear.wav", recording(0.4, 2), subtype="PCM_U8"), ("'ear.wav'", "PCM_U8")),
    Malformed("companded", _wav("ear.wav", recording(0.4, 2), subtype="ULAW"), ("'ear.wav'", "ULAW")),
    Malformed("too short", _wav("ear.wav", recording(0.4, 2)[:-1]), ("'ear.wav' is too short", "28799", "28800")),
    Malformed(
        "one period too long",
        _wav("ear.wav", recording(0.4, 2, repeats=3)),
        ("'ear.wav' is too long", "43200", "28800"),
    ),
    Malformed(
        "more than an hour",
        _wav("ear.wav", np.zeros(8000 * 3601, dtype=np.int16), rate_hz=8000, subtype="PCM_16"),
        ("'ear.wav' lasts 3601 s",),
    ),
    Malformed("silent", _wav("ear.wav", np.zeros(28_800)), ("'ear.wav' is silent",)),
    Malformed("constant", _wav("ear.wav", np.full(28_800, 0.25)), ("'ear.wav' is silent", "0.25")),
    Malformed("silent stimulus", _wav("sweep.wav", np.zeros_like(sweep())), ("'sweep.wav' is silent",)),
    Malformed("NaN in samples", _wav("ear.wav", _nan_samples(), subtype="FLOAT"), ("ear sweep", "1234")),
    Malformed(
        "infinite sample",
        _wav("coupler.wav", np.append(recording(0.2, 1)[:-1], np.inf), subtype="DOUBLE"),
        ("coupler sweep", "28799"),
    ),
    Malformed("clipped", _wav("ear.wav", recording(4.0, 2)), ("'ear.wav' is clipped", "%")),
    Malformed(
        "clipped float",
        _wav("ear.wav", np.clip(recording(4.0, 2), -1, 1), subtype="FLOAT"),
        ("'ear.wav' is clipped",),
    ),
    Malformed(
        "clipped before the converter",
        _wav("ear.wav", _clipped_below_full_scale()),
        ("'ear.wav' is clipped", "0.3"),
    ),
    Malformed(
        "integers as float",
        _wav("ear.wav", 32767 * recording(0.4, 2), subtype="FLOAT"),
        ("'ear.wav' reaches", "1.0"),
    ),
]
