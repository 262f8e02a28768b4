"""Byrne & Dillon 1986: constants of the linear insertion-gain rule, as the table has them; the paper was not read.

Read in one public library and recalled, but for 750, 1500 and 3000 Hz, which are from memory.
"""

import numpy as np
import pytest

from umbo import refdata
from umbo.prescription import nal_r_insertion_gain


def test_constants():
    found = refdata.table("nal_r", source="byrne-dillon-1986")
    expected = {250: -17, 500: -8, 1000: 1, 2000: -1, 3000: -2, 4000: -2, 6000: -2}
    assert {f: found.at(f, "k_db") for f in expected} == expected
    assert all(found.status_at(hz, "k_db") == "from memory" for hz in (750, 1500, 3000))


def test_sloping_loss_by_hand():
    """An invented loss: X = 0.05 (25 + 35 + 50) = 5.5; gains worked by hand to 0.1 dB, not printed in the paper."""
    threshold_db_hl = {250: 20, 500: 25, 1000: 35, 2000: 50, 3000: 60, 4000: 65, 6000: 70}
    by_hand = [-5.3, 5.2, 17.4, 20.0, 22.1, 23.6, 25.2]
    found = nal_r_insertion_gain(np.array(list(threshold_db_hl), dtype=float), np.array(list(threshold_db_hl.values())))
    assert found == pytest.approx(by_hand, abs=0.051)
