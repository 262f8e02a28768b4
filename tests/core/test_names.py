"""Nominal and exact names of third octaves (IEC 61260-1: exact by 10^(n/10); nominal names from memory)."""

import numpy as np
import pytest

from umbo.core import NOMINAL_RATIO, has_name, lies_within

NAMES = "125 160 200 250 315 400 500 630 800 1000 1250 1600 2000 2500 3150 4000 5000 6300 8000 10000 12500 16000"
NOMINAL_HZ = np.array(NAMES.split(), dtype=np.float64)
EXACT_HZ = 10 ** (np.arange(21, 43) / 10)


def test_every_pair_of_names_is_one_frequency_and_no_neighbour_is():
    both = np.abs(np.log(NOMINAL_HZ[:, None] / EXACT_HZ)) <= np.log(NOMINAL_RATIO)
    assert np.array_equal(both, np.eye(22, dtype=bool))
    assert has_name(NOMINAL_HZ, EXACT_HZ).all()
    assert not has_name(NOMINAL_HZ[::2], EXACT_HZ[1::2]).any()


@pytest.mark.parametrize(("hz", "inside"), [(7943.3, True), (8000.0, True), (8127.0, False), (985.0, False)])
def test_ends_belong_to_a_range_by_either_name(hz, inside):
    assert lies_within(hz, 1000.0, 8000.0) == inside


def test_a_side_may_be_open():
    assert lies_within([1.0, 1e5], 0.0, np.inf).all()
