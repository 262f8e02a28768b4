"""The axes: monotone, invertible, ticks where they belong."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.chart import FrequencyAxis, LevelAxis
from umbo.errors import InputError

ends = st.tuples(st.floats(1.0, 1000.0), st.floats(1.1, 1000.0)).map(lambda p: (p[0], p[0] * p[1]))


@given(ends, st.floats(0.0, 2.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_frequency_axis_is_monotone_and_invertible(low_high, margin, one, other):
    axis = FrequencyAxis(*low_high, margin_octaves=margin)
    hz = axis.frequency_at([one, other])
    np.testing.assert_allclose(axis.fraction(hz), [one, other], atol=1e-9)
    if abs(one - other) > 1e-9:
        assert (one < other) == (hz[0] < hz[1])


@given(st.floats(-200, 200), st.floats(1, 200), st.booleans(), st.floats(0, 1), st.floats(0, 1))
def test_level_axis_is_monotone_and_invertible(low, span, inverted, one, other):
    axis = LevelAxis(low, low + span, "dB", "dB", step_db=span / 4, inverted=inverted)
    db = axis.level_at([one, other])
    np.testing.assert_allclose(axis.fraction(db), [one, other], atol=1e-9)
    if abs(one - other) > 1e-9:
        assert (one < other) == ((db[0] < db[1]) != inverted)


def test_octaves_are_equally_wide_and_ticks_stand_at_their_frequencies():
    axis = FrequencyAxis()
    labelled = [(hz, text) for hz, text in axis.ticks() if text]
    assert [text for _, text in labelled] == ["125", "250", "500", "1k", "2k", "4k", "8k", "16k"]
    assert [hz for hz, text in axis.ticks() if not text] == [750.0, 1500.0, 3000.0, 6000.0]
    steps = np.diff(axis.fraction([hz for hz, _ in labelled]))
    np.testing.assert_allclose(steps, 1.0 / (7.0 + 2 * 0.15))
    half = axis.fraction(750.0) - axis.fraction(500.0)
    np.testing.assert_allclose(half, np.log2(1.5) / 7.3)


def test_ticks_outside_the_axis_are_left_out():
    assert [text for _, text in FrequencyAxis(200.0, 5000.0).ticks() if text] == [
        "250",
        "500",
        "1k",
        "2k",
        "4k",
    ]


def test_level_ticks_are_multiples_of_the_step_with_a_true_minus():
    assert LevelAxis(-12.0, 11.0, "dB", "dB", 5.0).ticks() == (
        (-10.0, "−10"),
        (-5.0, "−5"),
        (0.0, "0"),
        (5.0, "5"),
        (10.0, "10"),
    )


@pytest.mark.parametrize(("levels", "ends_db"), [([0, 20], (0, 20)), ([-0.1, 20.1], (-10, 30)), ([3.0], (0, 10))])
def test_axis_around_levels_encloses_them_and_no_more(levels, ends_db):
    axis = LevelAxis.around(levels, "dB", "dB")
    assert (axis.low_db, axis.high_db) == ends_db


@pytest.mark.parametrize(
    "make",
    [
        lambda: FrequencyAxis(0.0, 100.0),
        lambda: FrequencyAxis(200.0, 100.0),
        lambda: FrequencyAxis(100.0, float("inf")),
        lambda: FrequencyAxis(margin_octaves=-1.0),
        lambda: LevelAxis(10.0, 0.0, "dB", "dB"),
        lambda: LevelAxis(0.0, 10.0, " ", "dB"),
        lambda: LevelAxis(0.0, 10.0, "dB", ""),
        lambda: LevelAxis(0.0, 10.0, "dB", "dB", step_db=0.0),
        lambda: LevelAxis(0.0, 10.0, "dB", "dB", step_db=0.01),
        lambda: LevelAxis(float("nan"), 10.0, "dB", "dB"),
    ],
)
def test_impossible_axes_are_refused(make):
    with pytest.raises(InputError, match="axis"):
        make()
