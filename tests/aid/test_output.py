"""The aid's own output in a coupler."""

import numpy as np
import pytest

from umbo.aid import HFA_HZ, high_frequency_average_db, maximum_db, saturation_finding
from umbo.core import Bandwidth, Ear, Grid, Level, Plane, PointState, Severity, Source, Statistic, Tags
from umbo.errors import InputError

HZ = np.array([500.0, 1000.0, 1600.0, 2500.0, 4000.0])


def output(values, hz=HZ):
    tags = Tags(
        quantity="maximum output",
        ear=Ear.RIGHT,
        stimulus="sweep",
        statistic=Statistic.RMS,
        coupling=None,
        source=Source.AID,
    )
    return Level.given(Grid(hz, Bandwidth.TONE), values, plane=Plane.coupler("ha1"), tags=tags, source="invented")


def test_high_frequency_average():
    assert HFA_HZ == (1000.0, 1600.0, 2500.0)
    assert high_frequency_average_db(output([100, 108, 110, 107.5, 90])) == pytest.approx(108.5)


def test_average_without_a_frequency_is_refused():
    with pytest.raises(InputError, match="read a curve at 1600 Hz"):
        high_frequency_average_db(output([100, 108, 107.5], HZ[[0, 1, 3]]))


def test_maximum_skips_what_cannot_be_used():
    level = output([100, 120, 118, 110, 90])
    assert maximum_db(level) == (120.0, 1000.0)
    assert maximum_db(level.marked(PointState.CLIPPED, level.level_db > 119, "clipped")) == (118.0, 1600.0)


def test_output_that_follows_its_input_is_not_the_maximum():
    speech = np.full(HZ.size, 40.0)
    finding = saturation_finding(speech - 1.0, speech, HZ)
    assert finding is not None
    assert finding.code == "not_saturated"
    assert finding.severity is Severity.WARN
    assert "falls by at most 1.0 dB" in finding.text
    assert saturation_finding(speech - np.array([0.0, 0, 12, 0, 0]), speech, HZ) is None
    assert saturation_finding(speech[:1], speech[:1], np.array([200.0])) is None
