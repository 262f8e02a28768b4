"""Malformed cases: each value could be right, but together they say nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from case_builder import TARGET_TOML, append, edit
from malformed_case import Malformed, edited

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

__all__ = ["REFERENCES", "THRESHOLDS"]


def _target(old: str, new: str) -> Callable[[Path], None]:
    assert old in TARGET_TOML
    return lambda folder: append(folder, TARGET_TOML.replace(old, new))


THRESHOLDS = [
    Malformed("one level short", edited("60, 65]", "60]"), ("thresholds.level_db has 5 values for 6",)),
    Malformed("one flag short", edited("false, true]", "true]"), ("thresholds.no_response has 5 values for 6",)),
    Malformed("no frequency", edited("[250, 500, 1000, 2000, 4000, 8000]", "[]"), ("thresholds.frequency_hz",)),
    Malformed(
        "frequencies unsorted",
        edited("[250, 500,", "[500, 250,"),
        ("thresholds.frequency_hz is not ascending", "250 Hz follows 500 Hz"),
    ),
    Malformed("frequency twice", edited("[250, 500,", "[500, 500,"), ("frequency_hz is not ascending",)),
    Malformed("level too high", edited("[30, 35,", "[30, 350,"), ("thresholds.level_db[#2] is 350", "140 or less")),
    Malformed("level is NaN", edited("[30, 35,", "[30, nan,"), ("thresholds.level_db[#2] is nan",)),
    Malformed("level is text", edited("[30, 35,", '[30, "35",'), ("thresholds.level_db[#2] is '35'",)),
    Malformed("insert without coupler", edited('coupler = "ha1"\n', ""), ("ear.right.thresholds.coupler is missing",)),
    Malformed(
        "nHL without correction",
        edited('scale = "HL"', 'scale = "nHL"'),
        ("thresholds.correction is missing", "nHL"),
    ),
    Malformed(
        "correction with HL",
        edited('scale = "HL"', 'scale = "HL"\ncorrection = "mine"'),
        ("correction is 'mine'", "HL"),
    ),
    Malformed(
        "correction not there",
        edited('scale = "HL"', 'scale = "nHL"\ncorrection = "mine"'),
        ("corrections.mine",),
    ),
    Malformed(
        "correction with a gap",
        lambda f: (
            edit(f, 'scale = "HL"', 'scale = "nHL"\ncorrection = "mine"'),
            append(f, "\n[corrections.mine]\nfrequency_hz = [500]\nlevel_db = [10]\nsource = 'invented'\n"),
        ),
        ("corrections.mine.frequency_hz has no value at 250 Hz",),
    ),
    Malformed(
        "tip behind the drum",
        edited("tip_to_drum_mm = 5.0", "tip_to_drum_mm = -5.0"),
        ("ear.right.tip_to_drum_mm is -5",),
    ),
    Malformed(
        "discomfort lengths",
        lambda f: append(
            f,
            "\n[ear.right.discomfort]\nscale='HL'\ntransducer='sound_field'\nfrequency_hz=[500]\nlevel_db=[90, 95]\n",
        ),
        ("ear.right.discomfort.level_db has 2 values for 1 frequency",),
    ),
    Malformed(
        "microphone-location effect without source",
        lambda f: append(f, "\n[ear.right.mle]\nfrequency_hz=[500]\nlevel_db=[1]\n"),
        ("ear.right.mle.source is missing",),
    ),
]

REFERENCES = [
    Malformed(
        "unknown stimulus",
        edited('stimulus = "sweep"', 'stimulus = "seep"'),
        ("recording['coupler sweep'].stimulus is 'seep'", "it has: sweep"),
    ),
    Malformed(
        "unknown calibration",
        edited('calibration = "probe_mic"', 'calibration = "other"'),
        ("recording['ear sweep'].calibration is 'other'",),
    ),
    Malformed(
        "ear not described",
        edited('ear = "right"', 'ear = "left"'),
        ("recording['coupler sweep'].ear is 'left'", "[ear.left]"),
    ),
    Malformed(
        "name used twice",
        edited('name = "ear sweep"', 'name = "coupler sweep"'),
        ("recording['coupler sweep'].name",),
    ),
    Malformed(
        "coupler missing",
        edited('place = "coupler"\ncoupler = "ha1"', 'place = "coupler"'),
        ("recording['coupler sweep'].coupler is missing",),
    ),
    Malformed(
        "coupler in an ear",
        edited('place = "probe_tip"', 'place = "probe_tip"\ncoupler = "ha1"'),
        ("recording['ear sweep'].coupler is 'ha1'", "probe_tip"),
    ),
    Malformed("sweep without start", edited("start_hz = 80.0\n", ""), ("stimulus.sweep.start_hz is missing",)),
    Malformed(
        "sweep downwards",
        edited("start_hz = 80.0", "start_hz = 30000.0"),
        ("stimulus.sweep.stop_hz is 20000 Hz", "30000"),
    ),
    Malformed(
        "sweep beyond half the rate",
        edited("stop_hz = 20000.0", "stop_hz = 24000.0"),
        ("stimulus.sweep.stop_hz is 24000 Hz", "48000 Hz"),
    ),
    Malformed("stimulus without file", edited('file = "sweep.wav"\n', ""), ("stimulus.sweep.file is missing",)),
    Malformed(
        "target without values",
        _target("level_db = [78, 83, 90, 96]\n", ""),
        ("target['clinic']", "neither a file nor values"),
    ),
    Malformed(
        "target with both",
        _target("frequency_hz =", 'file = "t.csv"\nfrequency_hz ='),
        ("target['clinic'].file",),
    ),
    Malformed(
        "target without level",
        _target("level_db_spl = 65.0\n", ""),
        ("target['clinic'].level_db_spl is missing",),
    ),
    Malformed("target of the other ear", _target('"right"', '"left"'), ("target['clinic'].ear is 'left'",)),
    Malformed("target without version", _target('version = "1"\n', ""), ("target['clinic'].version is missing",)),
]
