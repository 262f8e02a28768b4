"""Byrne, Parkinson & Newall 1990, Ear Hear. 11:40: NAL-RP; large sums at second hand, the correction from memory."""

import numpy as np
import pytest

from umbo.prescription import nal_rp_insertion_gain, nal_rp_profound_correction

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0])


def test_worked_example():
    """Worked by hand: S = 80 + 90 + 100 = 270, X = 9 + 0.116 x 90 = 19.44; correction of the row 100 dB HL."""
    found = nal_rp_insertion_gain(HZ, np.array([70.0, 80.0, 90.0, 100.0, 110.0]))
    expected = [
        19.44 + 21.7 - 17 + 6,  # 250 Hz
        19.44 + 24.8 - 8 + 4,
        19.44 + 27.9 + 1 + 0,
        19.44 + 31.0 - 1 - 3,
        19.44 + 34.1 - 2 - 3,  # 4 kHz
    ]
    assert found == pytest.approx(expected, abs=1e-9)


def test_the_two_lines_of_the_sum_meet():
    """0.05 x 180 = 9: at a sum of 180 dB both lines give the same."""
    below, above = (nal_rp_insertion_gain(HZ, np.array([60.0, 60.0, 60.0, h, 60.0]))[4] for h in (60.0, 60.001))
    assert above - below == pytest.approx(0.0, abs=0.001)


def test_correction_rows_from_memory():
    """Rows of 95, 110 and 120 dB HL at 250, 500, 1000, 2000, 4000 Hz; between rows a straight line."""
    found = nal_rp_profound_correction(HZ, np.array([94.9, 95.0, 97.5, 110.0, 120.0]))
    expected = [
        [0, 0, 0, 0, 0],
        [4, 3, 0, -2, -2],
        [5, 3.5, 0, -2.5, -2.5],
        [11, 7, 0, -6, -6],
        [15, 9, 0, -9, -9],
    ]
    assert found == pytest.approx(np.array(expected, dtype=float))
