"""The bench in memory against its own truth, by plain transforms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from umbo.core import CouplerKind
from umbo.sim import (
    TWELFTH_OCTAVE_HZ,
    Leak,
    RecdBench,
    RecordingFaults,
    exponential_sweep,
    random_ear,
    recd_takes,
)

HA1, CC04 = CouplerKind.HA1, CouplerKind.CC04
EDGE = 10 ** (1 / 80)


def plain_band_db(samples_fs, stimulus_fs, repeats, pa_per_full_scale):
    """Mean power of recording over stimulus in each twelfth-octave: average periods, divide transforms, average."""
    period = np.asarray(samples_fs).reshape(repeats, -1).mean(axis=0)
    size = period.size * 8  # zeros behind the period: bins closer together
    response = np.fft.rfft(period, size) / np.fft.rfft(stimulus_fs, size)
    frequency_hz = np.fft.rfftfreq(size, 1 / 48000)
    power = np.abs(response * pa_per_full_scale) ** 2
    levels = []
    for centre_hz in TWELFTH_OCTAVE_HZ:
        grid_hz = np.linspace(centre_hz / EDGE, centre_hz * EDGE, 101)
        mean = np.trapezoid(np.interp(grid_hz, frequency_hz, power), grid_hz) / (grid_hz[-1] - grid_hz[0])
        levels.append(10 * np.log10(mean))
    return np.array(levels)


def plain_recd_db(takes):
    ear = plain_band_db(takes.ear_fs, takes.stimulus.samples_fs, takes.repeats, takes.probe_mic.pa_per_full_scale)
    coupler = plain_band_db(
        takes.coupler_fs, takes.stimulus.samples_fs, takes.repeats, takes.coupler_mic.pa_per_full_scale
    )
    return ear - coupler


@pytest.mark.parametrize(
    ("seed", "age_months", "kind", "source"),
    [
        (1, 480.0, HA1, "insert"),
        (2, 60.0, CC04, "insert"),
        (3, 27.0, HA1, "receiver"),
        (4, 1.0, CC04, "insert"),
        (5, 9.0, HA1, "ideal"),
    ],
)
def test_noise_free_recordings_hold_the_truth(seed, age_months, kind, source):
    rng = np.random.default_rng(seed)
    takes = recd_takes(random_ear(rng, age_months), kind, rng, bench=RecdBench(perfect=True, source=source))
    assert plain_recd_db(takes) == pytest.approx(takes.truth.recd_probe_tip_db, abs=0.02)
    # drum and probe tip part company towards high frequencies only
    apart_db = takes.truth.recd_db - takes.truth.recd_probe_tip_db
    assert np.max(np.abs(apart_db[:30])) < 0.3


def test_absolute_levels():
    rng = np.random.default_rng(6)
    takes = recd_takes(random_ear(rng, 480.0), HA1, rng, bench=RecdBench(perfect=True, level_db_spl=70.0))
    response_db = plain_band_db(takes.coupler_fs, takes.stimulus.samples_fs, takes.repeats, 100.0)
    # a file of amplitude 0.5 plays at 70 dB: 0.5 FS are 70 dB + 3.01 dB in peak pascals
    pa_per_file = 2e-5 * 10 ** (70 / 20) * np.sqrt(2) / 0.5
    assert response_db - 20 * np.log10(pa_per_file) == pytest.approx(takes.truth.coupler_response_db, abs=0.02)
    assert takes.truth.coupler_response_db[36] == pytest.approx(0.0, abs=0.1)


def test_calibration_errors_show_in_the_recd_and_cancel_with_one_microphone():
    ear = random_ear(np.random.default_rng(7), 480.0)
    two = recd_takes(ear, HA1, np.random.default_rng(8), bench=RecdBench())
    expected_db = two.coupler_mic.true_error_db - two.probe_mic.true_error_db
    middle = slice(20, 50)
    offset_db = (plain_recd_db(two) - two.truth.recd_probe_tip_db)[middle]
    assert offset_db.mean() == pytest.approx(expected_db, abs=0.03)
    one = recd_takes(ear, HA1, np.random.default_rng(8), bench=RecdBench(same_microphone=True))
    assert one.coupler_mic is one.probe_mic
    assert one.probe_mic.true_error_db != 0.0
    assert (plain_recd_db(one) - one.truth.recd_probe_tip_db)[middle].mean() == pytest.approx(0.0, abs=0.03)


def test_noise_of_a_take_is_what_the_truth_says():
    rng = np.random.default_rng(9)
    takes = recd_takes(random_ear(rng, 480.0), HA1, rng, bench=RecdBench(repeats=8))
    for samples, chain, stated_db in (
        (takes.coupler_fs, takes.coupler_mic, takes.truth.coupler_noise_db_spl),
        (takes.ear_fs, takes.probe_mic, takes.truth.ear_noise_db_spl),
    ):
        periods = samples.reshape(8, -1) * chain.true_pa_per_full_scale
        residual = (periods - periods.mean(axis=0)) * np.sqrt(8 / 7)
        power = np.mean(np.abs(np.fft.rfft(residual)) ** 2, axis=0) * 2 / 60000**2
        frequency_hz = np.fft.rfftfreq(60000, 1 / 48000)
        for k in (40, 60, 76):
            low, high = TWELFTH_OCTAVE_HZ[k] / EDGE, TWELFTH_OCTAVE_HZ[k] * EDGE
            found = np.sum(power[(frequency_hz >= low) & (frequency_hz < high)])
            assert 10 * np.log10(found / 4e-10) == pytest.approx(stated_db[k], abs=0.6)


def test_source_drift_adds_to_every_frequency():
    rng = np.random.default_rng(10)
    ear = random_ear(rng, 60.0)
    takes = recd_takes(ear, HA1, rng, bench=RecdBench(perfect=True, source_drift_db=1.5))
    assert plain_recd_db(takes) - takes.truth.recd_probe_tip_db == pytest.approx(1.5, abs=0.03)


def test_a_leaking_coupler_is_in_the_recording_and_not_in_the_truth():
    rng = np.random.default_rng(11)
    ear = random_ear(rng, 60.0)
    takes = recd_takes(ear, HA1, rng, bench=RecdBench(perfect=True, coupler_leak=Leak(height_m=0.4e-3)))
    error_db = plain_recd_db(takes) - takes.truth.recd_probe_tip_db
    assert error_db[0] > 5.0
    assert np.max(np.abs(error_db[48:76])) < 0.5  # 2 to 10 kHz


def test_recorder_faults_reach_the_take():
    rng = np.random.default_rng(12)
    bench = RecdBench(
        perfect=True, ear_faults=RecordingFaults(dc_fs=0.01), coupler_faults=RecordingFaults(clip_fs=1e-4)
    )
    takes = recd_takes(random_ear(rng, 60.0), HA1, rng, bench=bench)
    assert np.mean(takes.ear_fs) == pytest.approx(0.01, abs=1e-4)
    assert np.max(np.abs(takes.coupler_fs)) == 1e-4


def test_a_shallow_probe_reads_low_at_high_frequencies():
    rng = np.random.default_rng(13)
    ear = random_ear(rng, 480.0)
    shallow = ear.with_probe(0.9 * ear.length_m)
    takes = recd_takes(shallow, HA1, rng, bench=RecdBench(perfect=True))
    apart_db = takes.truth.recd_probe_tip_db - takes.truth.recd_db
    null_hz = 352.0 / (4 * shallow.probe_to_drum_m)
    deepest_hz = TWELFTH_OCTAVE_HZ[int(np.argmin(apart_db))]
    assert np.min(apart_db) < -6.0
    # the quarter wave of the rigid drum; mass of a real drum moves the minimum up, stiffness down
    assert deepest_hz == pytest.approx(null_hz, rel=0.35)
    assert takes.truth.recd_db == pytest.approx(
        recd_takes(ear, HA1, rng, bench=RecdBench(perfect=True)).truth.recd_db, abs=0.01
    )


def test_same_seed_same_samples():
    def once(seed):
        rng = np.random.default_rng(seed)
        return recd_takes(random_ear(rng, 27.0), HA1, rng)

    first, second, other = once(14), once(14), once(15)
    assert np.array_equal(first.coupler_fs, second.coupler_fs)
    assert np.array_equal(first.ear_fs, second.ear_fs)
    assert not np.array_equal(first.ear_fs, other.ear_fs)


def test_another_stimulus():
    rng = np.random.default_rng(16)
    short = exponential_sweep(sweep_s=0.5, tail_s=0.125)
    takes = recd_takes(random_ear(rng, 60.0), HA1, rng, bench=RecdBench(perfect=True, repeats=2), stimulus=short)
    assert takes.ear_fs.size == 2 * short.samples_fs.size
    assert plain_recd_db(takes) == pytest.approx(takes.truth.recd_probe_tip_db, abs=0.05)


def test_frozen_configuration_can_be_varied():
    bench = replace(RecdBench(), repeats=2)
    rng = np.random.default_rng(17)
    assert recd_takes(random_ear(rng), CC04, rng, bench=bench).coupler_fs.size == 120_000
