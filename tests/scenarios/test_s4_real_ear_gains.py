"""S4, open dome: gains from levels at the probe, openness, targets met, and the reference microphone."""

import numpy as np
import pytest
from invented_clients import TOLERANCE_DB, at, client, columns, gain, tags

from umbo.core import Bandwidth, Grid, Level, Plane, Statistic
from umbo.ear import insertion_gain, insertion_loss, openness, real_ear_gain
from umbo.prescription import nal_r_insertion_gain

GIVEN, EXPECTED = client("S4")
HZ = columns(GIVEN["REUG"])[0]


def response(name):
    """A level at the probe tip, 5 mm from the drum, for speech of 65 dB that is 50 dB in each band."""
    values = 50.0 + columns(GIVEN[name])[1]
    return level(values, Plane.probe_tip(5.0))


def level(values, plane):
    return Level.given(
        Grid(HZ, Bandwidth.THIRD_OCTAVE),
        values,
        plane=plane,
        tags=tags("response", stimulus="speech 65", statistic=Statistic.RMS),
        source="measured, invented client",
    )


FIELD = level([50.0] * 6, Plane.free_field())


def test_gains_from_levels():
    reug = real_ear_gain(response("REUG"), FIELD, "REUG")
    reig = insertion_gain(real_ear_gain(response("REAG65"), FIELD, "REAG"), reug)  # F8
    assert at(reig, EXPECTED["REIG"]) == pytest.approx([1, 10, 16, 21, 21, 12], abs=TOLERANCE_DB)
    loss = insertion_loss(real_ear_gain(response("REOG"), FIELD, "REOG"), reug)
    assert at(loss, EXPECTED["insertion_loss"]) == pytest.approx([0, -0.5, -2, -4, -3, -3], abs=TOLERANCE_DB)
    assert openness(loss).word == "open"


def test_insertion_gain_against_the_open_rule():
    reig = insertion_gain(gain(GIVEN["REAG65"], "REAG"), gain(GIVEN["REUG"], "REUG"))
    hz, hearing = columns(GIVEN["HL"])
    target = dict(zip(hz, nal_r_insertion_gain(hz, hearing), strict=True))
    deviation = np.array([reig.value_at(f) - target[f] for f in HZ])
    assert deviation == pytest.approx([-4.2, -7.4, -4.0, -1.1, -2.6, -13.2], abs=TOLERANCE_DB)
    rms = np.sqrt(np.mean(deviation[[0, 1, 2, 4]] ** 2))  # F9
    assert rms == pytest.approx(4.88, abs=0.01)
