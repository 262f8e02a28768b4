"""Where the probe is taken to be: declared, from a notch, or bounded."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.core import Severity
from umbo.ear import NotchEstimate, probe_limit, probe_mark, probe_position
from umbo.errors import OutOfRangeError

NONE = NotchEstimate(None, 3.0, 1.7)


def notch(distance_mm):
    return NotchEstimate(1.15 * 351350 / (4 * distance_mm), distance_mm, 1.0)


def test_declared_and_no_notch():
    found = probe_position(4.0, NONE)
    assert (found.distance_mm, found.u_mm, found.known_by, found.findings) == (4.0, 1.0, "declared", ())


def test_declared_at_the_drum_has_no_uncertainty():
    assert probe_position(0.0, NONE).u_mm == 0.0


def test_nothing_declared_is_bounded_and_said():
    found = probe_position(None, NONE)
    assert (found.distance_mm, found.u_mm, found.known_by) == (3.0, 1.7, "bound")
    assert [f.code for f in found.findings] == ["probe_distance_bounded"]
    assert found.findings[0].severity is Severity.INFO
    assert "between 0 and 6.0 mm" in found.findings[0].text


def test_a_notch_that_agrees_leaves_the_declared_distance():
    found = probe_position(9.0, notch(10.0))
    assert (found.distance_mm, found.known_by) == (9.0, "declared")
    assert [f.code for f in found.findings] == ["shallow_probe"]


def test_a_notch_that_contradicts_wins_and_says_so():
    found = probe_position(3.0, notch(15.0))
    assert (found.distance_mm, found.known_by) == (15.0, "notch")
    assert [f.code for f in found.findings] == ["shallow_probe", "probe_distance_disagrees"]
    assert "declared distance of 3.0 mm" in found.findings[1].text
    assert "(15.0 mm) disagree; the notch is used" in found.findings[1].text


def test_shallow_says_from_where_it_under_reads():
    shallow = probe_position(None, notch(10.0)).findings[0]
    assert shallow.code == "shallow_probe"
    assert shallow.severity is Severity.WARN
    assert shallow.from_hz == pytest.approx(2600)
    assert "Advance the tube by 3 to 5 mm under otoscopy" in shallow.action


@pytest.mark.parametrize("distance_mm", [-1.0, 41.0, float("nan")])
def test_impossible_distance_is_refused(distance_mm):
    with pytest.raises(OutOfRangeError, match="a canal is at most 40 mm long"):
        probe_position(distance_mm, NONE)


@pytest.mark.parametrize(("distance_mm", "limit_hz"), [(5.0, 7200.0), (4.0, 9000.0), (3.0, 12000.0)])
def test_probe_limit(distance_mm, limit_hz):
    limit = probe_limit(distance_mm, 1.0)
    assert limit is not None
    assert limit.rule == "probe"
    assert limit.max_hz == pytest.approx(limit_hz)
    assert "the standing wave costs more than 2 dB" in limit.reason
    assert "Advance the probe tube" in limit.action


def test_a_tip_at_the_drum_sets_no_limit():
    assert probe_limit(0.0, 0.0) is None


@given(distance_mm=st.floats(0.5, 20.0))
def test_mark_starts_above_the_limit(distance_mm):
    limit = probe_limit(distance_mm, 1.0)
    hz = np.geomspace(100, 16000, 200)
    assert limit is not None
    assert np.array_equal(probe_mark(limit, hz).where, hz > limit.max_hz)
