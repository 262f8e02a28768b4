"""Suggestions bring nothing further from its target, respect the maximum output, and never command."""

import numpy as np
import pytest
from eardrum_levels import HZ, difference
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from umbo.core import PointState
from umbo.errors import InputError
from umbo.verdict import (
    guidance,
    output_margin,
    rms_error,
    suggest_changes,
    total_change,
    what_if,
)

N = len(HZ)
FIVE, ROOM = np.full(N, 5.0), np.full(N, 40.0)
PROJECT = guidance("project")
vectors = arrays(np.float64, N, elements=st.floats(-30, 30))
masks = arrays(np.bool_, N)


def changes(values_db, *, margin_db=ROOM, u_db=0.0, **more):
    deviation = difference(values_db, u_db=u_db)
    return suggest_changes(deviation, FIVE, margin_db=margin_db, **more)


def suggested(values_db, **more):
    return total_change(changes(values_db, **more), np.array(HZ)).tolist()


@given(d=vectors, margin=arrays(np.float64, N, elements=st.floats(-10, 30) | st.just(np.nan)), silent=masks, dead=masks)
def test_no_band_ends_further_from_its_target_and_no_limit_is_passed(d, margin, silent, dead):
    deviation = difference(d).marked(PointState.BELOW_NOISE, dead, "x")
    change = total_change(suggest_changes(deviation, FIVE, margin_db=margin, no_response=silent), np.array(HZ))
    assert np.all(np.abs(d + change) <= np.abs(d) + 1e-9)
    assert rms_error(d + change) <= rms_error(d) + 1e-9
    assert rms_error((d + change)[1:5]) <= rms_error(d[1:5]) + 1e-9
    raised = change > 0
    assert np.all(change[raised] <= margin[raised])  # also false where the margin is NaN
    assert not change[silent | dead].any()
    assert not change[(np.abs(d) <= 2.5)].any()


@given(d=vectors)
def test_with_room_every_failing_band_gets_a_change_or_a_reason(d):
    found = changes(d)
    named = sorted(hz for suggestion in found for hz in suggestion.frequency_hz)
    assert set(np.array(HZ)[np.abs(d) > 5.0]) <= set(named)
    assert len(named) == len(set(named))
    for suggestion in found:
        assert (suggestion.change_db != 0) or suggestion.limit
        assert "would" in suggestion.sentence or suggestion.sentence.startswith("No change is suggested")


def test_neighbours_get_one_change():
    assert suggested([0.0, 0, -8, -6, -10, 0]) == [0, 0, 8, 8, 8, 0]
    (one,) = changes([0.0, 0, -8, -6, -10, 0])
    assert one.sentence == (
        "A change of about +8 dB at 1000, 2000, 4000 Hz in the coupler would bring these bands within tolerance, if "
        "the aid does exactly that; then measure again, the maximum output too."
    )


def test_a_band_between_two_goes_along_and_one_with_nothing_to_do_does_not():
    assert suggested([0.0, -8, -4, -8, 0, 0]) == [0, 7, 7, 7, 0, 0]
    assert suggested([0.0, -8, -1, -8, 0, 0]) == [0, 8, 0, 8, 0, 0]


def test_a_band_that_goes_along_does_not_overshoot():
    """The mean of 8, 2.6 and 8 is 6.2 dB, which would leave the middle band 3.6 dB off on the other side."""
    assert suggested([0.0, -8, -2.6, -8, 0, 0]) == [0, 5, 5, 5, 0, 0]


def test_a_steep_region_is_split_at_its_largest_step():
    assert suggested([0.0, 6, 7, 20, 21, 0]) == [0, -6, -6, -20, -20, 0]
    assert suggested([0.0, -20, -4, -20, 0, 0]) == [0, 20, 0, 20, 0, 0]  # what only went along is left out again


def test_a_zigzag_is_measured_again_and_not_followed():
    found = changes([0.0, -8, 9, -8, 0, 0])
    assert total_change(found, np.array(HZ)).tolist() == [0, 0, 0, 0, 0, 0]
    assert "off in the other direction, which an aid's bands rarely are: measure again first" in found[0].sentence
    # A step from too little to too much, two bands each, is no zigzag.
    assert suggested([0.0, -8, -8, 8, 8, 0]) == [0, 8, 8, -8, -8, 0]


def test_what_lies_inside_the_uncertainty_gets_no_suggestion():
    assert changes([0.0, 0, 0, 0, -8.0, 0], u_db=1.5) == ()
    assert suggested([0.0, 0, 0, 0, -8.1, 0], u_db=1.5) == [0, 0, 0, 0, 8, 0]


def test_more_gain_ends_where_the_maximum_output_does():
    room = np.array([40.0, 40, 40, 3.7, 40, 40])
    (one,) = changes([0.0, 0, 0, -8, -8, 0], margin_db=room)
    assert one.change_db == 3.0
    assert one.limit == "the limit of the maximum output"
    assert "within tolerance, as far as the limit of the maximum output allows, if the aid" in one.sentence
    (less,) = changes([0.0, 0, 0, -12, -12, 0], margin_db=room)
    assert "closer to the target, not yet within tolerance, as far as" in less.sentence
    (none,) = changes([0.0, 0, 0, -8, 0, 0], margin_db=np.full(N, 0.5))
    assert none.change_db == 0.0
    assert none.sentence.startswith("No change is suggested at 2000 Hz: the maximum output would pass its limit")
    assert suggested([0.0, 0, 0, 8, 0, 0], margin_db=np.full(N, -5.0)) == [0, 0, 0, -8, 0, 0]  # less gain is free


