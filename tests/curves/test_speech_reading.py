"""Speech becomes third-octave levels, with percentiles, and with noise from repeats and not from silence."""

from datetime import date

import numpy as np
import pytest

from umbo.calibration import Calibration, Recording
from umbo.core import Ear, Plane, Source, Statistic, Tags
from umbo.curves import Noticed, speech_reading

RATE = 48000.0
CAL = Calibration(name="mic", pa_per_full_scale=20.0, u_db=0.2, date=date(2026, 1, 1), method="entered")
TAGS = Tags(
    quantity="speech", ear=Ear.RIGHT, stimulus="speech65", statistic=Statistic.RMS, coupling=None, source=Source.AID
)


def white(rng, seconds, level_pa):
    return level_pa / 20.0 * rng.standard_normal(int(seconds * RATE))


def read(recorded, played, repeats, **changes):
    arguments = {
        "repeats": repeats,
        "plane": Plane.coupler("cc04"),
        "tags": TAGS,
        "noticed": Noticed(False, ()),
        "input_db_spl": 65.0,
    }
    return speech_reading(
        Recording("run", recorded, RATE), Recording("speech", played, RATE), CAL, **(arguments | changes)
    )


def test_white_noise_has_its_band_levels():
    rng = np.random.default_rng(5)
    played = white(rng, 8.0, 0.2)
    found = read(np.tile(played, 2), played, 2)
    f = found.level.frequency_hz
    # density of 0.2 Pa rms over 24 kHz, times the bandwidth of a third octave (IEC 61260-1 edges)
    wanted = 20 * np.log10(0.2 / 20e-6) + 10 * np.log10(f * (10**0.05 - 10**-0.05) / (RATE / 2))
    error = found.level.level_db - wanted
    assert np.abs(error[f > 400]).max() < 0.5
    assert np.abs(error[f > 3000]).max() < 0.2
    assert found.input_levels_db - wanted == pytest.approx(65 - 80, abs=0.6)


def test_noise_comes_from_the_difference_of_repeats():
    rng = np.random.default_rng(6)
    played = white(rng, 5.0, 0.2)
    noise = white(rng, 20.0, 0.01)
    found = read(np.tile(played, 4) + noise, played, 4)
    f = found.level.frequency_hz
    truth = 20 * np.log10(0.01 / 20e-6) - 10 * np.log10(4) + 10 * np.log10(f * (10**0.05 - 10**-0.05) / (RATE / 2))
    assert np.abs(found.noise_db - truth)[f > 200].max() < 1.0


def test_one_repeat_warns_and_knows_no_noise():
    played = white(np.random.default_rng(7), 3.0, 0.2)
    found = read(played, played, 1)
    assert found.noise_db is None
    assert [finding.code for finding in found.findings] == ["noise_not_known"]
    assert set(found.level.states.words) == {"noisy"}


def test_percentiles_ascend_and_carry_their_statistic():
    rng = np.random.default_rng(8)
    envelope = np.repeat(rng.uniform(0.05, 1.0, 40), int(RATE / 5))
    played = envelope * white(rng, 8.0, 0.2)
    found = read(np.tile(played, 2), played, 2)
    assert np.all(found.percentiles[99].level_db > found.percentiles[65].level_db)
    assert np.all(found.percentiles[65].level_db > found.percentiles[30].level_db)
    assert [str(found.percentiles[p].tags.statistic) for p in (30, 65, 99)] == ["p30", "p65", "p99"]
