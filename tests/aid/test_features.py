"""Feature checks on signals whose noise reduction, directivity, lowering and loop gain are known."""

from dataclasses import replace

import numpy as np
import pytest
from aid_parts import CAL, EXACT, RATE_HZ, amplitude_fs, conditions, curve, noise_fs, recording, settings, tags

from umbo.aid import (
    Feature,
    Settings,
    StimulusKind,
    Switch,
    Volume,
    feedback_margin,
    frequency_lowering,
    fricative_bands,
    fricative_edges_hz,
    front_back,
    gain_of,
    highest_audible,
    noise_against_speech,
    noise_reduction,
    speech_kept,
)
from umbo.calibration import PressureSpectrum
from umbo.core import Grid, Outcome, Plane, PointState
from umbo.curves import range_levels
from umbo.errors import InputError, OutOfRangeError, RecordingError

OFF = settings(Volume.AS_FITTED, name="fitted")
ON = settings(Volume.AS_FITTED, name="fitted_noise_reduction", noise_reduction="on")
THIRD = Grid.third_octave()


def noise_conditions(set_to):
    return conditions(StimulusKind.NOISE, 65.0, set_to=set_to)


SIZE = int(16 * RATE_HZ)
DETECTION_S, TAU_S = 1.0, 2.0


def reduced(depth_db, onset_s=0.5):
    """A gain that falls exponentially in decibels after a detection time."""
    after = np.maximum(np.arange(SIZE) / RATE_HZ - onset_s - DETECTION_S, 0.0)
    return 10 ** (-depth_db * (1 - np.exp(-after / TAU_S)) / 20)


def pair(rng, depth_db, microphone_db=45.0):
    sound = noise_fs(95.0, SIZE, rng)
    sound[: int(0.5 * RATE_HZ)] = 0.0
    takes = [gain * sound + noise_fs(microphone_db, SIZE, rng) for gain in (1.0, reduced(depth_db))]
    return recording(takes[0], "off"), recording(takes[1], "on")


def found_in(off, on, without=OFF, within=ON, background=None):
    return noise_reduction(
        off, noise_conditions(without), on, noise_conditions(within), CAL, onset_s=0.5, background=background,
        tags=tags("noise", stimulus="noise"),
    )  # fmt: skip


def test_depth_and_time_of_noise_reduction(show):
    """12 random depths: within 0.5 dB, the time within two frames."""
    rng = np.random.default_rng(4)
    errors, times, covered = [], [], []
    for _ in range(12):
        depth = rng.uniform(3, 12)
        found = found_in(*pair(rng, depth))
        # from 10 s on, the mean of depth (1 - exp(-(t - 1) / 2)) to 15 s falls short by this
        short = depth * TAU_S * (np.exp(-9 / TAU_S) - np.exp(-14 / TAU_S)) / 5
        errors.append(found.check.value - (depth - short))
        covered.append(abs(errors[-1]) <= 2 * found.check.u + 0.02)
        inside = found.course.time_known & (THIRD.frequency_hz > 900) & (THIRD.frequency_hz < 6000)
        times.append(np.median(found.course.time_63_s[inside]) - (DETECTION_S + TAU_S))
        assert found.check.outcome is Outcome.PASS
        assert found.depth.value_at(1000) == pytest.approx(depth, abs=0.5)
    show(f"depth rms error {np.std(errors):.3f} dB, time {np.mean(times):+.3f} s, covered {np.mean(covered):.2f}")
    assert np.max(np.abs(errors)) < 0.5
    assert np.max(np.abs(times)) < 0.2
    assert "63 % of it after 3" in found.check.sentence


def test_the_mean_course_is_that_of_sixteen_third_octaves():
    """200 Hz to 6.3 kHz: 16 dB in one of these bands are 1 dB of the mean, and outside them nothing; by hand."""
    found = found_in(*pair(np.random.default_rng(7), 8.0))
    # 8 dB (1 - exp(-(t - 1 s) / 2 s)) by construction: 5.06 dB at 3 s
    at_3_s = found.mean_course_db[np.argmin(np.abs(found.course.time_s - 3.0))]
    assert at_3_s == pytest.approx(8.0 * (1 - np.exp(-1)), abs=0.5)
    for hz, share in ((160.0, 0.0), (200.0, 1.0), (1000.0, 1.0), (6300.0, 1.0), (8000.0, 0.0)):
        near = np.argmin(np.abs(np.log(THIRD.frequency_hz / hz)))
        only = np.zeros_like(found.course.reduction_db)
        only[near] = 16.0
        alone = replace(found, course=replace(found.course, reduction_db=only))
        assert alone.mean_course_db == pytest.approx(np.full(only.shape[1], share)), hz


