"""The batched fit against a general-purpose library, and its evidence against closed forms."""

import numpy as np
import pytest
from scipy import optimize, stats

from umbo.diagnosis import _fit
from umbo.diagnosis._fit import DEGREES, Problem, fit

N, K = 30, 3
X = np.linspace(0, 1, N)


def curved(z, rows):
    """A model that is not linear in its parameters, and differs from row to row."""
    return 4 * np.exp(-2 * z[:, :1] * X) + z[:, 1:2] * X + z[:, 2:] * np.sin(5 * X) + 0.1 * rows[:, np.newaxis]


def problem(observed, model=curved, free=None, whitening=None):
    rows = len(observed)
    return Problem(
        predict=model,
        observed=observed,
        whitening=np.eye(N)[np.newaxis].repeat(rows, 0) if whitening is None else whitening,
        data=np.arange(rows),
        is_free=np.ones((rows, K), bool) if free is None else free,
    )


def observed(rng, rows, outlier=0.0):
    z = rng.normal(0, 0.6, (rows, K))
    y = curved(z, np.arange(rows)) + rng.normal(0, 0.3, (rows, N))
    y[:, 11] += outlier
    return z, y


def test_the_same_minimum_as_a_general_optimiser():
    """scipy.optimize.minimize (BFGS) on the same function, each row by itself."""
    _, y = observed(np.random.default_rng(1), 6, outlier=6.0)
    found = fit(problem(y), np.zeros((6, K)), 60)
    for row in range(6):

        def cost(z, row=row):
            residual = curved(z[np.newaxis], np.array([row]))[0] - y[row]
            return 0.5 * (DEGREES + 1) * np.log1p(residual**2 / DEGREES).sum() + 0.5 * (z**2).sum()

        best = optimize.minimize(cost, found.z[row])
        assert cost(found.z[row]) == pytest.approx(best.fun, abs=0.02)


def test_outliers_hardly_move_it():
    """One point far off shifts the estimate by less than a tenth of what least squares would let it."""
    rng = np.random.default_rng(2)
    z, y = observed(rng, 20)
    spoilt = y.copy()
    spoilt[:, 11] += 15.0
    start = np.zeros_like(z)
    shift = np.abs(fit(problem(spoilt), start, 60).z - fit(problem(y), start, 60).z).max()

    def squares(data):
        rows = np.arange(20)
        return np.array([
            optimize.least_squares(
                lambda p, i=i: np.append(curved(p[np.newaxis], rows[i : i + 1])[0] - data[i], p), np.zeros(K)
            ).x
            for i in rows
        ])  # fmt: skip

    assert shift < 0.1 * np.abs(squares(spoilt) - squares(y)).max()


def test_evidence_of_a_linear_model_is_exact(monkeypatch):
    """With normal errors and a linear model, Laplace's evidence is the normal density of JJ' + C (closed form)."""
    monkeypatch.setattr(_fit, "DEGREES", 1e8)
    rng = np.random.default_rng(3)
    jacobian = rng.normal(0, 1, (K, N))
    error = np.diag(rng.uniform(0.5, 2.0, N)) + 0.3
    whitening = np.linalg.inv(np.linalg.cholesky(error))
    y = rng.multivariate_normal(np.zeros(N), jacobian.T @ jacobian + error, size=3) / 1.5
    linear = problem(y, lambda z, _: z @ jacobian, whitening=whitening[np.newaxis].repeat(3, 0))
    found = fit(linear, np.zeros((3, K)), 60)
    expected = stats.multivariate_normal(np.zeros(N), jacobian.T @ jacobian + error).logpdf(y)
    np.testing.assert_allclose(found.log_evidence, expected, atol=0.01)
    covariance = np.linalg.inv(jacobian @ np.linalg.inv(error) @ jacobian.T + np.eye(K))
    np.testing.assert_allclose(found.covariance[0], covariance, atol=1e-4)


def test_what_is_not_free_stays_with_its_prior():
    _, y = observed(np.random.default_rng(5), 2)
    free = np.array([[True, True, True], [True, False, True]])
    found = fit(problem(y, free=free), np.full((2, K), 0.4), 60)
    assert found.z[1, 1] == 0.0
    assert found.covariance[1, 1, 1] == pytest.approx(1.0)
    assert found.log_evidence[1] < found.log_evidence[0] + 5


def test_a_needless_parameter_costs_evidence():
    """Occam's factor: a parameter the data do not need lowers the evidence on average."""
    rng = np.random.default_rng(6)
    z = rng.normal(0, 0.6, (40, K))
    z[:, 2] = 0.0
    y = curved(z, np.zeros(40)) + rng.normal(0, 0.3, (40, N))

    def model(z, rows):
        return curved(z, np.zeros(len(rows)))

    lean = np.tile([True, True, False], (40, 1))
    sharp = np.eye(N)[np.newaxis].repeat(40, 0) / 0.3
    rich = fit(problem(y, model, whitening=sharp), np.zeros_like(z), 60).log_evidence
    poor = fit(problem(y, model, lean, sharp), np.zeros_like(z), 60).log_evidence
    assert (poor - rich).mean() > 0.3
