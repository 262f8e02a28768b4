"""What the rules refuse, and that they work on whole arrays."""

import numpy as np
import pytest

from umbo.errors import OutOfRangeError
from umbo.prescription import (
    METHODS,
    dsl_io_output,
    dsl_io_share,
    fig6_insertion_gain,
    nal_rp_insertion_gain,
    nal_rp_profound_correction,
)

WITH_GAIN = [entry for entry in METHODS.values() if entry.gain is not None]
every_gain = pytest.mark.parametrize("entry", WITH_GAIN, ids=lambda entry: entry.key)


@every_gain
def test_a_frequency_without_a_constant_is_refused(entry):
    hz = np.array([*entry.frequency_hz, 9000.0])
    with pytest.raises(OutOfRangeError, match=r"prescribe .* gain at 9000 Hz: the method has constants at .* and"):
        entry.gain(hz, np.full(hz.size, 40.0), 65.0)


@every_gain
@pytest.mark.parametrize("level", [-21.0, 131.0, np.nan])
def test_a_level_outside_the_range_is_refused(entry, level):
    hz = np.array(entry.frequency_hz)
    with pytest.raises(OutOfRangeError, match="outside -20 to 130 dB HL"):
        entry.gain(hz, np.where(hz == 500.0, level, 40.0), 65.0)


@every_gain
def test_rules_work_on_leading_axes(entry):
    hz = np.array(entry.frequency_hz)
    many = np.random.default_rng(3).uniform(0.0, 100.0, (4, 2, hz.size))
    found = entry.gain(hz, many, 65.0)
    assert found.shape == many.shape
    assert found[2, 1] == pytest.approx(entry.gain(hz, many[2, 1], 65.0))


@every_gain
def test_a_subset_of_the_frequencies_has_the_same_gain(entry):
    hz = np.array(entry.frequency_hz)
    level = np.linspace(20.0, 80.0, hz.size)
    some = np.isin(hz, [500.0, 1000.0, 2000.0, 4000.0])
    assert entry.gain(hz[some], level[some], 65.0) == pytest.approx(entry.gain(hz, level, 65.0)[some])


@pytest.mark.parametrize("overall", [39.9, 95.1, np.nan])
def test_fig6_is_stated_from_40_to_95_db(overall):
    with pytest.raises(OutOfRangeError, match="stated from 40 to 95 dB SPL"):
        fig6_insertion_gain(np.array([1000.0]), np.array([50.0]), overall)


def test_the_profound_correction_is_not_extrapolated():
    hz = np.array([500.0, 1000.0, 2000.0])
    with pytest.raises(OutOfRangeError, match="outside -20 to 120 dB HL, where the correction is tabulated"):
        nal_rp_insertion_gain(hz, np.array([100.0, 110.0, 121.0]))
    with pytest.raises(OutOfRangeError, match="correct NAL-RP gain at 8000 Hz"):
        nal_rp_profound_correction(np.array([8000.0]), 100.0)


@pytest.mark.parametrize(
    ("level", "low", "high", "sentence"),
    [
        (50.0, 60.0, 110.0, "the input lies below the normal threshold"),
        (np.nan, 10.0, 110.0, "the input lies below the normal threshold"),
        (50.0, 40.0, 40.0, "the normal upper limit does not lie above"),
    ],
)
def test_shares_outside_the_normal_range_are_refused(level, low, high, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        dsl_io_share(level, normal_threshold_db_spl=low, normal_limit_db_spl=high)


@pytest.mark.parametrize(
    ("share", "low", "high", "exponent", "sentence"),
    [
        (1.1, 60.0, 110.0, 1.0, "a share lies outside 0 to 1"),
        (0.5, 60.0, 110.0, 0.0, "the exponent is 0, and it must lie above 0"),
        (0.5, 60.0, 110.0, np.inf, "the exponent is inf"),
        (0.5, 110.0, 110.0, 1.0, "does not lie above its threshold"),
    ],
)
def test_mappings_outside_the_range_are_refused(share, low, high, exponent, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        dsl_io_output(share, threshold_db_spl=low, limit_db_spl=high, exponent=exponent)
