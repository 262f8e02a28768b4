"""Byrne & Dillon 1986: constants of the linear insertion-gain rule."""

import pytest

from umbo import refdata


def test_constants():
    found = refdata.table("nal_r", source="byrne-dillon-1986")
    expected = {250: -17, 500: -8, 1000: 1, 2000: -1, 3000: -2, 4000: -2, 6000: -2}
    assert {f: found.at(f, "k_db") for f in expected} == expected
    assert found.status_at(3000, "k_db") == "from memory"


def test_worked_example():
    """A sloping loss: X = 0.05 (25 + 35 + 50) = 5.5; gains printed to 0.1 dB."""
    found = refdata.table("nal_r", source="byrne-dillon-1986")
    threshold_db_hl = {250: 20, 500: 25, 1000: 35, 2000: 50, 3000: 60, 4000: 65, 6000: 70}
    gain_db = {f: 5.5 + 0.31 * h + found.at(f, "k_db") for f, h in threshold_db_hl.items()}
    printed = {250: -5.3, 500: 5.2, 1000: 17.4, 2000: 20.0, 3000: 22.1, 4000: 23.6, 6000: 25.2}
    assert gain_db == pytest.approx(printed, abs=0.051)
