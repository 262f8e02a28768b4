"""The F distribution's upper tail against scipy.special.fdtrc (Cephes)."""

import numpy as np
from scipy import special

from umbo.dsp._variance_ratio import chance_of_ratio


def test_chances_agree_with_a_library():
    rng = np.random.default_rng(20261125)
    upper = np.exp(rng.uniform(np.log(2.0), np.log(2e4), 4000))
    lower = upper * rng.integers(1, 9, upper.size)
    near_one = 1 + rng.uniform(-2, 4, upper.size) / np.sqrt(upper)
    ratio = np.where(rng.random(upper.size) < 0.5, np.abs(near_one) + 1e-3, np.exp(rng.uniform(-3, 4, upper.size)))
    np.testing.assert_allclose(
        chance_of_ratio(ratio, upper, lower), special.fdtrc(upper, lower, ratio), rtol=1e-8, atol=1e-200
    )


def test_two_against_two_degrees_of_freedom():
    """For (2, 2) degrees of freedom the tail is 1 / (1 + r), by integration of the density."""
    ratio = np.array([0.1, 1.0, 3.0, 99.0])
    np.testing.assert_allclose(chance_of_ratio(ratio, np.full(4, 2.0), np.full(4, 2.0)), 1 / (1 + ratio), rtol=1e-12)
