"""Real-ear gains: what belongs together, what cancels, and what is said about a peak, a loss and a reference."""

import numpy as np
import pytest

from umbo.core import Bandwidth, Component, Ear, Grid, Level, Plane, Statistic, Tags, Transfer
from umbo.ear import (
    insertion_gain,
    insertion_loss,
    openness,
    real_ear_gain,
    reference_microphone_finding,
    unaided_response_finding,
)
from umbo.errors import CombinationError, EarMismatchError, PlaneMismatchError, StimulusMismatchError

HZ = np.array([500.0, 1000.0, 2000.0, 2500.0, 3000.0, 4000.0, 6000.0])
TIP, FIELD, REFERENCE = Plane.probe_tip(5.0), Plane.free_field(), Plane.parse("reference_microphone")


def level(values, plane, *, ear=Ear.RIGHT, stimulus="sweep", u=0.0, name="microphone"):
    tags = Tags(quantity="response", ear=ear, stimulus=stimulus, statistic=Statistic.RMS, coupling=None, source=None)
    part = Component(f"cal:{name}", name, np.array([u]), "full", "B", "invented")
    grid = Grid(HZ, Bandwidth.THIRD_OCTAVE)
    return Level.given(grid, values, plane=plane, tags=tags, source="invented", components=[part])


def gain(values, *, start=FIELD, end=TIP, ear=Ear.RIGHT, name="REUG"):
    tags = Tags(quantity=name, ear=ear, stimulus=None, statistic=None, coupling=None, source=None)
    return Transfer.given(Grid(HZ, Bandwidth.THIRD_OCTAVE), values, start=start, end=end, tags=tags, source="invented")


def test_a_gain_is_the_response_less_its_input():
    found = real_ear_gain(level([67, 68, 76, 80, 79, 77, 70], TIP), level([65.0] * 7, FIELD), "REUG")
    assert found.level_db == pytest.approx([2, 3, 11, 15, 14, 12, 5])
    assert (found.start, found.end, found.tags.quantity) == (FIELD, TIP, "REUG")


def test_response_and_input_are_one_stimulus_at_two_places():
    with pytest.raises(StimulusMismatchError):
        real_ear_gain(level([70.0] * 7, TIP), level([65.0] * 7, FIELD, stimulus="noise"), "REAG")
    with pytest.raises(CombinationError):
        real_ear_gain(level([70.0] * 7, TIP), level([65.0] * 7, TIP), "REAG")
    with pytest.raises(EarMismatchError):
        real_ear_gain(level([70.0] * 7, TIP), level([65.0] * 7, FIELD, ear=Ear.LEFT), "REAG")


def test_what_both_runs_share_cancels_in_the_insertion_gain():
    field = level([65.0] * 7, FIELD, u=0.5, name="reference")
    unaided = real_ear_gain(level([70.0] * 7, TIP, u=1.0, name="probe"), field, "REUG")
    aided = real_ear_gain(level([85.0] * 7, TIP, u=1.0, name="probe"), field, "REAG")
    found = insertion_gain(aided, unaided)
    assert found.level_db == pytest.approx([15.0] * 7)
    assert found.u_db == pytest.approx([0.0] * 7)
    assert unaided.u_db == pytest.approx([np.hypot(1.0, 0.5)] * 7)


@pytest.mark.parametrize("form", [insertion_gain, insertion_loss])
def test_the_probe_stays_where_it_is(form):
    with pytest.raises(PlaneMismatchError) as refused:
        form(gain([10.0] * 7, end=Plane.probe_tip(9.0), name="REAG"), gain([5.0] * 7))
    assert "measure both with the probe in one place" in str(refused.value)
    with pytest.raises(PlaneMismatchError, match="refer both to one place in the field"):
        form(gain([10.0] * 7, start=REFERENCE, name="REAG"), gain([5.0] * 7))
    with pytest.raises(EarMismatchError):
        form(gain([10.0] * 7, ear=Ear.LEFT, name="REAG"), gain([5.0] * 7))


@pytest.mark.parametrize(
    ("loss", "word", "at_hz"),
    [
        ([0, 0, -2, -3, -4, -3, -3], "open", 3000.0),
        ([0, 0, -2, -7, -6, -3, -3], "partly open", 2500.0),
        ([-2, -4, -9, -18, -16, -15, -12], "occluding", 2500.0),
        ([2, 1, 1, 1, 1, 1, 1], "open", 1000.0),
    ],
)
def test_how_open_a_fitting_is(loss, word, at_hz):
    found = openness(insertion_loss(gain(loss, name="REOG"), gain([0.0] * 7)))
    assert (found.word, found.at_hz) == (word, at_hz)
    assert found.loss_db == max(-min(loss), 0)


def test_a_withdrawn_point_says_nothing_of_openness():
    loss = insertion_loss(gain([0, 0, 0, -20, 0, 0, 0], name="REOG"), gain([0.0] * 7))
    assert openness(loss.marked("withdrawn", HZ == 2500.0, "spoilt")).word == "open"
    assert openness(loss.marked("withdrawn", True, "spoilt")) is None


@pytest.mark.parametrize(
    ("values", "age", "warns"),
    [
        ([2, 3, 12, 17, 15, 14, 7], 800.0, False),
        ([2, 3, 5, 7, 7.5, 6, 3], 800.0, True),  # lower than 8 dB
        ([2, 9, 8, 5, 3, 2, 1], 800.0, True),  # peak at 1 kHz
        ([2, 3, 4, 5, 8, 11, 14], 800.0, True),  # peak at 6 kHz
        ([2, 3, 4, 5, 8, 11, 14], 0.0, False),  # where a newborn has it: 6 kHz (Kruger 1987)
        ([2, 3, 4, 5, 8, 11, 14], None, True),
    ],
)
def test_the_peak_of_the_open_ear(values, age, warns):
    found = unaided_response_finding(gain(values), age)
    assert (found is not None) == warns
    if found is not None:
        assert found.code == "unaided_peak_missing"


def test_amplified_sound_at_the_reference_microphone():
    # scenario S4: a run with concurrent equalisation reads 5 dB lower at 3 kHz
    stored = level([68, 78, 92, 95, 101, 99, 85], TIP)
    concurrent = level([68, 78, 92, 95, 96, 99, 85], TIP)
    found = reference_microphone_finding(concurrent, stored)
    assert (found.code, found.from_hz) == ("amplified_sound_at_reference", 3000.0)
    assert found.text.startswith("Amplified sound at the reference microphone")
    assert "5.0 dB lower at 3000 Hz" in found.text
    assert reference_microphone_finding(stored, stored) is None
    louder = reference_microphone_finding(level([65, 65, 65, 65, 69, 65, 65], REFERENCE), level([65.0] * 7, REFERENCE))
    assert "4.0 dB higher at 3000 Hz" in louder.text


def test_a_difference_within_its_uncertainty_is_not_named():
    one, other = level([65.0] * 7, REFERENCE, u=2.0, name="a"), level([69.0] * 7, REFERENCE, u=2.0, name="b")
    assert reference_microphone_finding(one, other) is None
