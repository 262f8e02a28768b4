"""The rms criterion and its uncertainty, against draws."""

import numpy as np
import pytest
from eardrum_levels import HZ, difference
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from umbo.core import Component, Outcome, PointState
from umbo.verdict import RMS_HZ, rms_deviation, rms_error, rms_u_db

vectors = arrays(np.float64, 4, elements=st.floats(-20, 20))


@given(d=vectors, factor=st.floats(-5, 5))
def test_rms_scales(d, factor):
    assert rms_error(factor * d) == pytest.approx(abs(factor) * rms_error(d), abs=1e-9)


@given(d=vectors)
def test_rms_lies_between_mean_and_largest(d):
    assert np.abs(d).mean() - 1e-9 <= rms_error(d) <= np.abs(d).max() + 1e-9


def test_rms_takes_leading_axes():
    assert rms_error(np.array([[3.0, 4.0], [0.0, 0.0]])).tolist() == pytest.approx([np.sqrt(12.5), 0.0])


@pytest.mark.parametrize("across", ["full", "none"])
@pytest.mark.parametrize("deviation", [(0.0, 0, 0, 0), (1.0, -1, 0.5, 2), (5.0, 4, 6, 5), (-8.0, 2, 3, -4)])
@pytest.mark.parametrize("u_db", [0.5, 2.0])
def test_uncertainty_against_draws(across, deviation, u_db):
    """Closed form of second order against 200 000 draws with the same covariance."""
    rng = np.random.default_rng(3)
    error = rng.standard_normal((200_000, 4 if across == "none" else 1)) * u_db
    drawn = rms_error(np.array(deviation) + error).std()
    covariance = u_db**2 * (np.eye(4) if across == "none" else np.ones((4, 4)))
    found = rms_u_db(np.array(deviation, dtype=float), covariance)
    assert 0.97 * drawn <= found <= 1.27 * drawn
    if np.abs(deviation).min() > 3 * u_db:
        assert found == pytest.approx(drawn, rel=0.03)


@given(d=vectors, u=st.floats(0, 5))
def test_uncertainty_is_finite_and_bounded_by_the_largest_cause(d, u):
    found = rms_u_db(d, u**2 * np.ones((4, 4)))
    assert 0.0 <= found <= u + 1e-9


def test_causes_that_are_shared_weigh_more_than_independent_ones():
    five = np.full(4, 5.0)
    assert rms_u_db(five, np.ones((4, 4))) == pytest.approx(2 * rms_u_db(five, np.eye(4)), rel=0.05)


def test_covariance_of_the_difference_is_used():
    """A full cause of +1 and −1 dB at alternating frequencies does nothing to an rms of equal deviations."""
    signs = Component("tilt", "tilt", np.array([0.0, 1.0, -1.0, 1.0, -1.0, 0.0]), "full", "B", "invented")
    tilted = difference(4.0).with_uncertainty(signs)
    assert rms_deviation(tilted, "65").u_db < 0.4
    assert rms_deviation(difference(4.0, u_db=1.0), "65").u_db == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize(
    ("d", "u", "outcome", "words"),
    [
        (2.0, 0.5, Outcome.PASS, "within 5 dB and within 3 dB"),
        (4.0, 0.5, Outcome.PASS, "within 5 dB but not within 3 dB"),
        (5.5, 0.5, Outcome.CANNOT_TELL, "above 5 dB, by less than twice its uncertainty"),
        (7.0, 0.5, Outcome.FAIL, "above 5 dB."),
    ],
)
def test_outcomes(d, u, outcome, words):
    judgement = rms_deviation(difference(d, u_db=u), "65")
    assert judgement.criterion == "rms_65"
    assert judgement.outcome is outcome
    assert words in judgement.sentence
    assert (judgement.action == "") is (outcome is Outcome.PASS)


def test_a_missing_frequency_cannot_be_told():
    judgement = rms_deviation(difference(1.0, hz=(500.0, 1000.0, 2000.0)), "65")
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert "needs 500, 1000, 2000 and 4000 Hz" in judgement.sentence
    assert judgement.value_db is None


def test_an_unusable_frequency_cannot_be_told():
    deaf = difference(1.0).marked(PointState.BELOW_NOISE, np.array(HZ) == 4000, "less than 6 dB over noise")
    judgement = rms_deviation(deaf, "65")
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert "4000 Hz is below noise: less than 6 dB over noise" in judgement.sentence


def test_a_dense_grid_uses_the_four_frequencies_only():
    hz = tuple(1000.0 * 10 ** (np.arange(-20, 25) / 40))
    values = np.where([min(abs(np.log2(f / r)) for r in RMS_HZ) < 0.02 for f in hz], 2.0, 9.0)
    assert rms_deviation(difference(values, hz=hz), "65").value_db == pytest.approx(2.0)
