"""Our few Bessel values against scipy.special (Amos' and Cephes' routines)."""

import numpy as np
import pytest
from scipy import special

from umbo.acoustics._bessel import LARGEST_RATIO, ratio_j1_j0, real_bessel, zeros_of_j1
from umbo.errors import OutOfRangeError


def test_ratio_over_the_whole_range_of_narrow_tubes():
    z = np.geomspace(1e-3, LARGEST_RATIO, 400) * np.exp(0.75j * np.pi)
    np.testing.assert_allclose(ratio_j1_j0(z), special.jve(1, z) / special.jve(0, z), rtol=1e-13)


@pytest.mark.parametrize("order", [0, 1])
def test_real_arguments(order):
    x = np.linspace(0.0, 4001)
    np.testing.assert_allclose(real_bessel(order, x), special.jv(order, x), atol=2e-14, rtol=0)


def test_zeros():
    assert zeros_of_j1(0).shape == (0,)
    np.testing.assert_allclose(zeros_of_j1(240), special.jn_zeros(1, 240), rtol=1e-13)


def test_ratio_beyond_its_range_is_refused():
    with pytest.raises(OutOfRangeError, match="holds up to"):
        ratio_j1_j0(np.array([25j]))
