"""Equivalent input noise from noise with a known density, through a known gain."""

import numpy as np
import pytest
from aid_parts import CAL, EXACT, HA1, RATE_HZ, conditions, curve, noise_fs, recording, settings, tags

from umbo.aid import HFA_HZ, StimulusKind, gain_of, input_noise
from umbo.core import Grid, Plane, PointState
from umbo.curves import steady_noise
from umbo.errors import InputError, PlaneMismatchError

SILENCE = conditions(StimulusKind.SILENCE, None)
GAIN_CONDITIONS = conditions(input_db_spl=50.0, u=0.0)
SIZE = int(4 * RATE_HZ)


def flat_gain(gain_db=40.0, calibration=EXACT):
    return gain_of(curve(50.0 + gain_db, calibration=calibration), GAIN_CONDITIONS)


def read(rng, aid_db, microphone_db=None, calibration=EXACT):
    """Aid noise of this overall level (white to 24 kHz) over microphone noise; the background is measured apart."""
    if microphone_db is None:
        return steady_noise(
            recording(noise_fs(aid_db, SIZE, rng)),
            calibration,
            background=None,
            plane=HA1,
            tags=tags(stimulus="silence"),
        )
    take = noise_fs(aid_db, SIZE, rng) + noise_fs(microphone_db, SIZE, rng)
    behind = recording(noise_fs(microphone_db, SIZE, rng), "background")
    return steady_noise(recording(take), calibration, background=behind, plane=HA1, tags=tags(stimulus="silence"))


def in_band(level_db):
    """Part of a white noise to 24 kHz that lies from 200 Hz to 5 kHz."""
    return level_db + 10 * np.log10((5000 - 200) / 24000)


def test_input_noise_is_recovered(show):
    """60 draws: within 1 dB, 2 u covers about 95 %."""
    rng = np.random.default_rng(3)
    truth = in_band(72.0) - 40.0
    errors, covered, bands = [], [], []
    for _ in range(60):
        found = input_noise(read(rng, 72.0, 66.0).level, flat_gain(), SILENCE)
        errors.append(found.total.value - truth)
        covered.append(abs(errors[-1]) <= 2 * found.total.u)
        wide = 10**0.05 - 10**-0.05
        expected = 72.0 + 10 * np.log10(found.bands.frequency_hz * wide / 24000) - 40.0
        inside = found.bands.states.is_usable
        bands.append((np.abs(found.bands.level_db - expected) <= 2 * found.bands.u_db + 0.06)[inside])
    show(f"EIN rms error {np.std(errors):.2f} dB, 2 u covers {100 * np.mean(covered):.0f} %")
    assert np.max(np.abs(errors)) < 1.0
    assert np.mean(covered) >= 0.9
    assert 0.92 <= np.mean(np.concatenate(bands)) <= 0.99
    assert found.bands.plane == Plane.aid_microphone()
    assert found.total.doubt == ""
    assert found.findings == ()


def test_hfa_gain_counts_not_the_gain_of_each_band():
    rng = np.random.default_rng(4)
    hz = Grid.twelfth_octave().frequency_hz
    gain = 40 + 6 * np.log2(hz / 1000)
    found = input_noise(read(rng, 72.0, 50.0).level, gain_of(curve(50 + gain), GAIN_CONDITIONS), SILENCE)
    hfa = 40 + np.mean([6 * np.log2(f / 1000) for f in HFA_HZ])
    assert found.total.value == pytest.approx(in_band(72.0) - hfa, abs=0.3)
    assert found.bands.value_at(4000) == pytest.approx(
        72 + 10 * np.log10(3981 * (10**0.05 - 10**-0.05) / 24000) - 52, abs=0.5
    )


def test_calibration_of_the_coupler_microphone_cancels():
    rng = np.random.default_rng(5)
    found = input_noise(read(rng, 72.0, 50.0, CAL).level, flat_gain(calibration=CAL), SILENCE)
    assert found.total.u < 0.1  # CAL alone is 0.2 dB


def test_microphone_noise_that_is_not_known_stays_in_and_is_told():
    level = read(np.random.default_rng(6), 72.0).level
    assert level.state_at(1000) is PointState.NOISY
    assert "microphone noise is in it" in level.states.reasons(level.grid.index(1000))[0]


def test_noise_of_the_microphone_alone_is_refused():
    rng = np.random.default_rng(7)
    with pytest.raises(InputError, match="no band of it can be told from the noise of the coupler's microphone"):
        input_noise(read(rng, 40.0, 70.0).level, flat_gain(), SILENCE)


@pytest.mark.parametrize(
    ("states", "codes", "doubt"),
    [
        ({"expansion": "on"}, ["expansion_in_silence"], "the expansion was on, and this test needs it off"),
        ({"expansion": "unknown"}, ["expansion_in_silence"], "whether the expansion was off is not known"),
        ({"compression": "on"}, ["compression_in_silence"], ""),
        ({"noise_reduction": "on"}, ["noise_reduction_in_silence"], ""),
    ],
)
def test_settings_warn(states, codes, doubt):
    own = conditions(StimulusKind.SILENCE, None, set_to=settings(**states))
    found = input_noise(read(np.random.default_rng(8), 72.0, 50.0).level, flat_gain(), own)
    assert [finding.code for finding in found.findings] == codes
    assert found.total.doubt == doubt


def test_gain_that_rises_towards_silence_warns_and_so_does_a_sound():
    noise = read(np.random.default_rng(9), 72.0, 50.0).level
    at_60 = gain_of(curve(60.0 + 38.0), conditions(input_db_spl=60.0))
    found = input_noise(noise, flat_gain(), conditions(StimulusKind.NOISE, 50.0), gain_at_60=at_60)
    assert [finding.code for finding in found.findings] == ["noise_not_in_silence", "gain_rises_in_quiet"]


def test_another_coupler_is_refused():
    noise = read(np.random.default_rng(9), 72.0, 50.0).level
    there = conditions(input_db_spl=50.0, plane=Plane.coupler("cc04"))
    with pytest.raises(PlaneMismatchError, match="measure both in one coupler"):
        input_noise(noise, gain_of(curve(90.0, plane=Plane.coupler("cc04")), there), SILENCE)
