"""The virtual hearing aid: gain, compression, maximum output, distortion and noise, measured from samples."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from umbo.core import CouplerKind
from umbo.errors import InputError
from umbo.sim import (
    TWELFTH_OCTAVE_HZ,
    AidOnBench,
    NoiseFloor,
    VirtualAid,
    coupler_microphone,
    coupler_path,
    exponential_sweep,
    play_aid,
    played_levels,
    speech_like,
    tone_output_db_spl,
)

RATE_HZ = 48000.0
AID = VirtualAid(
    crossover_hz=(500.0, 1000.0, 2000.0, 4000.0),
    gain_db=(20.0, 25.0, 30.0, 35.0, 35.0),
    ratio=(1.5, 2.0, 2.0, 2.5, 3.0),
    knee_db_spl=(50.0, 48.0, 45.0, 42.0, 40.0),
)
EDGE = 10 ** (1 / 80)


def tone_pa(frequency_hz, level_db_spl, seconds=1.0):
    amplitude = np.sqrt(2) * 2e-5 * 10 ** (level_db_spl / 20)
    return amplitude * np.sin(2 * np.pi * frequency_hz * np.arange(round(seconds * RATE_HZ)) / RATE_HZ)


def harmonics_pa(aid, frequency_hz, level_db_spl):
    """Amplitudes of three harmonics in the last half second."""
    drive = aid.process(tone_pa(frequency_hz, level_db_spl), RATE_HZ, np.random.default_rng(0)).drive_pa[24000:]
    spectrum = np.abs(np.fft.rfft(drive)) * 2 / drive.size
    return spectrum[[round(n * frequency_hz * drive.size / RATE_HZ) for n in (1, 2, 3)]]


def db_spl(amplitude_pa):
    return 20 * np.log10(amplitude_pa / np.sqrt(2) / 2e-5)


@pytest.mark.parametrize(
    ("frequency_hz", "ratio"), [(300.0, 1.5), (720.0, 2.0), (1420.0, 2.0), (2840.0, 2.5), (6000.0, 3.0)]
)
def test_compression_ratio_from_tones(frequency_hz, ratio):
    outputs = [db_spl(harmonics_pa(AID, frequency_hz, level)[0]) for level in (60.0, 80.0)]
    assert 20.0 / (outputs[1] - outputs[0]) == pytest.approx(ratio, rel=0.01)


def test_gain_below_the_knee_is_the_stated_one():
    # mid-band, far from crossovers and bandwidth limits
    assert db_spl(harmonics_pa(AID, 1420.0, 30.0)[0]) - 30.0 == pytest.approx(30.0, abs=0.05)
    assert db_spl(harmonics_pa(AID, 2840.0, 35.0)[0]) - 35.0 == pytest.approx(35.0, abs=0.1)


@pytest.mark.parametrize("frequency_hz", [250.0, 500.0, 1000.0, 1500.0, 3000.0, 7000.0])
@pytest.mark.parametrize("level_db_spl", [50.0, 70.0, 90.0])
def test_steady_tones_have_the_computed_drive(frequency_hz, level_db_spl):
    computed, _ = AID.tone_drive_pa(np.array([frequency_hz]), level_db_spl)
    found = harmonics_pa(AID, frequency_hz, level_db_spl)[0]
    # the fraction of the tone's onset that falls into other bands keeps their gain down for a while: at most 0.3 dB
    assert db_spl(found) == pytest.approx(db_spl(computed[0, 0]), abs=0.3)


def test_bands_with_equal_gain_add_up_to_a_flat_response():
    flat = replace(AID, gain_db=(20.0,) * 5, ratio=(1.0,) * 5, low_hz=1e-3, high_hz=1e6)
    impulse = np.zeros(4800)
    impulse[100] = 1.0
    out = flat.process(impulse, RATE_HZ, np.random.default_rng(0)).drive_pa
    assert int(np.argmax(out)) == 100 + round(0.005 * RATE_HZ)
    # the constant alone is lost
    assert np.abs(np.fft.rfft(out))[1:] == pytest.approx(10.0, rel=1e-6)


LIMITED = replace(AID, ceiling_db_spl=95.0, second_harmonic=0.02, third_harmonic=0.01)


@pytest.mark.parametrize("frequency_hz", [1000.0, 1600.0, 2500.0, 4000.0])
def test_ospl90_from_tones(frequency_hz):
    ceiling_pa = np.sqrt(2) * 2e-5 * 10 ** (95.0 / 20)
    fundamental, second, third = harmonics_pa(LIMITED, frequency_hz, 90.0)
    # at the ceiling the cubic term adds 3 h3 to the fundamental
    assert db_spl(fundamental) == pytest.approx(95.0 + 20 * np.log10(1.03), abs=0.05)
    assert second / ceiling_pa == pytest.approx(0.02, rel=0.02)
    assert third / ceiling_pa == pytest.approx(0.01, rel=0.02)
    computed, limited = LIMITED.tone_drive_pa(np.array([frequency_hz]), 90.0)
    assert limited[0]
    assert [fundamental, second, third] == pytest.approx(computed[:, 0], rel=0.02)


def test_harmonics_fall_with_level_as_their_order_says():
    ratios = []
    for level in (70.0, 90.0):
        fundamental, second, third = harmonics_pa(replace(LIMITED, ceiling_db_spl=115.0), 1000.0, level)
        ratios.append((fundamental, second / fundamental, third / fundamental))
    growth = ratios[1][0] / ratios[0][0]
    assert ratios[1][1] / ratios[0][1] == pytest.approx(growth, rel=0.02)
    assert ratios[1][2] / ratios[0][2] == pytest.approx(growth**2, rel=0.04)


def test_output_of_the_whole_bench_for_tones_is_drive_times_path():
    path = coupler_path("receiver", CouplerKind.HA1)
    levels, limited = tone_output_db_spl(LIMITED, 90.0, path)
    assert limited[36]
    expected = 95.0 + 20 * np.log10(1.03) + path.band_db()[36]
    assert levels[36] == pytest.approx(expected, abs=1e-6)


def plain_band_db_spl(samples_pa, centre_hz):
    power = np.abs(np.fft.rfft(samples_pa)) ** 2 * 2 / samples_pa.size**2
    frequency_hz = np.fft.rfftfreq(samples_pa.size, 1 / RATE_HZ)
    inside = (frequency_hz >= centre_hz / EDGE) & (frequency_hz < centre_hz * EDGE)
    return 10 * np.log10(np.sum(power[inside]) / 4e-10)


@pytest.fixture(scope="module")
def speech():
    return speech_like(np.random.default_rng(5), duration_s=5.0)


NOISY = replace(AID, noise=NoiseFloor(level_dba=35.0))


def test_noise_in_silence_is_input_noise_times_gain():
    quiet = NOISY.process(np.zeros(480_000), RATE_HZ, np.random.default_rng(1))
    # below every knee: white noise of known density times the gain of the band
    density = NOISY.noise.density_pa2(np.array([1412.5]))[0]
    for k in (42, 54):
        centre_hz = TWELFTH_OCTAVE_HZ[k]
        gain_db = (30.0, 35.0)[k == 54]
        expected = 10 * np.log10(density * centre_hz * (EDGE - 1 / EDGE) / 4e-10) + gain_db
        assert plain_band_db_spl(quiet.drive_pa, centre_hz) == pytest.approx(expected, abs=0.6)
        stated = 10 * np.log10(quiet.noise_density_pa2[k] * centre_hz * (EDGE - 1 / EDGE) / 4e-10)
        assert stated == pytest.approx(expected, abs=0.15)


def test_noise_under_speech_is_turned_down_with_the_gain(speech):
    quiet = NOISY.process(np.zeros(240_000), RATE_HZ, np.random.default_rng(1))
    busy = NOISY.process(speech.pascals(75.0), RATE_HZ, np.random.default_rng(1))
    step_db = 10 * np.log10(busy.noise_density_pa2 / quiet.noise_density_pa2)
    assert np.all(step_db[8:70] < -2.0)
    assert np.min(step_db) < -5.0


def test_difference_of_repeats_shows_the_stated_noise(speech):
    bench = AidOnBench(aid=NOISY, level_db_spl=65.0, repeats=2)
    path = coupler_path("receiver", CouplerKind.CC04)
    chain = replace(coupler_microphone(), noise=None)
    take = play_aid(bench, speech, path, chain, np.random.default_rng(6)) * chain.true_pa_per_full_scale
    half = take.size // 2
    noise = (take[:half] - take[half:]) / np.sqrt(2)
    stated = played_levels(bench, speech, {"cc04": path}, np.random.default_rng(7))["cc04"]
    for k in (30, 42, 54, 64):
        assert plain_band_db_spl(noise, TWELFTH_OCTAVE_HZ[k]) == pytest.approx(stated.noise_db_spl[k], abs=1.0)


def test_signal_level_is_total_less_noise(speech):
    bench = AidOnBench(aid=NOISY, level_db_spl=65.0, repeats=2)
    path = coupler_path("receiver", CouplerKind.CC04)
    chain = coupler_microphone().perfect()
    take = play_aid(bench, speech, path, chain, np.random.default_rng(6)) * chain.true_pa_per_full_scale
    stated = played_levels(bench, speech, {"cc04": path}, np.random.default_rng(7))["cc04"]
    for k in (20, 36, 48, 60):
        total = 10 ** (plain_band_db_spl(take, TWELFTH_OCTAVE_HZ[k]) / 10)
        signal_db = 10 * np.log10(total - 10 ** (stated.noise_db_spl[k] / 10))
        assert signal_db == pytest.approx(stated.signal_db_spl[k], abs=0.15)


def test_without_noise_repeats_are_alike(speech):
    bench = AidOnBench(aid=AID, level_db_spl=75.0, repeats=2)
    take = play_aid(
        bench,
        speech,
        coupler_path("receiver", CouplerKind.HA1),
        coupler_microphone().perfect(),
        np.random.default_rng(0),
    )
    first, second = take.reshape(2, -1)
    residual_db = 20 * np.log10(np.std(first - second) / np.std(first))
    assert residual_db < -60.0  # the lead-in has settled the gains


def test_sweep_through_a_linear_aid_gives_its_gain():
    linear = replace(AID, ratio=(1.0,) * 5)
    sweep = exponential_sweep()
    path = coupler_path("receiver", CouplerKind.HA1)
    chain = coupler_microphone().perfect()
    bench = AidOnBench(aid=linear, level_db_spl=60.0, repeats=2)
    take = play_aid(bench, sweep, path, chain, np.random.default_rng(0)) * chain.true_pa_per_full_scale
    period = take.reshape(2, -1)[1]
    response = np.fft.rfft(period) / np.fft.rfft(sweep.pascals(60.0))
    expected = np.abs(path.at_bins(60000, RATE_HZ)) * np.sum(
        linear.band_weights(np.fft.rfftfreq(60000, 1 / RATE_HZ)) * 10 ** (np.array(linear.gain_db)[:, None] / 20),
        axis=0,
    )
    inside = slice(157, 10001)  # 125 Hz to 8 kHz
    assert 20 * np.log10(np.abs(response[inside]) / expected[inside]) == pytest.approx(0.0, abs=0.01)


def test_microphone_location_moves_the_input():
    sweep = exponential_sweep()
    plain = AidOnBench(aid=AID, level_db_spl=65.0)
    worn = replace(plain, microphone_location_db=((500.0, 0.0), (2000.0, 6.0)))
    ratio = np.abs(
        np.fft.rfft(worn.heard_pa(sweep)[0][48000:108000]) / np.fft.rfft(plain.heard_pa(sweep)[0][48000:108000])
    )
    at = [round(f * 1.25) for f in (250, 500, 1000, 2000, 4000)]
    assert 20 * np.log10(ratio[at]) == pytest.approx([0.0, 0.0, 3.0, 6.0, 6.0], abs=0.01)


def test_same_seed_same_take(speech):
    bench = AidOnBench(aid=NOISY, level_db_spl=55.0, repeats=1)
    path = coupler_path("receiver", CouplerKind.HA1)
    first, second = (play_aid(bench, speech, path, coupler_microphone(), np.random.default_rng(8)) for _ in range(2))
    assert np.array_equal(first, second)


def test_settings_that_do_not_belong_together_are_refused():
    with pytest.raises(InputError, match="4 crossovers meet 4 gains"):
        replace(AID, gain_db=(1.0, 2.0, 3.0, 4.0))
    with pytest.raises(InputError, match="whole number of milliseconds"):
        AID.process(np.zeros(4801), RATE_HZ, np.random.default_rng(0))