def test_noise_reduction_that_is_not_there_fails():
    found = found_in(*pair(np.random.default_rng(5), 0.0))
    assert found.check.outcome is Outcome.FAIL
    assert found.check.value == pytest.approx(0.0, abs=0.05)
    assert "enabled" in found.check.action


UNKNOWN = Settings("x", Volume.AS_FITTED, {})


@pytest.mark.parametrize(
    ("without", "within", "reason"),
    [
        (ON, ON, "the noise reduction was on, and this test needs it off"),
        (OFF, UNKNOWN, "whether the noise reduction was on is not known"),
        (
            OFF,
            settings(Volume.AS_FITTED, noise_reduction="on", directional="on"),
            "the directional microphone was not in the same state in both runs",
        ),
    ],
)
def test_unknown_or_other_states_give_no_verdict(without, within, reason):
    check = found_in(*pair(np.random.default_rng(5), 6.0), without, within).check
    assert check.outcome is Outcome.CANNOT_TELL
    assert reason in check.sentence
    assert check.value == pytest.approx(6.0, abs=0.3)  # the number is told, the verdict is not


def test_bands_near_the_microphone_s_noise_do_not_count():
    off, on = pair(np.random.default_rng(6), 12.0)
    high = THIRD.frequency_hz > 2000
    found = found_in(off, on, background=curve(np.where(high, 100.0, 20.0), THIRD))
    assert found.depth.state_at(4000) is PointState.BELOW_NOISE
    assert found.depth.state_at(1000) is PointState.OK
    assert found.check.value == pytest.approx(12.0, abs=0.3)
    with pytest.raises(RecordingError, match="0 bands count"):
        found_in(off, on, background=curve(100.0, THIRD))


def test_runs_of_different_length_are_refused():
    off, on = pair(np.random.default_rng(6), 6.0)
    with pytest.raises(RecordingError, match="record the same noise for the same time"):
        found_in(off, recording(on.samples_fs[:-4800], "on"))


def speech(level, **kind):
    return curve(level, THIRD, quantity="speech", stimulus="speech", **kind)


@pytest.mark.parametrize(("loss", "outcome"), [(1.5, Outcome.PASS), (3.0, Outcome.FAIL), (-0.5, Outcome.PASS)])
def test_speech_is_kept(loss, outcome):
    own = (conditions(StimulusKind.SPEECH, 65.0, set_to=OFF), conditions(StimulusKind.SPEECH, 65.0, set_to=ON))
    check = speech_kept(speech(90.0), own[0], speech(90.0 - loss), own[1])
    assert check.value == pytest.approx(loss)
    assert check.outcome is outcome
    swapped = speech_kept(speech(90.0), own[1], speech(90.0), own[0])
    assert swapped.outcome is Outcome.CANNOT_TELL


def test_noise_against_speech_needs_a_linear_aid():
    def gain(level, kind):
        return gain_of(curve(level, THIRD), conditions(kind, 65.0, set_to=ON))

    speech_gain, noise_gain = gain(95.0, StimulusKind.SPEECH), gain(89.0, StimulusKind.NOISE)
    check = noise_against_speech(
        speech_gain, conditions(StimulusKind.SPEECH, 65.0, set_to=ON), noise_gain, noise_conditions(ON)
    )
    assert check.value == pytest.approx(6.0)
    assert check.u == 0.0  # box and microphone are the same
    assert check.outcome is Outcome.PASS
    compressive = settings(Volume.AS_FITTED, noise_reduction="on", compression="on")
    no = noise_against_speech(
        speech_gain,
        conditions(StimulusKind.SPEECH, 65.0, set_to=compressive),
        noise_gain,
        noise_conditions(compressive),
    )
    assert no.outcome is Outcome.CANNOT_TELL
    assert "the compression was on" in no.sentence


def directional(difference, state="on", u_db=0.0, **states):
    own = conditions(StimulusKind.NOISE, 65.0, set_to=settings(Volume.AS_FITTED, directional=state, **states))
    back = curve(90.0, THIRD, quantity="back", u_db=u_db)
    return front_back(curve(90.0 + difference, THIRD, quantity="front", u_db=u_db), back, own, own)


def test_directionality_of_the_scenario():
    """S8: right +8 dB passes, left -4 dB has reversed or blocked ports."""
    right, left = directional(8.0), directional(-4.0)
    assert right.outcome is Outcome.PASS
    assert left.outcome is Outcome.FAIL
    assert "the ports are reversed or one is blocked" in left.sentence
    assert "reversed" not in directional(2.0).sentence
    assert directional(2.0).outcome is Outcome.FAIL


