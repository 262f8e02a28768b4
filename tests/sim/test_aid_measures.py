"""Truths of the data sheet and of the dynamics, each against a plain measurement of the noiseless sound."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from umbo.core import CouplerKind
from umbo.errors import InputError
from umbo.sim import (
    AidOnBench,
    NoiseFloor,
    VirtualAid,
    coupler_path,
    distortion_percent,
    equivalent_noise,
    exponential_sweep,
    hfa,
    level_steps,
    output_db_spl,
    random_aid,
    range_hz,
    reference_volume_db,
    settings_of,
    step_times_s,
)

RATE_HZ = 48000
PATH = coupler_path("receiver", CouplerKind.HA1)
HFA_HZ = (1000.0, 1600.0, 2500.0)  # ANSI S3.22, from memory


def tone_pa(frequency_hz, level_db_spl, seconds=1.0):
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return np.sqrt(2) * 2e-5 * 10 ** (level_db_spl / 20) * np.sin(2 * np.pi * frequency_hz * time_s)


def at_coupler(aid, pressure_pa, path=PATH):
    """Noiseless output at the coupler microphone."""
    drive = replace(aid, noise=None).process(pressure_pa, RATE_HZ, np.random.default_rng(0)).drive_pa
    return np.fft.irfft(np.fft.rfft(drive) * path.at_bins(drive.size, RATE_HZ), n=drive.size)


def harmonics_db_spl(aid, frequency_hz, level_db_spl):
    """Levels of three harmonics in the last half second."""
    sound = at_coupler(aid, tone_pa(frequency_hz, level_db_spl))[24000:]
    amplitude = np.abs(np.fft.rfft(sound)) * 2 / sound.size
    return 20 * np.log10(amplitude[[round(n * frequency_hz / 2) for n in (1, 2, 3)]] / np.sqrt(2) / 2e-5)


def set_aids(seed):
    aid = random_aid(np.random.default_rng(seed))
    full_on = settings_of("full_on").applied(aid, 0.0)
    return aid, full_on, reference_volume_db(full_on, PATH)


@pytest.mark.parametrize("seed", range(6))
def test_data_sheet_of_random_aids_by_tones(seed):
    aid, full_on, volume_db = set_aids(seed)
    loud, soft = (AidOnBench(aid=full_on, level_db_spl=level) for level in (90.0, 50.0))
    for how in (loud, soft):
        by_tones = [harmonics_db_spl(full_on, f, how.level_db_spl)[0] for f in HFA_HZ]
        assert hfa(how, PATH) == pytest.approx(np.mean(by_tones), abs=0.05)
    for frequency_hz in (250.0, 4000.0):
        found = output_db_spl(loud, PATH, np.array([frequency_hz]))[0]
        # at a crossover the start of the tone in the other band still presses the limiter down: up to 0.1 dB
        assert found == pytest.approx(harmonics_db_spl(full_on, frequency_hz, 90.0)[0], abs=0.1)
    reference = settings_of("reference").applied(aid, volume_db)
    gain_db = np.mean([harmonics_db_spl(reference, f, 60.0)[0] for f in HFA_HZ]) - 60.0
    if volume_db < 0.0:  # ANSI S3.22, from memory: HFA-OSPL90 less 77 dB
        assert gain_db == pytest.approx(hfa(loud, PATH) - 77.0, abs=0.05)
    else:
        assert gain_db <= hfa(loud, PATH) - 77.0 + 0.05


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("frequency_hz", "level_db_spl"), [(500.0, 70.0), (800.0, 70.0), (1600.0, 65.0)])
def test_distortion_by_tones(seed, frequency_hz, level_db_spl):
    aid, _, volume_db = set_aids(seed)
    reference = settings_of("reference").applied(aid, volume_db)
    first, second, third = 10 ** (harmonics_db_spl(reference, frequency_hz, level_db_spl) / 20)
    found = distortion_percent(AidOnBench(aid=reference, level_db_spl=level_db_spl), PATH, np.array([frequency_hz]))
    expected = 100 * np.hypot(second, third) / first
    assert found["total"][0] == pytest.approx(expected, rel=0.01, abs=0.002)
    assert found["second"][0] == pytest.approx(100 * second / first, rel=0.01, abs=0.002)


@pytest.mark.parametrize("kind", [CouplerKind.HA2, CouplerKind.CC04, CouplerKind.OES])
def test_output_in_other_couplers_by_tones(kind):
    path = coupler_path("receiver", kind)
    _, full_on, _ = set_aids(3)
    for frequency_hz in (500.0, 2000.0, 6000.0):
        sound = at_coupler(full_on, tone_pa(frequency_hz, 90.0), path)[24000:]
        amplitude = np.abs(np.fft.rfft(sound))[round(frequency_hz / 2)] * 2 / sound.size
        found = output_db_spl(AidOnBench(aid=full_on, level_db_spl=90.0), path, np.array([frequency_hz]))[0]
        assert found == pytest.approx(20 * np.log10(amplitude / np.sqrt(2) / 2e-5), abs=0.1)


@pytest.mark.parametrize("seed", [1, 2])
def test_noise_by_a_recording_of_silence(seed):
    aid, _, volume_db = set_aids(seed)
    reference = settings_of("reference").applied(aid, volume_db)
    found = equivalent_noise(reference, PATH, np.random.default_rng(1), RATE_HZ)
    drive = reference.process(np.zeros(10 * RATE_HZ), RATE_HZ, np.random.default_rng(2)).drive_pa
    power = np.abs(np.fft.rfft(drive) * PATH.at_bins(drive.size, RATE_HZ)) ** 2 * 2 / drive.size**2
    frequency_hz = np.fft.rfftfreq(drive.size, 1 / RATE_HZ)
    inside = (frequency_hz >= 200.0) & (frequency_hz < 5000.0)
    output = 10 * np.log10(power[inside].sum() / 4e-10)
    assert found.output_db_spl == pytest.approx(output, abs=0.2)
    gain_db = np.mean([harmonics_db_spl(reference, f, 50.0)[0] for f in HFA_HZ]) - 50.0
    assert found.equivalent_db_spl == pytest.approx(output - gain_db, abs=0.25)


def test_third_octave_noise_of_a_flat_aid_is_the_noise_it_was_given():
    noise = NoiseFloor(level_dba=30.0)
    flat = VirtualAid(
        crossover_hz=(1000.0,), gain_db=(30.0, 30.0), ratio=(1.0, 1.0), knee_db_spl=(50.0, 50.0), noise=noise
    )
    found = equivalent_noise(flat, PATH, np.random.default_rng(3), RATE_HZ).equivalent_third_db_spl
    # white noise has 10 lg (width of the third-octave) more than per hertz
    for place, centre_hz in ((4, 501.19), (7, 1000.0), (11, 2511.9)):
        density_db = 10 * np.log10(noise.density_pa2(np.array([centre_hz]))[0] / 4e-10)
        width_hz = centre_hz * (10**0.05 - 10**-0.05)
        assert found[place] == pytest.approx(density_db + 10 * np.log10(width_hz), abs=0.3)


def test_noise_is_summed_from_200_hz_to_5_khz():
    steep = VirtualAid(
        crossover_hz=(3000.0,),
        gain_db=(0.0, 50.0),
        ratio=(1.0, 1.0),
        knee_db_spl=(50.0, 50.0),
        noise=NoiseFloor(level_dba=30.0),
    )
    found = equivalent_noise(steep, PATH, np.random.default_rng(3), RATE_HZ).output_db_spl
    frequency_hz = np.arange(200.0, 5000.0)
    gain = np.sum(steep.band_weights(frequency_hz) * 10 ** (np.array([[0.0], [50.0]]) / 20), axis=0)
    density = steep.noise.density_pa2(frequency_hz) * (gain * np.abs(PATH.at(frequency_hz))) ** 2
    assert found == pytest.approx(10 * np.log10(np.sum(density) / 4e-10), abs=0.1)


def settling_by_hand_s(course_db, within_db):
    steady = np.median(course_db[-len(course_db) // 4 : -len(course_db) // 20])
    return (np.flatnonzero(np.abs(course_db[: -len(course_db) // 20] - steady) > within_db)[-1] + 1) / RATE_HZ


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("frequency_hz", [500.0, 2000.0])
def test_attack_and_release_by_demodulation(seed, frequency_hz):
    aid, _, volume_db = set_aids(seed)
    dynamic = replace(settings_of("dynamic").applied(aid, volume_db), second_harmonic=0.0, third_harmonic=0.0)
    steps = level_steps(frequency_hz, (55.0, 90.0, 55.0), step_s=1.0)
    found = step_times_s(dynamic, steps)
    drive = at_coupler(dynamic, np.tile(steps.pascals(90.0), 2))[3 * RATE_HZ :]
    drive = np.roll(drive, -round(dynamic.delay_s * RATE_HZ))
    # down to zero frequency, and a mean over two periods of the tone
    turned = drive * np.exp(-2j * np.pi * frequency_hz * np.arange(drive.size) / RATE_HZ)
    window = round(2 * RATE_HZ / frequency_hz)
    envelope_db = 20 * np.log10(np.abs(np.convolve(turned, np.ones(window) / window, "same")))
    _, up, down = envelope_db.reshape(3, -1)
    assert found[0] == pytest.approx(settling_by_hand_s(up, 3.0), abs=2 / frequency_hz + 0.001)
    assert found[1] == pytest.approx(settling_by_hand_s(down, 4.0), abs=2 / frequency_hz + 0.001)


def test_attack_without_a_limiter_has_its_closed_form():
    attack_s = 0.02
    aid = VirtualAid(
        crossover_hz=(700.0,),
        gain_db=(20.0, 20.0),
        ratio=(2.0, 2.0),
        knee_db_spl=(40.0, 40.0),
        attack_s=attack_s,
        release_s=0.06,
    )
    attack, release = step_times_s(aid, level_steps(2000.0, (55.0, 90.0, 55.0)))
    # the overshoot of 17.5 dB decays with the time constant to 3 dB
    assert attack == pytest.approx(attack_s * np.log(17.5 / 3.0), abs=0.0025)
    # 35 dB of detected level fall at 8.69 dB per time constant, down to 8 dB; the smoothing lags by the attack time
    assert release == pytest.approx(27.0 / (20 / np.log(10)) * 0.06 + attack_s, abs=0.004)


def test_steps_that_never_settle_are_refused():
    slow = replace(set_aids(0)[0], release_s=2.0)
    with pytest.raises(InputError, match="play longer steps"):
        step_times_s(slow, level_steps(1000.0, (55.0, 90.0, 55.0), step_s=0.5))
    with pytest.raises(InputError, match="play three level steps"):
        step_times_s(slow, level_steps(1000.0, (55.0, 90.0)))


def test_range_is_where_a_line_is_crossed():
    frequency_hz = np.array([100.0, 200.0, 400.0, 800.0, 1600.0])
    level = np.array([60.0, 80.0, 100.0, 90.0, 70.0])
    low_hz, high_hz = range_hz(frequency_hz, level, 75.0)
    assert low_hz == pytest.approx(100.0 * 2**0.75)
    assert high_hz == pytest.approx(800.0 * 2**0.75)
    assert range_hz(frequency_hz, level, 50.0) == (None, None)


def test_sweep_through_a_limited_aid_reads_what_tones_read():
    aid = replace(set_aids(2)[1], second_harmonic=0.0, third_harmonic=0.0)
    sweep = exponential_sweep(sweep_s=4.0)
    out = at_coupler(aid, np.tile(sweep.pascals(90.0), 2))[sweep.samples_fs.size :]
    spectrum = np.fft.rfft(out) / np.fft.rfft(sweep.pascals(90.0))
    impulse = np.fft.irfft(spectrum, n=out.size)
    impulse[9600:-2400] = 0.0  # the linear part alone
    response = np.abs(np.fft.rfft(impulse))
    centres_hz = np.array([500.0, 1000.0, 2000.0, 4000.0])
    tones_db_spl = output_db_spl(AidOnBench(aid=aid, level_db_spl=90.0), PATH, centres_hz)
    step_hz = RATE_HZ / out.size
    for centre_hz, expected in zip(centres_hz, tones_db_spl, strict=True):
        inside = slice(round(centre_hz / 1.03 / step_hz), round(centre_hz * 1.03 / step_hz))
        assert 90.0 + 10 * np.log10(np.mean(response[inside] ** 2)) == pytest.approx(expected, abs=0.4)
