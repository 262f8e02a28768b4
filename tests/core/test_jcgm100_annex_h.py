"""Worked examples of JCGM 100:2008 (GUM), Annex H, as causes with identity.

H.2 (Tables H.2 to H.4): five simultaneous readings of voltage, current and phase give resistance,
reactance and impedance. Readings and results were compared with a public transcription of the example
(tests and documentation of the GUM Tree Calculator), those of the impedance and its correlations to two
digits only; their third digit is from memory. H.1.6 (effective degrees of freedom): the inputs were
compared with the public examples of the R package propagate; the printed result, 16.7 taken as 16, is
from memory.

The vocabulary is about decibels over frequency, but its arithmetic is that of JCGM 100: here three
points stand for the three results, and one point for a length in nanometres.

Notes
-----
Table H.3 prints 0.295 Ω for the reactance. First order from the means gives 0.29558 Ω; the second
approach, from the five single reactances, 0.29549 Ω. Both are pinned below, the first to one unit of the
printed digit.
"""

import numpy as np
import pytest

from umbo.core import Budget, Component, Uncertainty

VOLTAGE_V = np.array([5.007, 4.994, 5.005, 4.990, 4.999])  # Table H.2
CURRENT_A = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) * 1e-3
PHASE_RAD = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])


def impedance(voltage_v, current_a, phase_rad):
    """Resistance, reactance and impedance, Eqs. H.7. [Ω]"""
    size = voltage_v / current_a
    return np.array([size * np.cos(phase_rad), size * np.sin(phase_rad), size])


def slopes(voltage_v, current_a, phase_rad):
    """Derivatives of the three results (rows) by voltage, current and phase (columns)."""
    r, x, z = impedance(voltage_v, current_a, phase_rad)
    return np.array(
        [
            [r / voltage_v, -r / current_a, -x],
            [x / voltage_v, -x / current_a, r],
            [z / voltage_v, -z / current_a, 0.0],
        ]
    )


@pytest.fixture
def result():
    """The uncertainty of the three results by independent causes.

    The three input means are correlated (Table H.2); a square root of their covariance tells independent
    causes apart, each of which moves all three results: the same identity at each point.
    """
    readings = np.array([VOLTAGE_V, CURRENT_A, PHASE_RAD])
    root = np.linalg.cholesky(np.cov(readings) / readings.shape[1])
    contributions = slopes(*readings.mean(axis=1)) @ root
    parts = [
        Component(name, name, column, across="full", evaluation="A", source="Table H.2", dof=4)
        for name, column in zip(("first", "second", "third"), contributions.T, strict=True)
    ]
    return Uncertainty.of(3, parts)


def test_h2_input_estimates():
    means = [VOLTAGE_V.mean(), CURRENT_A.mean() * 1e3, PHASE_RAD.mean()]
    assert np.round(means, 5).tolist() == [4.999, 19.661, 1.04446]


def test_h2_results():
    estimates = impedance(VOLTAGE_V.mean(), CURRENT_A.mean(), PHASE_RAD.mean())
    assert np.round(estimates, 3).tolist() == [127.732, 219.847, 254.260]  # Table H.3


def test_h2_standard_uncertainties(result):
    assert result.u_db == pytest.approx([0.071, 0.295, 0.236], abs=0.001)  # Table H.3


def test_h2_second_approach():
    """H.2.4: each set of readings gives one value of each result; these scatter by themselves."""
    each = impedance(VOLTAGE_V, CURRENT_A, PHASE_RAD)
    assert np.round(each.mean(axis=1), 3).tolist() == [127.732, 219.847, 254.260]  # Table H.4
    assert np.round(each.std(axis=1, ddof=1) / np.sqrt(5), 3).tolist() == [0.071, 0.295, 0.236]


def test_h2_correlations_of_the_results(result):
    covariance = result.covariance_db2()
    correlation = covariance / np.outer(result.u_db, result.u_db)
    published = {(0, 1): -0.588, (0, 2): -0.485, (1, 2): 0.993}  # Table H.3
    for (one, other), value in published.items():
        assert correlation[one, other] == pytest.approx(value, abs=0.0005)


def test_h2_random_draws_through_the_model(result):
    """The full, non-linear model agrees: the example is nearly linear."""
    n = 50_000
    rng = np.random.default_rng(1995)
    readings = np.array([VOLTAGE_V, CURRENT_A, PHASE_RAD])
    inputs = rng.multivariate_normal(readings.mean(axis=1), np.cov(readings) / 5, size=n, method="cholesky")
    direct = impedance(*inputs.T)
    assert np.allclose(direct.std(axis=1), result.u_db, rtol=4.5 / np.sqrt(2 * n))
    draws = result.draws_db(n, rng)
    assert np.allclose(draws.std(axis=0), result.u_db, rtol=4.5 / np.sqrt(2 * n))


def test_h1_effective_degrees_of_freedom():
    """H.1.6: 25 nm (18), 9.7 nm (25.6), 2.9 nm (50), 16.6 nm (2): together 32 nm with 16.7, taken as 16."""
    causes = {
        "standard": (25, 18),
        "difference": (9.7, 25.6),
        "expansion": (2.9, 50),
        "temperature": (16.6, 2),
    }
    parts = [
        Component(name, name, size, across="full", evaluation="B", source="H.1", dof=dof)
        for name, (size, dof) in causes.items()
    ]
    budget = Budget.of("length", 1000.0, Uncertainty.of(1, parts), 0)
    assert round(budget.u_db) == 32
    assert budget.dof == pytest.approx(16.7, abs=0.1)  # inputs are rounded: one unit of the printed digit
    assert int(budget.dof) == 16
    assert [line.id for line in budget.lines] == ["standard", "temperature", "difference", "expansion"]
    assert sum(line.share for line in budget.lines) == pytest.approx(1.0)
