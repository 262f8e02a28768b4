"""Pass, cannot tell, fail: a number, a bound, and the number's uncertainty."""

import numpy as np
import pytest
from eardrum_levels import HZ, difference
from hypothesis import given
from hypothesis import strategies as st

from umbo.core import Outcome, PointState, worst
from umbo.errors import InputError
from umbo.verdict import judge_above_limit, judge_within

ORDER = {Outcome.PASS: 0, Outcome.CANNOT_TELL: 1, Outcome.FAIL: 2}
numbers = st.floats(-30.0, 30.0)
uncertainties = st.floats(0.0, 6.0)


def within(d, u, tolerance=5.0):
    return judge_within(difference(d, u_db=u), np.full(len(HZ), tolerance))[0].outcome


def above(d, u, *, upper_edge=False):
    return judge_above_limit(difference(d, u_db=u), upper_edge=upper_edge)[0].outcome


@pytest.mark.parametrize(
    ("d", "u", "outcome"),
    [
        (0.0, 0.0, Outcome.PASS),
        (5.0, 0.0, Outcome.PASS),
        (-5.0, 3.0, Outcome.PASS),
        (5.1, 0.0, Outcome.FAIL),
        (6.0, 0.5, Outcome.CANNOT_TELL),
        (-6.0, 0.5, Outcome.CANNOT_TELL),
        (6.1, 0.5, Outcome.FAIL),
        (-9.0, 1.5, Outcome.FAIL),
    ],
)
def test_within(d, u, outcome):
    assert within(d, u) is outcome


@pytest.mark.parametrize(
    ("d", "u", "adult", "child"),
    [
        (-5.0, 1.0, Outcome.PASS, Outcome.PASS),
        (-2.0, 1.0, Outcome.PASS, Outcome.PASS),
        (-1.0, 1.0, Outcome.PASS, Outcome.CANNOT_TELL),
        (0.0, 1.0, Outcome.PASS, Outcome.CANNOT_TELL),
        (0.0, 0.0, Outcome.PASS, Outcome.PASS),
        (1.0, 1.0, Outcome.CANNOT_TELL, Outcome.CANNOT_TELL),
        (2.1, 1.0, Outcome.FAIL, Outcome.FAIL),
    ],
)
def test_above_limit(d, u, adult, child):
    """For a child the upper edge of the band counts."""
    assert above(d, u) is adult
    assert above(d, u, upper_edge=True) is child


@given(d=numbers, u=uncertainties, tolerance=st.floats(0.0, 10.0))
def test_within_is_symmetric(d, u, tolerance):
    assert within(d, u, tolerance) is within(-d, u, tolerance)


@given(d=numbers, more=st.floats(0.0, 10.0), u=uncertainties)
def test_further_out_is_never_better(d, more, u):
    further = np.copysign(abs(d) + more, d)
    assert ORDER[within(further, u)] >= ORDER[within(d, u)]
    assert ORDER[above(d + more, u)] >= ORDER[above(d, u)]


@given(d=numbers, u=uncertainties)
def test_a_child_is_never_judged_more_kindly(d, u):
    assert ORDER[above(d, u, upper_edge=True)] >= ORDER[above(d, u)]


@given(d=numbers, u=uncertainties, more=st.floats(0.0, 6.0))
def test_more_uncertainty_makes_no_failure(d, u, more):
    if within(d, u) is not Outcome.FAIL:
        assert within(d, u + more) is not Outcome.FAIL


def test_points_that_cannot_be_used_cannot_be_told():
    deaf = difference(20.0).marked(PointState.BELOW_NOISE, [True] + [False] * (len(HZ) - 1), "6 dB over noise")
    for point in (judge_within(deaf, np.full(len(HZ), 5.0))[0], judge_above_limit(deaf, upper_edge=False)[0]):
        assert point.outcome is Outcome.CANNOT_TELL
        assert point.reason == "below noise: 6 dB over noise"
        assert not point.is_measured


def test_reasons_name_the_numbers():
    doubtful = judge_within(difference(6.0, u_db=0.5), np.full(len(HZ), 5.0))[0]
    assert doubtful.reason == "+6.0 dB is outside ±5 dB by less than twice its uncertainty of 0.5 dB"
    over = judge_above_limit(difference(3.0, u_db=1.0), upper_edge=False)[0]
    assert over.reason == "3.0 dB above the limit, more than twice its uncertainty of 1.0 dB"


def test_one_tolerance_per_frequency():
    with pytest.raises(InputError, match="it has 6 frequencies and 2 tolerances; give one tolerance per frequency"):
        judge_within(difference(0.0), np.array([5.0, 5.0]))


def test_nothing_judged_cannot_be_told():
    assert worst([]) is Outcome.CANNOT_TELL
    assert worst([Outcome.PASS, Outcome.FAIL, Outcome.CANNOT_TELL]) is Outcome.FAIL
    assert worst([Outcome.PASS, Outcome.CANNOT_TELL]) is Outcome.CANNOT_TELL
