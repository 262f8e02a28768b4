"""Remote microphone and telecoil (S8), two couplers side by side, and one run against another."""

import numpy as np
import pytest
from aid_parts import CAL, EXACT, HA1, conditions, curve, settings
from hypothesis import given
from hypothesis import strategies as st

from umbo.acoustics import standing_wave_deviation_db
from umbo.aid import (
    InputRoute,
    Item,
    Measure,
    StimulusKind,
    coil_difference,
    compare_couplers,
    compare_ears,
    compare_measures,
    compare_runs,
    full_on_gain,
    output_90,
    remote_microphone_offset,
    two_coupler_response,
)
from umbo.core import Component, CouplerKind, Ear, Grid, Outcome, Plane, PointState, Tags, Transfer, Uncertainty
from umbo.errors import EarMismatchError, InputError, PlaneMismatchError, StimulusMismatchError

THREE = Grid.tones([750.0, 1000.0, 2000.0])
CC04 = Plane.coupler("cc04")
AID = conditions(input_db_spl=65.0, u=0.0)
REMOTE = conditions(input_db_spl=65.0, u=0.0, route=InputRoute.REMOTE_MICROPHONE)


def offset(remote, u_db=0.0, remote_conditions=REMOTE):
    own = curve((88.0, 92.0, 95.0), THREE, quantity="aid", u_db=u_db)
    return remote_microphone_offset(own, AID, curve(remote, THREE, quantity="remote", u_db=u_db), remote_conditions)


def test_remote_microphone_of_the_scenario():
    """S8: 88/92/95 against 85/90/93 is -2.33 dB, a fail; 2 dB more gain is -0.33 dB, a pass."""
    found = offset((85.0, 90.0, 93.0))
    assert found.offset_db == pytest.approx(-2.33, abs=0.005)
    assert found.outcome is Outcome.FAIL
    assert found.offset_u_db == 0.0  # one coupler microphone: its calibration cancels
    assert "by +2.3 dB" in found.action
    better = offset((87.0, 92.0, 95.0))
    assert better.offset_db == pytest.approx(-0.33, abs=0.005)
    assert better.outcome is Outcome.PASS
    assert better.action == ""


def test_remote_microphone_with_uncertainty_and_other_settings():
    assert offset((85.0, 90.0, 93.0), u_db=0.3).outcome is Outcome.CANNOT_TELL
    other = conditions(
        input_db_spl=65.0, route=InputRoute.REMOTE_MICROPHONE, set_to=settings(name="b", noise_reduction="on")
    )
    found = offset((85.0, 90.0, 93.0), remote_conditions=other)
    assert found.outcome is Outcome.CANNOT_TELL
    assert "the settings 'reference' and 'b' differ" in found.sentence
    with pytest.raises(InputError, match="play the same level to both"):
        offset((85.0, 90.0, 93.0), remote_conditions=conditions(input_db_spl=60.0, route=InputRoute.REMOTE_MICROPHONE))
    with pytest.raises(InputError, match="expected through 'remote_microphone' and was taken through 'acoustic'"):
        offset((85.0, 90.0, 93.0), remote_conditions=AID)


@pytest.mark.parametrize(("coil", "outcome"), [(94.0, Outcome.PASS), (93.9, Outcome.FAIL), (107, Outcome.FAIL)])
def test_telecoil_within_6_db_of_the_microphone(coil, outcome):
    check, item = coil_difference(
        curve(100.0, quantity="acoustic"), conditions(), curve(coil, quantity="coil"),
        conditions(StimulusKind.SWEEP, None, route=InputRoute.TELECOIL),
    )  # fmt: skip
    assert check.offset_db == pytest.approx(coil - 100)
    assert check.outcome is outcome
    assert item.item is Item.COIL_DIFFERENCE
    assert item.value == pytest.approx(coil - 100)


def test_two_couplers_are_shown_side_by_side_and_never_joined():
    grid = Grid.twelfth_octave()
    large = curve(100.0, grid)
    small = curve(113.0, grid, plane=CC04)
    found = two_coupler_response(large, small)
    above = grid.frequency_hz > 8000 * 1.001
    assert all(found.large.states.at(i) is PointState.OUTSIDE_COUPLER for i in np.flatnonzero(above))
    assert found.small.states.is_usable.all()
    assert found.step.level_db == pytest.approx(np.full(grid.size, 13.0))
    assert found.both.tolist() == (~above).tolist()
    assert (found.large_end_hz, found.small_end_hz) == (8000, 16000)
    assert found.finding.from_hz == 8000
    assert "the curves are not joined" in found.finding.text
    assert found.step.u_db == pytest.approx(np.zeros(grid.size))  # one microphone in both
    with pytest.raises(InputError, match="give the 2 cc reading first"):
        two_coupler_response(small, large)
    with pytest.raises(StimulusMismatchError):
        two_coupler_response(large, curve(113.0, grid, plane=CC04, stimulus="speech"))