def test_directionality_depends_on_the_declared_state():
    assert directional(2.0, "off").outcome is Outcome.PASS
    assert directional(8.0, "off").outcome is Outcome.FAIL
    unknown = directional(8.0, "unknown")
    assert unknown.outcome is Outcome.CANNOT_TELL
    assert "no verdict: whether the directional microphone was on or off is not known" in unknown.sentence
    assert directional(8.0, noise_reduction="on").outcome is Outcome.CANNOT_TELL
    assert directional(4.5, u_db=1.0).outcome is Outcome.CANNOT_TELL
    low = 90.0 + 8.0 * (THIRD.frequency_hz >= 900) - 20 * (THIRD.frequency_hz < 900)  # only the middle counts
    own = conditions(StimulusKind.NOISE, 65.0, set_to=settings(Volume.AS_FITTED, directional="on"))
    assert front_back(curve(low, THIRD), curve(90.0, THIRD), own, own).value == pytest.approx(8.0)
    dead = curve(90.0, THIRD).marked(PointState.BELOW_NOISE, np.ones(THIRD.size, bool), "too quiet")
    with pytest.raises(InputError, match="no usable point lies between"):
        front_back(dead, curve(90.0, THIRD), own, own)


def test_highest_audible_frequency_of_a_corner_audiogram():
    """S6: margins 21.5/24.5/17.0 dB at 250, 500 and 1000 Hz, at most -7.5 at 2 kHz where there was no response."""
    grid = Grid.tones([250.0, 500.0, 1000.0, 2000.0, 4000.0])
    sound = curve(np.array([115.0, 120.0, 128.0, 124.0, 110.0]), grid, plane=Plane.eardrum())
    threshold = curve(np.array([93.5, 95.5, 111.0, 131.5, 134.0]), grid, plane=Plane.eardrum())
    threshold = threshold.marked(PointState.WITHDRAWN, grid.frequency_hz >= 2000, "no response")
    found = highest_audible(sound, threshold)
    assert found.frequency_hz == pytest.approx(1000 * 2 ** (17 / 24.5))
    assert found.frequency_hz <= 1620  # "at most 1.6 kHz"
    assert not found.is_bound
    assert found.low_hz <= found.frequency_hz <= found.high_hz
    silent = highest_audible(curve(0.0, grid, plane=Plane.eardrum()), threshold)
    assert silent.frequency_hz is None
    loud = highest_audible(curve(120.0, THIRD), curve(50.0, THIRD))
    assert loud.is_bound
    assert "at least" in loud.sentence


def fricative(low_hz, high_hz, level=80.0, **kind):
    hz = THIRD.frequency_hz
    slope = 30 * (np.maximum(np.log2(low_hz / hz), 0) + np.maximum(np.log2(hz / high_hz), 0))
    return curve(level - slope, THIRD, quantity="fricative", stimulus="noise", **kind)


LOWERED = settings(Volume.AS_FITTED, name="fitted_lowering", frequency_lowering="on")


def lowering(before, after, off=OFF, on=LOWERED):
    return frequency_lowering(before, noise_conditions(off), after, noise_conditions(on))


def test_lowering_moves_the_edge_and_the_bands():
    cc04 = Plane.coupler("cc04")
    found = lowering(fricative(5000, 9000, plane=cc04), fricative(3000, 4500, plane=cc04))
    # 30 dB an octave: the edge, 20 dB down, lies 2/3 octave above the corner
    assert found.before.edge_hz == pytest.approx(9000 * 2 ** (2 / 3), rel=0.03)
    assert found.after.edge_hz == pytest.approx(4500 * 2 ** (2 / 3), rel=0.03)
    assert found.check.value == pytest.approx(3.0, abs=0.2)  # an octave is three third octaves
    assert found.check.outcome is Outcome.PASS
    assert found.after.level_db_spl[0] > found.before.level_db_spl[0] + 10
    assert found.after.level_db_spl[3] < found.before.level_db_spl[3] - 20
    assert found.finding.code == "index_with_lowering"
    assert lowering(fricative(5000, 9000, plane=cc04), fricative(5000, 9000, plane=cc04)).check.outcome is Outcome.FAIL


def test_lowering_shows_in_a_2_cc_coupler_by_its_emptied_band():
    ended = THIRD.frequency_hz > 8000 * 1.001
    runs = [
        fricative(5000, high).marked(PointState.OUTSIDE_COUPLER, ended, "defined up to 8 kHz") for high in (12000, 7500)
    ]
    before, after = np.array([70.0, 75.0, 72.0, 70.0]), np.array([71.0, 74.0, 65.0, 50.0])
    found = frequency_lowering(
        runs[0], noise_conditions(OFF), runs[1], noise_conditions(LOWERED), ranges_db_spl=(before, after)
    )
    assert found.before.level_db_spl == (70.0, 75.0, 72.0, None)
    assert found.check.outcome is Outcome.PASS
    assert "the band from 6 to 8 kHz falls by 7.0 dB" in found.check.sentence
    quieter = frequency_lowering(
        runs[0], noise_conditions(OFF), runs[0], noise_conditions(LOWERED), ranges_db_spl=(before, before - 8)
    )
    assert quieter.check.outcome is Outcome.CANNOT_TELL  # everything fell: that is gain, not lowering


