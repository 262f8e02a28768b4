"""NAL-R on arrays: its algebra, what it refuses, and the gains another library computes."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.errors import OutOfRangeError
from umbo.prescription import (
    NAL_R_HZ,
    nal_r_constants,
    nal_r_insertion_gain,
    nal_rp_insertion_gain,
)

HZ = np.array(NAL_R_HZ)
LIBRARY_HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0, 6000.0])
losses = st.lists(st.floats(-10.0, 110.0), min_size=HZ.size, max_size=HZ.size)


def test_constants_come_from_the_table():
    k, source = nal_r_constants()
    assert tuple(k) == NAL_R_HZ
    assert source.startswith("table nal_r/byrne-dillon-1986 (")
    assert "from memory" in source


def test_flat_loss_by_hand():
    """50 dB everywhere: X = 7.5, IG = 7.5 + 15.5 + k."""
    found = dict(zip(NAL_R_HZ, nal_r_insertion_gain(HZ, np.full(HZ.size, 50.0)), strict=True))
    assert found[250.0] == pytest.approx(6.0)
    assert found[1000.0] == pytest.approx(24.0)
    assert found[4000.0] == pytest.approx(21.0)


@given(level=losses, shift=st.floats(0.0, 10.0))
def test_gain_is_linear_in_loss(level, shift):
    low = nal_r_insertion_gain(HZ, np.array(level))
    high = nal_r_insertion_gain(HZ, np.array(level) + shift)
    assert high - low == pytest.approx(np.full(HZ.size, (0.15 + 0.31) * shift), abs=1e-9)


def test_leading_axes():
    many = np.full((3, 2, HZ.size), 40.0)
    assert nal_r_insertion_gain(HZ, many).shape == many.shape


@pytest.mark.parametrize(
    ("hz", "level", "sentence"),
    [
        ([500.0, 1000.0, 2000.0, 8000.0], [40] * 4, "prescribe NAL-R gain at 8000 Hz"),
        ([500.0, 1000.0], [40] * 2, "the threshold at 2000 Hz is missing"),
        ([500.0, 1000.0, 2000.0], [40, 40, 131], "outside -20 to 130 dB HL"),
        ([500.0, 1000.0, 2000.0], [40, 40, np.nan], "outside -20 to 130 dB HL"),
    ],
)
def test_gain_refuses(hz, level, sentence):
    with pytest.raises(OutOfRangeError, match=sentence):
        nal_r_insertion_gain(np.array(hz), np.array(level, dtype=float))


def library_values():
    """Audiograms and gains of pyclarity 0.9.0: see make_nal_r_references.py. [dB HL], [dB]"""
    with Path(__file__).with_name("nal_r_references.csv").open(encoding="utf-8") as file:
        rows = np.array([[float(v) for v in row] for row in list(csv.reader(file))[1:]])
    return rows[:, :6], rows[:, 6:]


def test_gains_are_those_of_the_library_up_to_a_sum_of_180_db():
    """pyclarity 0.9.0 sets negative gains to zero."""
    levels, expected = library_values()
    is_linear = levels[:, 1:4].sum(axis=1) <= 180
    assert is_linear.sum() > 20
    found = np.maximum(nal_r_insertion_gain(LIBRARY_HZ, levels), 0.0)
    assert found[is_linear] == pytest.approx(expected[is_linear], abs=0.01)
    assert np.abs(found[~is_linear] - expected[~is_linear]).max() > 1.0  # the library goes on with the later rule


def test_gains_with_the_rule_for_large_sums_are_those_of_the_library():
    """Below 95 dB HL at 2 kHz NAL-RP is what the library computes; above, it corrects and the library does not."""
    levels, expected = library_values()
    is_plain = levels[:, 3] < 95
    assert (is_plain & (levels[:, 1:4].sum(axis=1) > 180)).sum() > 10
    found = np.maximum(nal_rp_insertion_gain(LIBRARY_HZ, levels), 0.0)
    assert found[is_plain] == pytest.approx(expected[is_plain], abs=0.01)
