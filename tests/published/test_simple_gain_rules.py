"""Half-gain, POGO (McCandless & Lyregaard 1983), POGO II (Schwartz et al. 1988), Berger, Libby: worked by hand.

Constants from memory: no paper was read. The expected values are worked from the rules as they are usually stated.
"""

import numpy as np
import pytest

from umbo.prescription import (
    BERGER_HZ,
    LIBBY_HZ,
    POGO_HZ,
    berger_insertion_gain,
    half_gain_insertion_gain,
    libby_insertion_gain,
    pogo_ii_insertion_gain,
    pogo_insertion_gain,
)


def flat(hz, level_db):
    return np.array(hz), np.full(len(hz), level_db)


def test_half_gain():
    assert half_gain_insertion_gain(np.array([500.0, 2000.0]), np.array([30.0, 70.0])).tolist() == [15.0, 35.0]


def test_pogo():
    """Half of 60 dB, less 10 dB at 250 Hz and 5 dB at 500 Hz."""
    assert pogo_insertion_gain(*flat(POGO_HZ, 60.0)).tolist() == [20.0, 25.0, 30.0, 30.0, 30.0, 30.0]


def test_pogo_ii():
    """At 85 dB: as POGO, plus half of the 20 dB above 65 dB."""
    assert pogo_ii_insertion_gain(*flat(POGO_HZ, 85.0)).tolist() == [42.5, 47.5, 52.5, 52.5, 52.5, 52.5]
    assert pogo_ii_insertion_gain(*flat(POGO_HZ, 65.0)) == pytest.approx(pogo_insertion_gain(*flat(POGO_HZ, 65.0)))


def test_berger():
    """60 dB divided by 2, 1.6, 1.5, 1.7, 1.9, 2."""
    expected = [30.0, 37.5, 40.0, 35.294, 31.579, 30.0]
    assert berger_insertion_gain(*flat(BERGER_HZ, 60.0)) == pytest.approx(expected, abs=0.001)


def test_libby():
    """A third of 60 dB, less 5 dB at 250 Hz, 3 dB at 500 Hz and 5 dB at 6 kHz."""
    expected = [15.0, 17.0, 20.0, 20.0, 20.0, 20.0, 15.0]
    assert libby_insertion_gain(*flat(LIBBY_HZ, 60.0)) == pytest.approx(expected, abs=0.001)