def test_range_levels_are_those_of_the_samples():
    time_s = np.arange(int(RATE_HZ)) / RATE_HZ
    samples = amplitude_fs(80.0) * np.sin(2 * np.pi * 3000 * time_s) + amplitude_fs(70.0) * np.sin(
        2 * np.pi * 7000 * time_s
    )
    found = range_levels(recording(samples), EXACT, fricative_edges_hz())
    assert found[[0, 2]] == pytest.approx([80.0, 70.0], abs=0.01)
    assert fricative_edges_hz().tolist() == [2000, 4000, 6000, 8000, 10000]


def test_lowering_of_unknown_state_and_above_the_coupler():
    unknown = lowering(fricative(5000, 7000), fricative(3000, 4500), on=UNKNOWN)
    assert unknown.check.outcome is Outcome.CANNOT_TELL
    assert unknown.finding is None
    ended = THIRD.frequency_hz > 8000 * 1.001

    def cut(level):
        return level.marked(PointState.OUTSIDE_COUPLER, ended, "defined up to 8 kHz")

    same = lowering(cut(fricative(5000, 12000)), cut(fricative(5000, 12000)))
    assert same.before.level_db_spl[3] is None
    assert "does not show where the sound was before" in same.check.sentence
    with pytest.raises(InputError, match=r"use the 0\.4 cc coupler"):
        fricative_bands(fricative(5000, 9000).marked(PointState.BELOW_NOISE, np.ones(22, bool), "too quiet"))


def test_band_levels_of_a_flat_spectrum():
    """Third octaves of 80 dB: an octave from 2 to 4 kHz holds three, 4.77 dB more (closed form)."""
    found = fricative_bands(curve(80.0, THIRD, plane=Plane.coupler("cc04")))
    assert found.level_db_spl[0] == pytest.approx(80 + 10 * np.log10(10 * np.log10(2)), abs=0.01)
    assert found.level_db_spl[3] == pytest.approx(80 + 10 * np.log10(10 * np.log10(10 / 8)), abs=0.01)


def spectrum(loop, delay_s=0.006):
    hz = np.arange(100.0, 10000.0, 2.0)
    gain = loop * np.exp(-((np.log2(hz / 3000)) ** 2))
    power = 1e-2 * 10 ** (6 * np.exp(-((np.log2(hz / 1600) / 0.4) ** 2)) / 10)
    return PressureSpectrum(
        take="sweep", frequency_hz=hz, power_pa2=power / np.abs(1 - gain * np.exp(-2j * np.pi * hz * delay_s)) ** 2,
        noise_power_pa2=None, harmonics={}, independent_per_hz=1.0, repeats=1, used=1, start_hz=100.0, stop_hz=10000.0,
        calibration=EXACT,
    )  # fmt: skip


@pytest.mark.parametrize(("loop", "outcome"), [(0.2, Outcome.PASS), (0.75, Outcome.CANNOT_TELL)])
def test_feedback_margin(loop, outcome):
    check = feedback_margin(spectrum(loop), conditions())
    assert check.value == pytest.approx(-20 * np.log10(loop), abs=1.5)
    assert check.outcome is outcome
    assert "6.0 ms" in check.sentence


def test_feedback_margin_with_an_unknown_canceller_or_a_short_sweep():
    unknown = conditions(set_to=Settings("x", Volume.AS_FITTED, {Feature.DIRECTIONAL: Switch.OFF}))
    assert feedback_margin(spectrum(0.2), unknown).outcome is Outcome.CANNOT_TELL
    short = replace(spectrum(0.2), stop_hz=400.0)
    none = feedback_margin(spectrum(0.0), conditions())
    assert (none.value, none.outcome) == (30.0, Outcome.PASS)
    assert none.sentence.startswith("No ripple of a feedback loop stands out")
    with pytest.raises(OutOfRangeError, match="look for feedback"):
        feedback_margin(short, conditions())


def test_levels_of_the_helpers_are_what_they_say():
    """The synthetic signals by plain numpy: a tone of 94 dB has 1 Pa rms, noise of 95 dB has 1.125 Pa."""
    assert amplitude_fs(93.9794) * EXACT.pa_per_full_scale / np.sqrt(2) == pytest.approx(1.0, rel=1e-5)
    sound = noise_fs(95.0, 480000, np.random.default_rng(1)) * EXACT.pa_per_full_scale
    assert 20 * np.log10(np.sqrt(np.mean(sound**2)) / 20e-6) == pytest.approx(95.0, abs=0.05)
