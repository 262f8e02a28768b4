"""Uncertainty: causes with identity cancel, others add in quadrature, and draws agree with first order."""

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from umbo.core import Component, Uncertainty
from umbo.errors import InputError
from umbo.testing import CAUSES, components, uncertainties

PROPERTY = settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])
SIZE = 4


def cause(name, size_db, across="full", **more):
    return Component(name, name, size_db, across=across, evaluation="B", source="assumed", **more)


def transcribed_covariance(parts):
    """JCGM 100 Eq. F.2 typed out: over the shared causes, the sum of the products of the sensitivities.

    ``parts`` lists (sign, Uncertainty) of a sum of curves; a cause "none" is one input per frequency.
    """
    size = parts[0][1].size
    names = {c.id for _, uncertainty in parts for c in uncertainty.components}
    matrix = np.zeros((size, size))
    for i in range(size):
        for j in range(size):
            for name in names:
                at_i = at_j = 0.0
                for sign, uncertainty in parts:
                    for c in uncertainty.components:
                        if c.id == name:
                            at_i += sign * float(c.contribution_db[i])
                            at_j += sign * float(c.contribution_db[j])
                if CAUSES[name] == "full" or i == j:
                    matrix[i, j] += at_i * at_j
    return matrix


@PROPERTY
@given(st.lists(st.tuples(st.sampled_from([1.0, -1.0]), uncertainties(SIZE)), min_size=1, max_size=3))
def test_sums_agree_with_the_formula_typed_out(parts):
    total = parts[0][1].scaled(parts[0][0])
    for sign, uncertainty in parts[1:]:
        total = total.plus(uncertainty, sign)
    oracle = transcribed_covariance(parts)
    assert np.allclose(total.covariance_db2(), oracle, atol=1e-9)
    assert np.allclose(total.u_db, np.sqrt(np.clip(np.diag(oracle), 0, None)), atol=1e-6)


@PROPERTY
@given(uncertainties(SIZE))
def test_the_same_causes_cancel(uncertainty):
    assert not uncertainty.plus(uncertainty, -1.0).u_db.any()
    assert np.allclose(uncertainty.plus(uncertainty).u_db, 2 * uncertainty.u_db)


@PROPERTY
@given(components(SIZE, cause="microphone:coupler"), components(SIZE, cause="microphone:probe"))
def test_different_causes_add_in_quadrature(one, other):
    for sign in (1.0, -1.0):
        both = Uncertainty.of(SIZE, [one]).plus(Uncertainty.of(SIZE, [other]), sign)
        assert np.allclose(both.u_db, np.hypot(one.contribution_db, other.contribution_db))


@PROPERTY
@given(uncertainties(SIZE), uncertainties(SIZE))
def test_order_does_not_matter(one, other):
    assert np.allclose(one.plus(other).covariance_db2(), other.plus(one).covariance_db2())


@PROPERTY
@given(uncertainties(SIZE))
def test_the_covariance_is_one(uncertainty):
    matrix = uncertainty.covariance_db2()
    assert np.allclose(matrix, matrix.T)
    assert np.allclose(np.sqrt(np.diag(matrix)), uncertainty.u_db)
    assert np.linalg.eigvalsh(matrix).min() > -1e-9


@PROPERTY
@given(uncertainties(SIZE), components(SIZE))
def test_one_more_cause(uncertainty, component):
    more = uncertainty.with_component(component)
    alone = Uncertainty.of(SIZE, [component])
    assert np.allclose(more.covariance_db2(), uncertainty.plus(alone).covariance_db2())


def test_draws_agree_with_first_order():
    """20 000 draws: the covariance of a sample is known to about 1/√(n) of the variances."""
    n = 20_000
    uncertainty = Uncertainty.of(
        3,
        [
            cause("a", [0.5, -0.3, 0.2]),
            cause("b", [0.1, 0.4, 0.6]),
            cause("n", [0.2, 0.7, 0.1], across="none"),
        ],
    )
    draws = uncertainty.draws_db(n, np.random.default_rng(20261125))
    assert draws.shape == (n, 3)
    covariance, u = uncertainty.covariance_db2(), uncertainty.u_db
    scatter = np.sqrt((np.outer(u**2, u**2) + covariance**2) / n)  # of a normal sample's covariance
    assert (np.abs(np.cov(draws.T) - covariance) < 4.5 * scatter).all()
    assert (np.abs(draws.mean(axis=0)) < 4.5 * u / math.sqrt(n)).all()


def test_draws_of_a_shared_cause_are_shared():
    """The difference of two curves drawn together scatters as their combined uncertainty says."""
    n = 20_000
    ear = Uncertainty.of(2, [cause("microphone", 0.5), cause("ear noise", 0.3, across="none")])
    coupler = Uncertainty.of(2, [cause("microphone", 0.5), cause("coupler noise", 0.2, across="none")])
    rng, shared = np.random.default_rng(7), {}
    difference = ear.draws_db(n, rng, shared) - coupler.draws_db(n, rng, shared)
    expected = ear.plus(coupler, -1.0).u_db
    assert np.allclose(expected, math.hypot(0.3, 0.2))
    assert np.allclose(difference.std(axis=0), expected, rtol=4.5 / math.sqrt(2 * n))
    apart = ear.draws_db(n, rng) - coupler.draws_db(n, rng)
    assert (apart.std(axis=0) > 0.75).all()  # √(2·0.5² + 0.3² + 0.2²) = 0.79 without sharing


