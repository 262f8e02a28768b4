"""Attack and release from envelopes whose course is a closed form."""

import numpy as np
import pytest

from umbo.dsp import averaging_periods_s, step_response, tone_envelope_power
from umbo.errors import RecordingError

RATE_HZ = 48000.0


def steps(frequency_hz, attack_tau_s, release_tau_s, rng=None, noise=0.0, delay_s=0.005, over_db=14.0, under_db=17.0):
    """A tone at 55, 90, 55 dB (re 1e-5) behind gains that fall and rise exponentially in decibels."""
    time_s = np.arange(int(3 * RATE_HZ)) / RATE_HZ - delay_s
    level = np.full(time_s.size, 80.0)
    up, down = (time_s >= 1) & (time_s < 2), time_s >= 2
    level[up] = 97.0 + over_db * np.exp(-(time_s[up] - 1) / attack_tau_s)
    level[down] = 80.0 - under_db * np.exp(-(time_s[down] - 2) / release_tau_s)
    out = np.sqrt(2) * 1e-5 * 10 ** (level / 20) * np.sin(2 * np.pi * frequency_hz * time_s + 0.3)
    if rng is not None:
        out = out + noise * rng.standard_normal(out.size)
    return out


def times(samples, frequency_hz):
    window = averaging_periods_s(frequency_hz, 0.001)
    envelope = tone_envelope_power(samples, RATE_HZ, frequency_hz, averaging_s=window)
    common = {"averaging_s": window, "search_s": 0.05}
    attack = step_response(envelope, RATE_HZ, start_s=0, step_s=1, stop_s=2, within_db=3, **common)
    release = step_response(envelope, RATE_HZ, start_s=1, step_s=2, stop_s=3, within_db=4, **common)
    return attack, release


@pytest.mark.parametrize("frequency_hz", [250.0, 500.0, 1000.0, 2000.0, 4000.0])
@pytest.mark.parametrize(("attack_tau", "release_tau"), [(0.002, 0.05), (0.005, 0.08), (0.03, 0.2)])
def test_times_without_noise(frequency_hz, attack_tau, release_tau):
    """14 dB of overshoot falls to 3 dB after tau ln(14/3); 17 dB of undershoot to 4 dB after tau ln(17/4)."""
    attack, release = times(steps(frequency_hz, attack_tau, release_tau), frequency_hz)
    wanted_attack, wanted_release = attack_tau * np.log(14 / 3), release_tau * np.log(17 / 4)
    assert attack.time_s == pytest.approx(wanted_attack, abs=max(0.002, 0.1 * wanted_attack))
    assert release.time_s == pytest.approx(wanted_release, abs=max(0.002, 0.1 * wanted_release))
    assert attack.steady_db == pytest.approx(97 - 100, abs=0.1)
    assert release.steady_db == pytest.approx(80 - 100, abs=0.3)
    assert attack.at_s == pytest.approx(1.005, abs=0.001)
    assert attack.before_db == pytest.approx(80 - 100, abs=0.05)


def test_linear_aid_has_no_times():
    attack, release = times(steps(2000.0, 0.01, 0.1, over_db=0.0, under_db=0.0), 2000.0)
    assert (attack.time_s, release.time_s) == (0.0, 0.0)
    assert attack.overshoot_db == pytest.approx(0.0, abs=0.3)


def test_a_section_that_is_too_short_shows_as_creep():
    _, release = times(steps(2000.0, 0.005, 0.6), 2000.0)
    assert release.creep_db > 0.5
    assert abs(times(steps(2000.0, 0.005, 0.05), 2000.0)[1].creep_db) < 0.05


def test_uncertainty_covers_the_truth(show):
    """60 random aids in noise: within 10 % or 2 ms, and 2 u covers about 95 %."""
    rng = np.random.default_rng(8)
    good, covered = [], []
    for _ in range(60):
        attack_tau, release_tau = rng.uniform(0.002, 0.02), rng.uniform(0.03, 0.15)
        samples = steps(2000.0, attack_tau, release_tau, rng, noise=0.01)
        for found, wanted in zip(
            times(samples, 2000.0), (attack_tau * np.log(14 / 3), release_tau * np.log(17 / 4)), strict=True
        ):
            good.append(abs(found.time_s - wanted) <= max(0.002, 0.1 * wanted))
            covered.append(abs(found.time_s - wanted) <= 2 * found.time_u_s)
    show(f"within 10 % or 2 ms {100 * np.mean(good):.0f} %, 2 u covers {100 * np.mean(covered):.0f} %")
    assert np.mean(good) > 0.97
    assert np.mean(covered) >= 0.93


def test_envelope_of_a_tone_between_samples_is_flat():
    """44.1 kHz: periods hold fractions of samples; harmonics and a constant drop out."""
    angle = 2 * np.pi * 2000 * np.arange(8820) / 44100
    samples = 0.1 + np.cos(angle) + 0.3 * np.cos(2 * angle)
    envelope = tone_envelope_power(samples, 44100, 2000.0, averaging_s=averaging_periods_s(2000.0, 0.001))
    assert envelope[100:-100] == pytest.approx(0.5, rel=0.02)


def test_window_is_whole_periods():
    assert averaging_periods_s(250.0, 0.001) == pytest.approx(0.004)
    assert averaging_periods_s(2000.0, 0.001) == pytest.approx(0.001)


def test_recordings_that_are_too_short_are_refused():
    with pytest.raises(RecordingError, match="follow the level of a tone"):
        tone_envelope_power(np.ones(10), RATE_HZ, 2000.0, averaging_s=0.001)
    envelope = np.ones(4800)
    with pytest.raises(RecordingError, match="read the step at 1 s"):
        step_response(envelope, RATE_HZ, start_s=0, step_s=1, stop_s=2, averaging_s=0.001, within_db=3, search_s=0.05)


def rung(samples, frequency_hz, length_s=0.04):
    """The same through a filter without delay distortion: it rings before a jump as much as after."""
    time_s = np.arange(-length_s / 2, length_s / 2, 1 / RATE_HZ)
    shape = np.hanning(time_s.size) * np.cos(2 * np.pi * frequency_hz * time_s)
    return np.convolve(samples, shape / (np.sum(np.hanning(time_s.size)) / 2), mode="same")


def test_what_rings_before_the_next_jump_is_not_the_end_of_the_attack():
    """A filter bank of 30 ms that turns the level down before the jump arrives."""
    samples = steps(250.0, 0.03, 0.1)
    samples[int(1.975 * RATE_HZ) : int(2.0 * RATE_HZ)] *= 0.5
    attack, _ = times(samples, 250.0)
    assert attack.time_s == pytest.approx(0.03 * np.log(14 / 3), abs=0.006)


def test_the_jump_is_found_where_it_is_and_not_where_its_ringing_begins():
    attack, _ = times(rung(steps(2000.0, 0.03, 0.1), 2000.0), 2000.0)
    assert attack.at_s == pytest.approx(1.005, abs=0.003)


def test_a_short_burst_of_noise_is_not_the_end_of_the_release():
    samples = steps(2000.0, 0.01, 0.1)
    late = slice(int(2.7 * RATE_HZ), int(2.7 * RATE_HZ) + 20)
    samples[late] *= 0.1
    _, release = times(samples, 2000.0)
    assert release.time_s == pytest.approx(0.1 * np.log(17 / 4), abs=0.015)
