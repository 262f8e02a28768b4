"""Band averages against a plain transcription, and their algebra."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.dsp import band_centres_hz, band_coverage, band_edges_hz, band_mean_power
from umbo.errors import OutOfRangeError


def _plain(frequency_hz, power, low_hz, high_hz):
    """Overlap of every bin with the band, one by one."""
    step = frequency_hz[1] - frequency_hz[0]
    total = 0.0
    for hz, value in zip(frequency_hz, power, strict=True):
        overlap = min(high_hz, hz + step / 2) - max(low_hz, hz - step / 2)
        total += value * max(overlap, 0.0)
    return total / (high_hz - low_hz)


@settings(max_examples=25, deadline=None)
@given(
    step_hz=st.floats(0.5, 40.0),
    centre_hz=st.floats(120.0, 800.0),
    fraction=st.sampled_from([1, 3, 12, 24]),
    seed=st.integers(0, 2**32 - 1),
)
def test_mean_is_the_plain_sum_of_overlaps(step_hz, centre_hz, fraction, seed):
    frequency_hz = np.arange(20.0, 1500.0, step_hz)
    power = np.random.default_rng(seed).exponential(size=frequency_hz.size)
    low, high = band_edges_hz([centre_hz], fraction)
    mean = band_mean_power(frequency_hz, power, [centre_hz], fraction)
    assert mean[0] == pytest.approx(_plain(frequency_hz, power, low[0], high[0]), rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), scale=st.floats(1e-12, 1e6))
def test_mean_is_linear_and_bounded(seed, scale):
    rng = np.random.default_rng(seed)
    frequency_hz = np.arange(50.0, 20000.0, 7.0)
    first, second = rng.exponential(size=(2, frequency_hz.size))
    centre_hz = band_centres_hz(125.0, 16000.0, 12)
    both = band_mean_power(frequency_hz, np.stack([first, second]), centre_hz, 12)
    mixed = band_mean_power(frequency_hz, first + scale * second, centre_hz, 12)
    np.testing.assert_allclose(mixed, both[0] + scale * both[1], rtol=1e-7)
    assert np.all(both >= 0)
    assert np.all(both[0] <= first.max() * (1 + 1e-9))


def test_a_band_narrower_than_a_bin_has_the_bins_value():
    frequency_hz = np.array([100.0, 120.0, 140.0])
    mean = band_mean_power(frequency_hz, np.array([1.0, 5.0, 2.0]), [121.0], 24)
    assert mean[0] == pytest.approx(5.0)


def test_adjacent_bands_tile_the_axis():
    centre_hz = band_centres_hz(100.0, 10000.0, 3)
    low, high = band_edges_hz(centre_hz, 3)
    np.testing.assert_allclose(low[1:], high[:-1], rtol=1e-12)
    frequency_hz = np.arange(1.0, 20000.0, 3.0)
    power = np.random.default_rng(2).exponential(size=frequency_hz.size)
    parts = band_mean_power(frequency_hz, power, centre_hz, 3) * (high - low)
    assert parts.sum() == pytest.approx(_plain(frequency_hz, power, low[0], high[-1]) * (high[-1] - low[0]))


def test_grids_are_exact_base_ten():
    twelfth = band_centres_hz(125.0, 16000.0, 12)
    assert twelfth.size == 85
    np.testing.assert_allclose(twelfth, 1000 * 10 ** (np.arange(-36, 49) / 40))
    third = band_centres_hz(20.0, 16000.0, 3)
    assert third.size == 30
    np.testing.assert_allclose(third, 1000 * 10 ** (np.arange(-17, 13) / 10))
    assert np.all(np.isin(np.round(band_centres_hz(125.0, 16000.0, 3), 6), np.round(twelfth, 6)))


def test_a_band_that_is_not_covered_is_refused_and_coverage_says_how_much_is():
    frequency_hz = np.arange(200.0, 1000.0, 1.0)
    cover = band_coverage(frequency_hz, [100.0, 200.0, 500.0, 1000.0, 2000.0], 3)
    assert cover[0] == 0.0
    assert cover[4] == 0.0
    assert cover[2] == 1.0
    assert 0.4 < cover[1] < 0.6
    assert 0.4 < cover[3] < 0.6
    with pytest.raises(OutOfRangeError, match="average over the 1/3 octave at 200 Hz: the spectrum runs from 200 Hz"):
        band_mean_power(frequency_hz, np.ones(800), [200.0, 500.0], 3)