def test_prediction_from_another_coupler():
    """The ideal source: a volume ratio of five is 13.98 dB, and the couplers' standing waves add their part."""
    grid = Grid.third_octave()
    ideal = 20 * np.log10(5) - standing_wave_deviation_db(CouplerKind.HA1, grid.frequency_hz)
    ideal = ideal + standing_wave_deviation_db(CouplerKind.CC04, grid.frequency_hz)
    tags = Tags(quantity="0.4 cc re 2 cc", ear=None, stimulus=None, statistic=None, coupling=None, source=None)
    source = Component("source", "source not known", np.array([2.0]), "full", "B", "assumed")
    expected = Transfer.given(grid, ideal, start=HA1, end=CC04, tags=tags, source="model", components=[source])
    large = curve(100.0, grid)
    found = compare_couplers(large, curve(100 + ideal + 1.5, grid, plane=CC04), expected)
    assert found.level_db == pytest.approx(np.full(grid.size, 1.5))
    assert found.u_db == pytest.approx(np.full(grid.size, 2.0))  # the calibration of one microphone cancels
    assert ideal[grid.index(1000)] == pytest.approx(13.9, abs=0.15)


def hfa(level, run="now", calibration=CAL, **kind):
    own = conditions(input_db_spl=90.0, run=run, **kind)
    return output_90(curve(level, u_db=0.1, quantity=run, calibration=calibration), own).high_frequency_average


def test_drift_with_one_calibration_and_with_two():
    change = compare_measures(hfa(110.0, "earlier"), hfa(109.5))
    assert change.change == pytest.approx(-0.5)
    assert change.u == pytest.approx(np.sqrt(2) * 0.1 / np.sqrt(3))
    assert change.is_significant
    apart = compare_measures(hfa(110.0, "earlier", EXACT), hfa(109.5))
    assert apart.u == pytest.approx(np.hypot(0.2, np.sqrt(2) * 0.1 / np.sqrt(3)))
    other_microphone = compare_measures(hfa(110.0, "earlier", EXACT), hfa(109.7))
    assert not other_microphone.is_significant
    assert other_microphone.sentence.endswith("within twice its uncertainty.")


@given(change=st.floats(-10, 10))
def test_change_is_antisymmetric(change):
    one, two = hfa(100.0, "earlier"), hfa(100.0 + change)
    forth, back = compare_measures(one, two), compare_measures(two, one)
    assert forth.change == pytest.approx(-back.change)
    assert forth.u == pytest.approx(back.u)
    assert forth.is_significant is back.is_significant


def test_runs_that_were_not_taken_alike_are_in_doubt():
    found = compare_measures(hfa(110.0, "earlier", set_to=settings(compression="on", name="b")), hfa(100.0))
    assert not found.is_significant
    assert "cannot be compared: the settings 'b' and 'reference' differ" in found.sentence
    gain = full_on_gain(curve(100.0), conditions(input_db_spl=50.0)).high_frequency_average
    with pytest.raises(InputError, match="compare the same item"):
        compare_measures(gain, hfa(110.0))


def thd(hz, value):
    return Measure(
        item=Item.DISTORTION, value=value, uncertainty=Uncertainty.none(1), conditions=conditions(), frequency_hz=hz
    )


def test_distortion_is_compared_at_one_frequency():
    assert compare_measures(thd(500.0, 2.0), thd(500.0, 3.0)).change == 1.0
    with pytest.raises(InputError, match="or their frequencies differ"):
        compare_measures(thd(500.0, 2.0), thd(800.0, 3.0))


def test_curves_of_two_runs_and_two_ears():
    hz = Grid.twelfth_octave().frequency_hz
    dip = -6.0 * ((hz > 1900) & (hz < 2100))
    change, finding = compare_runs(curve(100.0, quantity="response"), curve(100.0 + dip, quantity="response"))
    assert change.u_db == pytest.approx(np.zeros(hz.size))
    assert finding.code == "run_drift"
    assert "-6.0 dB since the earlier run, most at 1995 Hz" in finding.text
    assert compare_runs(curve(100.0), curve(101.9))[1] is None
    right, left = curve(100.0), curve(100.0 + dip, ear=Ear.LEFT)
    difference, told = compare_ears(right, left)
    assert difference.value_at(2000) == pytest.approx(-6.0)
    assert told.code == "ears_difference"
    assert "not exchanged" in told.action
    assert compare_ears(right, curve(104.0, ear=Ear.LEFT))[1] is None
    with pytest.raises(EarMismatchError):
        compare_runs(right, left)
    with pytest.raises(PlaneMismatchError):
        compare_runs(right, curve(100.0, plane=CC04))


def test_what_cannot_be_used_raises_no_finding():
    hz = Grid.twelfth_octave().frequency_hz
    noisy = curve(80.0).marked(PointState.BELOW_NOISE, np.ones(hz.size, bool), "too quiet")
    assert compare_runs(curve(100.0), noisy)[1] is None
