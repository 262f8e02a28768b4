"""Loop gain from the ripple of |G / (1 - L e^(-jwt))|, a closed form."""

import numpy as np
import pytest

from umbo.dsp import loop_gain
from umbo.errors import OutOfRangeError

HZ = np.arange(200.0, 8000.0, 4.0)


def response(loop, delay_s, at_hz=2500.0):
    smooth = 30 + 10 * np.exp(-((np.log2(HZ / 1500) / 0.4) ** 2)) - 8 * np.exp(-((np.log2(HZ / 3500) / 0.3) ** 2))
    gain = loop * np.exp(-((np.log2(HZ / at_hz)) ** 2))
    return 10 ** (smooth / 10) / np.abs(1 - gain * np.exp(-2j * np.pi * HZ * delay_s)) ** 2


@pytest.mark.parametrize("loop", [0.1, 0.3, 0.5, 0.7])
@pytest.mark.parametrize("delay_s", [0.004, 0.0065, 0.012])
def test_margin(loop, delay_s):
    found = loop_gain(HZ, response(loop, delay_s))
    assert found.margin_db == pytest.approx(-20 * np.log10(loop), abs=1.5)
    assert found.delay_s == pytest.approx(delay_s, rel=0.05)
    assert found.frequency_hz == pytest.approx(2500, rel=0.25)


def test_without_feedback_there_is_next_to_nothing():
    assert loop_gain(HZ, response(0.0, 0.006)).magnitude < 0.03


def test_coarse_axis_is_refused():
    with pytest.raises(OutOfRangeError, match="look for feedback"):
        loop_gain(HZ[::20], response(0.3, 0.006)[::20])
