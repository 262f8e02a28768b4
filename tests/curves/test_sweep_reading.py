"""A calibrated sweep becomes levels: the sum checked against plain numbers, noise and coverage by simulation."""

from datetime import date

import numpy as np
import pytest

from umbo.calibration import Calibration, Recording, sweep_spectrum
from umbo.core import Ear, Grid, Plane, Source, Statistic, Tags
from umbo.curves import SweepReading

RATE, PERIOD_S = 48000.0, 0.75
TAGS = Tags(
    quantity="sweep response",
    ear=Ear.RIGHT,
    stimulus="sweep",
    statistic=Statistic.RMS,
    coupling=None,
    source=Source.INSERT,
)
CAL = Calibration(name="mic", pa_per_full_scale=20.0, u_db=0.2, date=date(2026, 1, 1), method="entered")


def sweep(amplitude=0.5):
    """A plain exponential sweep, 80 Hz to 20 kHz in 0.6 s, and silence."""
    t = np.arange(int(0.6 * RATE)) / RATE
    rate = 0.6 / np.log(20000 / 80)
    out = np.zeros(int(PERIOD_S * RATE))
    out[: t.size] = amplitude * np.sin(2 * np.pi * 80 * rate * (np.exp(t / rate) - 1))
    ramp = np.sin(np.linspace(0, np.pi / 2, 480)) ** 2
    out[:480] *= ramp
    return out


def reading(samples, repeats, *, plane, amplitude=0.5, calibration=CAL, clipped=False):
    spectrum = sweep_spectrum(
        Recording("take", samples, RATE),
        Recording("sweep", sweep(amplitude), RATE),
        calibration,
        repeats=repeats,
        start_hz=80.0,
        stop_hz=20000.0,
    )
    return SweepReading(spectrum, plane, TAGS, clipped, ())


@pytest.mark.parametrize("grid", [Grid.twelfth_octave(), Grid.third_octave(), Grid.audiometric()])
def test_level_of_a_known_gain(grid):
    # gain 0.1, amplitude 0.5, 20 Pa per full scale: rms = 0.1 x 0.5 x 20 / sqrt 2 Pa = 90.97 dB SPL
    found = reading(np.tile(0.1 * sweep(), 2), 2, plane=Plane.eardrum()).on(grid)
    wanted = 20 * np.log10(0.1 * 0.5 * 20 / np.sqrt(2) / 20e-6)
    inside = (grid.frequency_hz > 120) & (grid.frequency_hz < 16500)
    assert found.level.level_db[inside] == pytest.approx(wanted, abs=0.035)
    assert wanted == pytest.approx(90.97, abs=0.005)


def test_amplitude_is_read_from_the_file():
    loud = reading(np.tile(0.1 * sweep(0.5), 2), 2, plane=Plane.eardrum()).on(Grid.third_octave()).level
    soft = (
        reading(np.tile(0.1 * sweep(0.25), 2), 2, plane=Plane.eardrum(), amplitude=0.25).on(Grid.third_octave()).level
    )
    assert loud.level_db - soft.level_db == pytest.approx(20 * np.log10(2), abs=1e-6)


def test_coupler_readings_end_with_their_coupler():
    found = reading(np.tile(0.1 * sweep(), 2), 2, plane=Plane.coupler("ha1")).on(Grid.twelfth_octave()).level
    words = dict(zip(found.frequency_hz.round(), found.states.words, strict=True))
    assert words[7943] == "ok"
    assert words[8414] == "outside_coupler"
    small = reading(np.tile(0.1 * sweep(), 2), 2, plane=Plane.coupler("cc04")).on(Grid.twelfth_octave()).level
    assert set(small.states.words) == {"ok"}


def test_clipped_recordings_are_marked_everywhere():
    found = reading(np.tile(0.1 * sweep(), 2), 2, plane=Plane.eardrum(), clipped=True).on(Grid.third_octave()).level
    assert set(found.states.words) == {"clipped"}


def test_one_repeat_says_that_noise_is_not_known():
    found = reading(0.1 * sweep(), 1, plane=Plane.eardrum()).on(Grid.third_octave())
    assert found.noise_db is None
    assert set(found.level.states.words) == {"noisy"}


def test_noise_decides_the_states():
    rng = np.random.default_rng(3)
    quiet = np.tile(1e-4 * sweep(), 4)
    rising = np.cumsum(rng.standard_normal(quiet.size))
    noise = 1e-4 * np.diff(rng.standard_normal(quiet.size + 1)) + 1e-7 * rising
    found = reading(quiet + noise, 4, plane=Plane.eardrum()).on(Grid.twelfth_octave())
    over = 10 * np.log10(10 ** (found.level.level_db / 10) + 10 ** (found.noise_db / 10)) - found.noise_db
    words = np.array(found.level.states.words)
    assert {"below_noise", "noisy", "ok"} <= set(words)
    assert np.all(over[words == "below_noise"] < 6.0 + 1e-6)
    assert np.all(over[words == "ok"] >= 10.0 - 1e-6)


@pytest.mark.parametrize("noise", [3e-6, 1e-4])
def test_uncertainty_covers_the_truth(noise):
    """2 u of noise alone covers 95 % of errors, over 60 recordings, at every octave."""
    rng = np.random.default_rng(11)
    exact = Calibration(name="mic", pa_per_full_scale=20.0, u_db=0.0, date=date(2026, 1, 1), method="entered")
    clean = np.tile(1e-3 * sweep(), 4)
    grid = Grid.third_octave()
    truth = reading(clean, 4, plane=Plane.eardrum(), calibration=exact).on(grid).level.level_db
    inside = []
    for _ in range(60):
        found = reading(clean + noise * rng.standard_normal(clean.size), 4, plane=Plane.eardrum(), calibration=exact)
        level = found.on(grid).level
        assert level.states.is_usable.all()
        inside.append(np.abs(level.level_db - truth) <= 2 * level.u_db)
    covered = float(np.mean(inside))
    assert 0.92 <= covered <= 0.99, f"2 u covers {100 * covered:.1f} %"
