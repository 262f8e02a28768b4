"""Knees and slopes of input-output curves that were drawn with straight lines."""

import numpy as np
import pytest

from umbo.dsp import knee_fit
from umbo.errors import OutOfRangeError

INPUT_DB = np.arange(40.0, 91.0, 5.0)


def drawn(x, gain, knee, ratio, ceiling=None):
    out = x + gain - (1 - 1 / ratio) * np.maximum(x - knee, 0.0)
    return out if ceiling is None else np.minimum(out, ceiling)


@pytest.mark.parametrize(("knee", "ratio"), [(50.0, 2.0), (57.0, 1.5), (62.5, 3.0)])
def test_one_knee_is_recovered(knee, ratio):
    fit = knee_fit(INPUT_DB, drawn(INPUT_DB, 40, knee, ratio), np.full(INPUT_DB.size, 0.05), most_knees=2)
    assert fit.knee_db == pytest.approx([knee], abs=0.02)
    assert fit.slope == pytest.approx([1.0, 1 / ratio], abs=0.002)


def test_two_knees_compression_and_limiting():
    x = np.arange(40.0, 101.0, 5.0)
    fit = knee_fit(x, drawn(x, 40, 52, 2.0, ceiling=106.0), np.full(x.size, 0.05), most_knees=2)
    assert fit.knee_db == pytest.approx([52.0, 80.0], abs=0.05)
    assert fit.slope == pytest.approx([1.0, 0.5, 0.0], abs=0.005)


def test_linear_has_no_knee_and_two_points_have_a_slope():
    fit = knee_fit(INPUT_DB, INPUT_DB + 20, np.full(INPUT_DB.size, 0.1), most_knees=2)
    assert fit.knee_db.size == 0
    assert fit.slope == pytest.approx([1.0])
    two = knee_fit(np.array([55.0, 90.0]), np.array([90.0, 100.0]), np.full(2, 0.1), most_knees=2)
    assert two.slope == pytest.approx([10 / 35])
    assert two.slope_u == pytest.approx([np.sqrt(2) * 0.1 / 35])


def test_uncertainty_covers_the_truth(show):
    rng = np.random.default_rng(5)
    ratio_error, covered, knees = [], [], []
    for _ in range(120):
        knee, ratio = rng.uniform(50, 65), rng.uniform(1.5, 3.0)
        noisy = drawn(INPUT_DB, 40, knee, ratio) + 0.1 * rng.standard_normal(INPUT_DB.size)
        fit = knee_fit(INPUT_DB, noisy, np.full(INPUT_DB.size, 0.1), most_knees=1)
        ratio_error.append(fit.slope[1] ** -1 / ratio - 1)
        covered.append(abs(fit.slope[1] - 1 / ratio) <= 2 * fit.slope_u[1])
        knees.append(abs(fit.knee_db[0] - knee) <= 2 * fit.knee_u_db[0])
    show(
        f"compression ratio rms error {100 * np.std(ratio_error):.1f} %, 2 u covers {100 * np.mean(covered):.0f} %, "
        f"knees {100 * np.mean(knees):.0f} %"
    )
    assert np.sqrt(np.mean(np.square(ratio_error))) < 0.05
    assert np.mean(covered) >= 0.92
    assert np.mean(knees) >= 0.92


@pytest.mark.parametrize(("x", "u"), [([50.0], [0.1]), ([60.0, 50.0], [0.1, 0.1]), ([50.0, 60.0], [0.1, 0.0])])
def test_what_is_no_curve_is_refused(x, u):
    with pytest.raises(OutOfRangeError, match="fit lines to an input-output curve"):
        knee_fit(np.array(x), np.array(x), np.array(u), most_knees=1)