def test_without_a_known_limit_no_more_gain():
    (none,) = changes([0.0, 0, 0, -8, 0, 0], margin_db=None)
    assert none.change_db == 0.0
    assert "or its limit, is not known here: measure it before any more gain" in none.sentence


def test_no_response_no_suggestion():
    (none,) = changes([0.0, 0, 0, 0, 0, -20], no_response=np.array(HZ) >= 4000)
    assert none.change_db == 0.0
    assert "there was no response" in none.sentence


def test_less_than_a_step_is_left():
    tight = suggest_changes(difference([0.0, 0, 0.4, 0, 0, 0]), np.full(N, 0.1), margin_db=ROOM)
    assert [(s.change_db, s.limit) for s in tight] == [(0.0, "it is off by less than a step of 1 dB")]


def test_lists_have_to_fit():
    with pytest.raises(InputError, match="there are 6 frequencies, 2 tolerances"):
        suggest_changes(difference(0.0), np.array([5.0, 5.0]), margin_db=None)
    with pytest.raises(InputError, match="give one finite change"):
        what_if(difference(0.0), np.zeros(2), "65", guidance=PROJECT, margin_db=None)
    with pytest.raises(InputError, match="a change is not finite"):
        what_if(difference(0.0), np.full(N, np.nan), "65", guidance=PROJECT, margin_db=None)


def test_room_is_read_between_tones_and_nowhere_else():
    hz = (500.0, 1000.0, 2000.0, 4000.0)
    excess = difference([-10.0, -6.0, -2.0, 3.0], u_db=0.5, hz=hz)
    found = output_margin(excess, np.array([250.0, 501.2, 1414.21, 3981.1, 6000.0]), is_child=False)
    assert np.isnan(found[[0, 4]]).all()
    assert found[1:4] == pytest.approx([10.0, 4.0, -3.0], abs=1e-3)
    child = output_margin(excess, np.array(hz), is_child=True)
    assert child.tolist() == [9.0, 5.0, 1.0, -4.0]
    dead = excess.marked(PointState.CLIPPED, np.array(hz) == 1000, "x")
    gap = output_margin(dead, np.array([500.0, 700.0, 1000.0, 1500.0, 2000.0]), is_child=False)
    assert np.isnan(gap).tolist() == [False, True, True, True, False]


@given(d=vectors, change=vectors)
def test_what_if_adds_and_nothing_else(d, change):
    deviation = difference(d, u_db=1.0)
    tried = what_if(deviation, change, "65", guidance=PROJECT, margin_db=None)
    assert tried.deviation.level_db == pytest.approx(d + change)
    assert tried.deviation.u_db.tolist() == deviation.u_db.tolist()
    assert tried.rms_before_db == pytest.approx(rms_error(d[1:5]))
    assert tried.rms_after_db == pytest.approx(rms_error((d + change)[1:5]))
    assert bool(tried.cautions) is bool((change > 0).any())


def test_what_if_says_that_it_is_a_prediction():
    tried = what_if(difference([0.0, 0, 0, -8, 0, 0]), np.array([0.0, 0, 0, 8, 0, 0]), "65", guidance=PROJECT,
                    margin_db=np.full(N, 5.0))  # fmt: skip
    assert [j.criterion for j in tried.judgements] == ["match_65", "rms_65"]
    assert tried.judgements[0].sentence == (
        "Predicted, not measured: speech at 65 dB meets the target within tolerance at 6 frequencies."
    )
    (caution,) = tried.cautions
    assert caution == (
        "At 2000 Hz the maximum output, if it rises with the gain, would pass its limit: do not try this change before "
        "the maximum output is lowered."
    )
    assert "a change that is tried, not measured" in tried.deviation.explain(at=2000)
    just = what_if(difference(-8.0), np.full(N, 5.5), "65", guidance=PROJECT, margin_db=np.full(N, 5.0))
    assert len(just.cautions) == 1
    free = what_if(difference(-8.0), np.full(N, 8.0), "65", guidance=PROJECT, margin_db=ROOM)
    assert free.cautions == ()
    over = what_if(difference(0.0), np.array([0.0, 0, 0, 0, 3, 0]), "65", guidance=PROJECT,
                   margin_db=np.array([40.0, 40, -2, 40, 40, 40]))  # fmt: skip
    assert over.cautions == (
        "At 1000 Hz the maximum output is not shown to stay below its limit even now: lower it first.",
    )


def test_an_rms_that_cannot_be_told_is_none():
    tried = what_if(difference(1.0, hz=HZ[:3]), np.zeros(3), "65", guidance=PROJECT, margin_db=None)
    assert (tried.rms_before_db, tried.rms_after_db) == (None, None)


def test_a_change_measured_in_the_ear_does_not_speak_of_a_coupler():
    (tried,) = changes([0.0, 0, -8, -8, -8, 0], place="in the ear")
    assert "at 1000, 2000, 4000 Hz in the ear would bring" in tried.sentence
    assert "coupler" not in tried.sentence
