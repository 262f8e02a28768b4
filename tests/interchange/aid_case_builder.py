"""A small valid case of an aid tested by itself: silence, steps, a sweep, in place of a bench."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from case_builder import RATE_HZ, append, build_case, recording, write_wav

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["AID_TOML", "SHEET_CSV", "add_aid_tests", "build_aid_case"]

AID_TOML = """
[stimulus.sweep90]
kind = "exponential_sweep"
file = "sweep.wav"
start_hz = 80.0
stop_hz = 20000.0
level_db_spl = 90.0

[stimulus.coil]
kind = "exponential_sweep"
file = "sweep.wav"
start_hz = 80.0
stop_hz = 20000.0
field_a_per_m = 0.0316

[stimulus.steps]
kind = "level_steps"
file = "steps.wav"
frequency_hz = 2000.0
levels_db_spl = [55.0, 90.0, 55.0]
step_s = 0.3

[stimulus.tones]
kind = "tones"
file = "tones.wav"
frequency_hz = [500.0, 800.0, 1600.0]
levels_db_spl = [70.0, 70.0, 65.0]
step_s = 0.3

[settings.full_on]
volume = "full_on"
features = { compression = "off", expansion = "off" }

[settings.reference]
volume = "reference"

[box]
name = "small box"
u_db = 0.5

[data_sheet]
standard = "ansi_s3_22"
coupler = "ha1"
hfa_ospl90_db_spl = 112.0
attack_ms = 20.0
distortion = { frequency_hz = [500, 800], thd_percent = [3, 2] }
response = { frequency_hz = [500, 1000], gain_db = [30, 35] }

[entered.right]
battery_current_ma = 1.4
settings = "reference"

[[recording]]
name = "ospl90"
file = "ospl90.wav"
test = "output_90"
settings = "full_on"
stimulus = "sweep90"
repeats = 2
ear = "right"
place = "coupler"
coupler = "ha1"
coupling = "mould"
source = "aid"
calibration = "coupler_mic"

[[recording]]
name = "jump"
file = "jump.wav"
test = "attack_release"
settings = "reference"
stimulus = "steps"
ear = "right"
place = "coupler"
coupler = "ha1"
coupling = "mould"
source = "aid"
calibration = "coupler_mic"

[[recording]]
name = "by coil"
file = "coil.wav"
test = "telecoil"
settings = "reference"
input = "telecoil"
stimulus = "coil"
ear = "right"
place = "coupler"
coupler = "ha1"
coupling = "mould"
source = "aid"
calibration = "coupler_mic"

[[recording]]
name = "check now"
file = "check.wav"
test = "check_source"
stimulus = "sweep90"
ear = "right"
place = "coupler"
coupler = "ha1"
coupling = "foam_tip"
source = "insert"
calibration = "coupler_mic"
"""

SHEET_CSV = """\
# invented
item,frequency_hz,value
standard,,iec_60118_0
coupler,,cc04
hfa_ospl90_db_spl,,111.5
release_ms,,80
thd_percent,500,3
thd_percent,800,2
gain_db,1000,35
special_average_hz,,1250
special_average_hz,,2000
special_average_hz,,3150
special_ospl90_db_spl,,109
"""


def tone(frequency_hz, seconds=0.3):
    return 0.3 * np.sin(2 * np.pi * frequency_hz * np.arange(round(seconds * RATE_HZ)) / RATE_HZ)


def add_aid_tests(folder: Path, text: str = AID_TOML) -> Path:
    """Add tests of the right aid by itself to a valid case."""
    append(folder, text)
    steps = np.concatenate([0.02 * tone(2000.0), tone(2000.0), 0.02 * tone(2000.0)])
    write_wav(folder / "steps.wav", steps)
    write_wav(folder / "tones.wav", np.concatenate([tone(500.0), tone(800.0), tone(1600.0)]))
    write_wav(folder / "jump.wav", 0.5 * steps + 1e-4 * np.random.default_rng(5).standard_normal(steps.size))
    write_wav(folder / "ospl90.wav", recording(0.5, 6))
    write_wav(folder / "coil.wav", recording(0.3, 7, repeats=1))
    write_wav(folder / "check.wav", recording(0.4, 8, repeats=1))
    return folder


def build_aid_case(folder: Path) -> Path:
    """Write the valid case with the tests of an aid."""
    return add_aid_tests(build_case(folder))
