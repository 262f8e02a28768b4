"""The running mean against scipy.ndimage."""

import numpy as np
import pytest
from scipy.ndimage import uniform_filter1d

from umbo.dsp._arrays import running_mean


@pytest.mark.parametrize("width", [1, 2, 3, 8, 15])
def test_running_mean_is_that_of_scipy(width):
    values = np.random.default_rng(width).uniform(0, 1, (3, 40))
    assert running_mean(values, width) == pytest.approx(uniform_filter1d(values, width, axis=-1, mode="nearest"))
