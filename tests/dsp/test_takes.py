"""Checks of a take: each finds what it is for and leaves a good take alone."""

import numpy as np
import pytest

from umbo.dsp import (
    check_clipping,
    check_clock,
    check_dropouts,
    check_length,
    check_level_drift,
    check_offset,
    check_outliers,
    check_repeats_agree,
    check_silence,
    exponential_sweep,
)

RATE_HZ = 48000
STEP_16 = 2.0**-15


def _take(repeats=4, noise=1e-3, bits=None, amplitude=0.3):
    rng = np.random.default_rng(41)
    stimulus = exponential_sweep(80.0, 20000.0, 0.5, RATE_HZ, 0.25, amplitude=amplitude)
    periods = np.tile(stimulus, (repeats, 1)) + noise * rng.standard_normal((repeats, stimulus.size))
    return periods if bits is None else np.round(periods * 2 ** (bits - 1)) / 2 ** (bits - 1)


@pytest.mark.parametrize("bits", [None, 16, 24])
def test_a_good_take_passes_every_check(bits):
    periods = _take(bits=bits)
    samples = periods.ravel()
    findings = [
        check_clipping(samples, RATE_HZ),
        check_dropouts(samples, RATE_HZ),
        check_offset(samples),
        check_silence(samples),
        check_length(samples.size, periods.shape[1], 4, RATE_HZ),
        check_repeats_agree(periods),
        check_level_drift(periods),
        check_outliers(periods, RATE_HZ),
        check_clock(periods, RATE_HZ),
    ]
    assert not [finding for finding in findings if finding.found]
    assert len({finding.code for finding in findings}) == 9
    for finding in findings:
        assert all(np.isfinite(value) for value in finding.numbers.values())


@pytest.mark.parametrize("level", [1.0, 0.31])
@pytest.mark.parametrize("bits", [None, 16])
def test_clipping_is_found_at_and_below_full_scale(level, bits):
    samples = np.clip(_take(bits=bits, amplitude=1.1 * level).ravel(), -level, level - (STEP_16 if bits else 0))
    finding = check_clipping(samples, RATE_HZ)
    assert finding.found
    assert finding.numbers["peak_fs"] == pytest.approx(level, abs=1e-4)
    assert finding.numbers["clipped_samples"] > 100
    assert 0 <= finding.spans_s[0][0] < 0.2


def test_the_rounded_peak_of_a_soft_low_tone_is_not_clipping():
    tone = 0.01 * np.sin(2 * np.pi * 80.0 / RATE_HZ * np.arange(RATE_HZ))
    coarse = np.round(tone / STEP_16) * STEP_16
    assert np.sum(coarse == coarse.max()) > 100  # it does repeat its highest code
    assert not check_clipping(coarse, RATE_HZ).found
    assert not check_clipping(np.zeros(1000), RATE_HZ).found


def test_zeros_inside_a_take_are_a_dropout_and_around_it_are_not():
    samples = _take(bits=24).ravel()
    samples[50000:50200] = 0
    samples = np.concatenate([np.zeros(3000), samples, np.zeros(3000)])
    finding = check_dropouts(samples, RATE_HZ)
    assert finding.found
    assert finding.numbers["zero_runs_count"] == 1
    assert finding.spans_s[0] == pytest.approx((53000 / RATE_HZ, 53200 / RATE_HZ))
    assert finding.numbers["lost_s"] == pytest.approx(200 / RATE_HZ)


@pytest.mark.parametrize("buffer", [64, 512, 1024])
def test_a_buffer_written_twice_is_a_dropout_and_a_periodic_signal_is_not(buffer):
    samples = _take(bits=24).ravel()
    at = 7 * buffer + 11
    samples[at + buffer : at + 2 * buffer] = samples[at : at + buffer]
    finding = check_dropouts(samples, RATE_HZ)
    assert finding.numbers["doubled_buffers_count"] == 1
    assert finding.spans_s[0][0] == pytest.approx((at + buffer) / RATE_HZ)
    tone = np.round(np.tile(np.sin(2 * np.pi * np.arange(64) / 64), 500) * 2**15) / 2**15
    assert not check_dropouts(tone, RATE_HZ).found


def test_offset_and_silence():
    samples = _take().ravel()
    assert check_offset(samples + 0.1).found
    assert check_offset(samples + 0.1).numbers["offset_fs"] == pytest.approx(0.1, abs=2e-3)
    assert not check_offset(samples + 0.001).found
    assert check_silence(np.full(1000, 0.5)).found  # a constant is silence
    assert check_silence(1e-6 * samples).found
    assert check_offset(np.zeros(100)).numbers["offset_re_total_db"] < -200


@pytest.mark.parametrize(("length", "surplus", "whole"), [(29999, -1, 2), (30001, 1, 3), (20000, -10000, 2)])
def test_length_says_by_how_much(length, surplus, whole):
    finding = check_length(length, 10000, 3, RATE_HZ)
    assert finding.found
    assert finding.numbers["surplus_samples"] == surplus
    assert finding.numbers["whole_periods_count"] == whole
    assert f"{abs(surplus)} samples" in finding.text


def test_a_repeat_that_disagrees_is_named():
    periods = _take()
    periods[2] += 0.01 * np.random.default_rng(2).standard_normal(periods.shape[1])
    finding = check_repeats_agree(periods)
    assert finding.found
    assert finding.numbers["worst_index"] == 2
    assert finding.numbers["excess_db"] == pytest.approx(20, abs=3)
    assert "repeat 3" in finding.text


def test_level_drift_is_found_and_measured():
    periods = _take() * 10 ** (0.15 * np.arange(4)[:, None] / 20)
    finding = check_level_drift(periods)
    assert finding.found
    assert finding.numbers["trend_db_per_repeat"] == pytest.approx(0.15, abs=0.01)


def test_a_knock_in_one_repeat_is_found_in_time():
    periods = _take()
    periods[1, 20000:20300] += 0.1
    finding = check_outliers(periods, RATE_HZ)
    assert finding.found
    start_s = (periods.shape[1] + 20000) / RATE_HZ
    assert any(start - 0.011 < start_s < stop for start, stop in finding.spans_s)
    assert finding.numbers["frames_count"] <= 4


@pytest.mark.parametrize("drift_ppm", [-200.0, 50.0])
def test_another_clock_is_found_and_measured(drift_ppm):
    periods = _take(repeats=5)
    size = periods.shape[1]
    omega = 2 * np.pi * np.arange(size // 2 + 1) / size
    late = np.arange(5)[:, None] * size * drift_ppm * 1e-6
    moved = np.fft.irfft(np.fft.rfft(periods) * np.exp(-1j * omega * late), size)
    finding = check_clock(moved, RATE_HZ)
    assert finding.found
    assert finding.numbers["drift_ppm"] == pytest.approx(drift_ppm, abs=1.0)
    assert abs(finding.numbers["drift_ppm"] - drift_ppm) < 4 * finding.numbers["drift_u_ppm"] + 0.2


def test_lost_samples_are_found():
    periods = _take(repeats=5)
    periods[3:] = np.roll(periods[3:], -7, axis=1)
    finding = check_clock(periods, RATE_HZ)
    assert finding.found
    assert finding.numbers["largest_jump_samples"] == pytest.approx(7, abs=0.05)


def test_numbers_cannot_be_changed():
    finding = check_silence(np.ones(10))
    with pytest.raises(TypeError):
        finding.numbers["rms_db_fs"] = 0.0
