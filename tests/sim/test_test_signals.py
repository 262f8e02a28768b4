"""Tones, level steps and noises of the aid tests, against closed forms and plain transforms."""

from __future__ import annotations

import numpy as np
import pytest

from umbo.errors import InputError
from umbo.sim import fricative_noise, level_steps, speech_shaped_noise, tones
from umbo.sim._speech import LTASS_DB, LTASS_HZ

RATE_HZ = 48000


def db_spl(samples_pa):
    return 20 * np.log10(np.sqrt(np.mean(samples_pa**2)) / 20e-6)


def band_db_spl(samples_pa, low_hz, high_hz):
    power = np.abs(np.fft.rfft(samples_pa)) ** 2 * 2 / samples_pa.size**2
    frequency_hz = np.fft.rfftfreq(samples_pa.size, 1 / RATE_HZ)
    return 10 * np.log10(power[(frequency_hz >= low_hz) & (frequency_hz < high_hz)].sum() / 4e-10)


def test_tones_have_their_levels_and_frequencies():
    stimulus = tones((500.0, 800.0, 1600.0), (70.0, 70.0, 65.0), step_s=0.5)
    assert stimulus.kind == "tones"
    parts = stimulus.pascals(70.0).reshape(3, -1)
    for part, frequency_hz, level in zip(parts, (500.0, 800.0, 1600.0), (70.0, 70.0, 65.0), strict=True):
        assert db_spl(part[4800:14400]) == pytest.approx(level, abs=1e-3)
        spectrum = np.abs(np.fft.rfft(part[4800:14400]))
        assert np.argmax(spectrum) * RATE_HZ / 9600 == frequency_hz
        assert abs(part[0]) < 1e-9
        assert abs(part[-1]) < 1e-3 * np.max(np.abs(part))


def test_level_steps_jump_where_they_say_and_keep_their_phase():
    levels = (55.0, 90.0, 55.0)
    stimulus = level_steps(2000.0, levels, step_s=0.25)
    pressure_pa = stimulus.pascals(max(stimulus.levels_db_spl))
    for part, level in zip(pressure_pa.reshape(3, -1), levels, strict=True):
        assert db_spl(part) == pytest.approx(level, abs=2e-3)
    carrier = np.sin(2 * np.pi * 2000.0 * np.arange(pressure_pa.size) / RATE_HZ)
    course = np.repeat(10 ** (np.array(levels) / 20), 12000) * 20e-6 * np.sqrt(2)
    # a 24-bit file: 20 bits are left for the soft steps
    assert pressure_pa == pytest.approx(course * carrier, abs=1e-6)


def test_noise_has_the_spectrum_of_speech_and_is_steady():
    noise = speech_shaped_noise(np.random.default_rng(1), duration_s=10.0)
    pressure_pa = noise.pascals(70.0)
    assert db_spl(pressure_pa) == pytest.approx(70.0, abs=1e-9)
    for centre_hz, level_db in zip(LTASS_HZ[3:22], LTASS_DB[3:22], strict=True):
        exact_hz = 1000 * 10 ** (np.round(10 * np.log10(centre_hz / 1000)) / 10)
        assert band_db_spl(pressure_pa, exact_hz / 10**0.05, exact_hz * 10**0.05) == pytest.approx(level_db, abs=0.2)
    frames_db = 10 * np.log10((pressure_pa**2).reshape(-1, 6000).mean(axis=1))  # 125 ms
    assert np.ptp(frames_db) < 4.0


def test_fricative_lies_between_four_and_nine_kilohertz():
    pressure_pa = fricative_noise(np.random.default_rng(2)).pascals(65.0)
    inside = band_db_spl(pressure_pa, 4000.0, 9000.0)
    # slopes of 24 dB an octave, power as the eighth of frequency: 4000/9 Hz below and 9000/7 Hz above count beside 5000
    assert inside == pytest.approx(65.0 + 10 * np.log10(5000 / (5000 + 4000 / 9 + 9000 / 7)), abs=0.15)
    # even: levels go with the width
    assert band_db_spl(pressure_pa, 4000.0, 5000.0) == pytest.approx(inside - 10 * np.log10(5), abs=0.5)
    # 24 dB an octave below: at 2 kHz 24 dB less per hertz
    per_hz = band_db_spl(pressure_pa, 1950.0, 2050.0) - 20.0
    assert per_hz == pytest.approx(inside - 10 * np.log10(5000) - 24.0, abs=1.0)


def test_stimuli_of_the_aid_tests_lie_on_the_steps_of_a_24_bit_file():
    for stimulus in (
        tones((500.0,), (70.0,), step_s=0.1),
        level_steps(250.0, (50.0, 90.0), step_s=0.1),
        speech_shaped_noise(np.random.default_rng(1), duration_s=1.0),
        fricative_noise(np.random.default_rng(1), duration_s=1.0),
    ):
        steps = stimulus.samples_fs * 2**23
        assert np.array_equal(steps, np.round(steps))
        assert np.max(np.abs(stimulus.samples_fs)) < 1.0


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: tones((500.0,), (70.0, 60.0)), "1 frequencies meet 2 levels"),
        (lambda: tones((), ()), "0 frequencies meet 0 levels"),
        (lambda: tones((24000.0,), (70.0,)), "carries no 24000 Hz"),
        (lambda: level_steps(1000.0, (5.0, 90.0)), "more than 80 dB apart"),
        (lambda: level_steps(1000.0, (55.0, 90.0), step_s=0.0205), "no whole number of milliseconds"),
    ],
)
def test_what_cannot_be_played_is_refused(make, sentence):
    with pytest.raises(InputError, match=sentence):
        make()