def test_a_full_cause_moves_all_frequencies_together():
    draws = Uncertainty.of(3, [cause("a", [1.0, -2.0, 0.5])]).draws_db(5, np.random.default_rng(1))
    assert np.allclose(draws, draws[:, :1] * np.array([1.0, -2.0, 0.5]))


def test_draws_repeat_with_the_same_generator():
    uncertainty = Uncertainty.of(3, [cause("a", 1.0), cause("n", 1.0, across="none")])
    first, second = (uncertainty.draws_db(10, np.random.default_rng(5)) for _ in range(2))
    assert np.array_equal(first, second)


@PROPERTY
@given(uncertainties(SIZE), st.data())
def test_mapped_contributions_are_weighted_sums(uncertainty, data):
    """A linear change of the curve propagates as its matrix says, at each new point by itself."""
    m = data.draw(st.integers(1, 5))
    index = np.array(data.draw(st.lists(st.tuples(*[st.integers(0, SIZE - 1)] * 2), min_size=m, max_size=m)))
    part = np.array(data.draw(st.lists(st.integers(0, 10), min_size=m, max_size=m))) / 10
    index[index[:, 0] == index[:, 1], 1] = (index[index[:, 0] == index[:, 1], 0] + 1) % SIZE
    weight = np.stack([1 - part, part], axis=1)
    matrix = np.zeros((m, SIZE))
    for row in range(m):
        for column in range(2):
            matrix[row, index[row, column]] += weight[row, column]
    expected = np.sqrt(np.diag(matrix @ uncertainty.covariance_db2() @ matrix.T))
    assert np.allclose(uncertainty.mapped(index, weight).u_db, expected, atol=1e-7)


@PROPERTY
@given(uncertainties(SIZE), st.lists(st.integers(0, SIZE - 1), min_size=1, max_size=5))
def test_a_curve_mapped_after_reversal_still_cancels(uncertainty, rows):
    index = np.array(list(zip(rows, [(row + 1) % SIZE for row in rows], strict=True)))
    weight = np.full(index.shape, 0.5)
    there = uncertainty.mapped(index, weight)
    back = uncertainty.scaled(-1.0).mapped(index, weight)
    assert np.allclose(there.u_db, back.u_db)
    assert not there.plus(back).u_db.any()


REFUSALS = {
    "a cause named twice": (
        lambda: Uncertainty.of(2, [cause("a", 1.0), cause("a", 2.0)]),
        "state an uncertainty: a cause is named twice in a, a; add the two into one.",
    ),
    "too few contributions": (
        lambda: Uncertainty.of(3, [cause("a", [1.0, 2.0])]),
        "state the uncertainty 'a': it has 2 values for a curve of 3 points; give one value per point.",
    ),
    "not finite": (
        lambda: cause("a", [1.0, math.inf]),
        "state the uncertainty 'a': its size is not finite everywhere; give a finite size.",
    ),
    "no degrees of freedom": (
        lambda: cause("a", 1.0, dof=0),
        (
            "state the uncertainty 'a': 0 degrees of freedom cannot be; give the number of observations less "
            "the number of quantities estimated from them."
        ),
    ),
    "an unknown word": (
        lambda: cause("a", 1.0, across="partly"),
        (
            "state the uncertainty 'a': across='partly', evaluation='B' are not among full, none and A, B; "
            "choose from these."
        ),
    ),
    "different length": (
        lambda: Uncertainty.none(2).plus(Uncertainty.none(3)),
        "combine two uncertainties: one has 2 points, the other 3; bring both curves onto one grid first.",
    ),
    "one cause, two ways across frequency": (
        lambda: Uncertainty.of(2, [cause("a", 1.0)]).plus(Uncertainty.of(2, [cause("a", 1.0, across="none")])),
        (
            "combine two uncertainties: the cause 'a' moves all frequencies together in one and each by "
            "itself in the other; give two different causes two identities."
        ),
    ),
    "draws in another number": (
        lambda: [
            Uncertainty.of(2, [cause("a", 1.0)]).draws_db(n, np.random.default_rng(1), shared)
            for shared in [{}]
            for n in (10, 20)
        ],
        "draw 20 errors of 'a': 10 are shared with another curve; draw the same number for every curve.",
    ),
}


@pytest.mark.parametrize("case", REFUSALS)
def test_what_cannot_be_is_refused(case):
    ask, sentence = REFUSALS[case]
    with pytest.raises(InputError) as refusal:
        ask()
    assert str(refusal.value) == sentence


def test_one_contribution_is_spread_over_all_points():
    assert Uncertainty.of(3, [cause("a", 0.3)]).u_db.tolist() == [0.3, 0.3, 0.3]
