"""Subtraction of noise power: its mean, its uncertainty by simulation, and its bound."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.dsp import subtract_noise_power
from umbo.errors import OutOfRangeError


def _simulate(signal_over_noise_db, bins, repeats, rng, trials=4000):
    """Band power of the mean of repeats, and the noise in it from their differences."""
    amplitude = np.sqrt(10 ** (signal_over_noise_db / 10))  # noise power of the mean is 1
    noise = rng.standard_normal((2, trials, repeats, bins)) * np.sqrt(repeats / 2)
    values = amplitude + noise[0] + 1j * noise[1]
    measured = np.mean(np.abs(values.mean(axis=1)) ** 2, axis=-1)
    spread = np.var(values, axis=1, ddof=1).mean(axis=-1) / repeats
    return amplitude**2, measured, spread


@pytest.mark.parametrize("repeats", [2, 4])
@pytest.mark.parametrize("bins", [4, 30])
@pytest.mark.parametrize("snr_db", [6.0, 10.0, 20.0, 40.0])
def test_stated_uncertainty_covers(snr_db, bins, repeats, show):
    rng = np.random.default_rng(7)
    true, measured, noise = _simulate(snr_db, bins, repeats, rng)
    result = subtract_noise_power(measured, noise, independent_bins=bins, noise_dof=2 * bins * (repeats - 1))
    error_db = 10 * np.log10(result.power / true)
    within = np.abs(error_db) < 2 * result.u_db
    show(f"{snr_db:4.0f} dB, {bins} bins, {repeats} repeats: 2u covers {100 * within.mean():.1f} %")
    assert 0.93 < within.mean() < 0.985
    dof = 2 * bins * (repeats - 1)
    spread_db = 10 / np.log(10) * np.sqrt(dof / (dof - 2)) * np.std(result.power) / true
    assert np.median(result.u_db) == pytest.approx(spread_db, rel=0.15)


def test_subtraction_is_unbiased_where_the_reading_alone_is_3_db_off():
    rng = np.random.default_rng(11)
    true, measured, noise = _simulate(0.0, 30, 4, rng)
    assert 10 * np.log10(measured.mean() / true) == pytest.approx(3.01, abs=0.1)
    assert np.mean(measured - noise) == pytest.approx(true, rel=0.02)


def test_without_a_signal_it_is_rarely_detected_and_the_bound_is_one_sigma():
    rng = np.random.default_rng(12)
    _, measured, noise = _simulate(-400.0, 30, 4, rng)
    result = subtract_noise_power(measured, noise, independent_bins=30, noise_dof=180)
    assert 0.1 < result.detected.mean() < 0.22  # one-sided one sigma: 16 %
    off = ~result.detected
    np.testing.assert_allclose(result.power[off], noise[off] * np.sqrt(1 / 30 + 2 / 180))


def test_published_bias_of_an_uncorrected_reading():
    """10 lg(1 - 10^(-x/10)): 3.0 dB at 3 dB, 1.65 at 5, 1.26 at 6, 0.46 at 10, 0.14 at 15 (closed form)."""
    over_db = np.array([3.0, 5.0, 6.0, 10.0, 15.0])
    measured = 10 ** (over_db / 10)
    result = subtract_noise_power(measured, 1.0, independent_bins=1e6, noise_dof=1e6)
    np.testing.assert_allclose(over_db - 10 * np.log10(result.power), [3.02, 1.65, 1.26, 0.46, 0.14], atol=0.006)
    np.testing.assert_allclose(result.over_noise_db, over_db)


@given(
    measured=st.floats(0, 1e6),
    noise=st.floats(0, 1e6),
    bins=st.floats(1, 1e5),
    dof=st.floats(1, 1e5),
)
def test_never_nan_never_zero(measured, noise, bins, dof):
    result = subtract_noise_power(measured, noise, independent_bins=bins, noise_dof=dof)
    for value in (result.power, result.u_db, result.over_noise_db, result.signal_to_noise_db):
        assert np.all(np.isfinite(value))
    assert result.power > 0
    assert result.power <= max(measured, 2 * noise, 1e-300)


@pytest.mark.parametrize("arguments", [(-1.0, 1.0, 2, 2), (1.0, np.nan, 2, 2), (1.0, 1.0, 0, 2), (1.0, 1.0, 2, 0)])
def test_impossible_powers_are_refused(arguments):
    measured, noise, bins, dof = arguments
    with pytest.raises(OutOfRangeError, match="subtract noise from a measured power"):
        subtract_noise_power(measured, noise, independent_bins=bins, noise_dof=dof)
