"""Slope of the response against that of the target, with what the two ends share dropped."""

import numpy as np
import pytest
from eardrum_levels import HZ, difference
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from umbo.core import Outcome, PointState
from umbo.verdict import guidance, slope_db_per_octave, slope_deviation, slope_difference

BSA = guidance("bsa")
OCTAVES = (250.0, 500.0, 1000.0, 2000.0, 4000.0)


@given(slope=st.floats(-30, 30), offset=st.floats(-50, 50))
def test_a_line_over_log_frequency_has_its_slope(slope, offset):
    hz = np.array([100.0, 300.0, 5000.0])
    assert slope_db_per_octave(hz, offset + slope * np.log2(hz)) == pytest.approx([slope, slope], abs=1e-9)


@given(d=arrays(np.float64, 5, elements=st.floats(-20, 20)), shift=st.floats(-20, 20))
def test_a_constant_deviation_has_no_slope(d, shift):
    """Slopes do not see what moves every band alike."""
    one, other = (slope_difference(difference(values, hz=OCTAVES)) for values in (d, d + shift))
    assert one.level_db == pytest.approx(other.level_db, abs=1e-9)


@pytest.mark.parametrize(("across", "expected"), [("full", 0.0), ("none", np.sqrt(2.0))])
def test_uncertainty_of_a_slope(across, expected):
    """A shared cause drops out, independent ones add as squares (JCGM 100 Eq. 13), against draws."""
    found = slope_difference(difference(0.0, u_db=1.0, across=across, hz=OCTAVES))
    assert found.u_db == pytest.approx(np.full(4, expected), abs=1e-12)
    rng = np.random.default_rng(1)
    error = rng.standard_normal((100_000, 5 if across == "none" else 1)) * np.ones(5)
    assert slope_db_per_octave(np.array(OCTAVES), error).std(axis=0) == pytest.approx(np.full(4, expected), abs=0.02)


@pytest.mark.parametrize(
    ("step", "u_db", "outcome", "words"),
    [
        (5.0, 0.0, Outcome.PASS, "follows that of the target within ±5 dB/octave in 4 octaves."),
        (5.2, 0.2, Outcome.CANNOT_TELL, "cannot be judged from 1000 to 2000 Hz: from 1000 to 2000 Hz +5.2 dB/octave"),
        (7.0, 0.2, Outcome.FAIL, "departs from that of the target from 1000 to 2000 Hz: from 1000 to 2000 Hz +7.0"),
    ],
)
def test_outcomes(step, u_db, outcome, words):
    steep = difference([0.0, 0, 0, step, step], u_db=u_db, across="none", hz=OCTAVES)
    judgement = slope_deviation(steep, "65", guidance=BSA)
    assert judgement.criterion == "slope_65"
    assert judgement.outcome is outcome
    assert words in judgement.sentence
    assert (judgement.action == "") is (outcome is Outcome.PASS)
    assert judgement.points[2].frequency_hz == pytest.approx(np.sqrt(2e6))


def test_exact_and_nominal_frequencies_are_one_octave():
    exact = tuple(1000.0 * 10 ** (np.arange(-6, 7) / 10))
    found = slope_difference(difference(3.0 * np.log2(np.array(exact)), hz=exact))
    assert found.level_db == pytest.approx([3.0] * 4)


def test_a_band_that_cannot_be_used_spoils_the_two_slopes_it_ends():
    deaf = difference(0.0, hz=OCTAVES).marked(PointState.BELOW_NOISE, np.array(OCTAVES) == 1000, "6 dB over noise")
    judgement = slope_deviation(deaf, "65", guidance=BSA)
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert [point.is_measured for point in judgement.points] == [True, False, False, True]
    assert "from 500 to 1000 Hz and from 1000 to 2000 Hz: from 500 to 1000 Hz below noise" in judgement.sentence


def test_without_neighbouring_octaves_it_cannot_be_told():
    judgement = slope_deviation(difference(0.0, hz=(500.0, 2000.0)), "65", guidance=BSA)
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert "no two neighbouring octaves" in judgement.sentence
    assert slope_difference(difference(0.0, hz=HZ)).grid.size == 4  # 6000 Hz is no octave
