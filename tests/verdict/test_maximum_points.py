"""Where a maximum output is judged: a peak between or beyond the limits is never called kept."""

import numpy as np
import pytest
from eardrum_levels import level

from umbo.core import Bandwidth, Grid, Outcome, PointState
from umbo.verdict import maximum_hz, maximum_output

#: Twelfth-octaves, exact base-10 names. [Hz]
FINE_HZ = tuple(1000.0 * 10 ** (3 * k / 120) for k in range(-36, 37))
LIMIT_HZ = (500.0, 1000.0, 2000.0, 4000.0)


def output(values_db, **more):
    return level(values_db, hz=FINE_HZ, bandwidth=Bandwidth.TWELFTH_OCTAVE, **more)


def limit(values_db=110.0, hz=LIMIT_HZ):
    return level(values_db, hz=hz, bandwidth=Bandwidth.TONE, cause="limit")


def peak(hz, height_db, floor_db=100.0):
    """Flat, with one twelfth-octave that stands out at the grid frequency nearest to ``hz``."""
    values = np.full(len(FINE_HZ), floor_db)
    values[np.argmin(np.abs(np.log(np.array(FINE_HZ) / hz)))] = height_db
    return values


def judged(curve, bound, *, is_child=False):
    grid = Grid(maximum_hz(curve, bound, upper_edge=is_child), Bandwidth.TONE)
    there = [c.on(grid, method="log_frequency", outside="hold") for c in (curve, bound)]
    return maximum_output(*there, is_child=is_child, limit_source="x")[1]


def test_a_flat_output_is_judged_where_the_limit_is():
    assert maximum_hz(output(100.0), limit(), upper_edge=False).tolist() == list(LIMIT_HZ)
    assert judged(output(100.0), limit()).outcome is Outcome.PASS


@pytest.mark.parametrize("hz", [595.7, 1412.5, 2818.4])
def test_a_peak_between_two_limits_fails(hz):
    judgement = judged(output(peak(hz, 125.0), u_db=1.0), limit())
    assert judgement.outcome is Outcome.FAIL
    assert "15.0 dB above the limit" in judgement.sentence
    assert [p.frequency_hz for p in judgement.points if p.outcome is Outcome.FAIL] == pytest.approx([hz], rel=1e-3)


def test_between_two_limits_the_limit_is_a_straight_line_over_log_frequency():
    slope = limit([100.0, 100.0, 120.0, 120.0])
    judgement = judged(output(peak(1412.5, 111.0, 90.0)), slope)
    (point,) = [p for p in judgement.points if p.frequency_hz == pytest.approx(1412.5, rel=1e-3)]
    assert point.deviation_db == pytest.approx(111.0 - (100.0 + 20.0 * np.log2(1.4125)), abs=0.01)


def test_a_small_peak_that_decides_is_not_passed_over():
    judgement = judged(output(peak(1412.5, 110.2, 109.9)), limit())
    assert judgement.outcome is not Outcome.PASS
    assert judged(output(peak(1412.5, 109.99, 109.9)), limit()).outcome is Outcome.PASS


def test_for_a_child_the_upper_edge_of_the_peak_counts():
    curve = output(peak(1412.5, 108.5), u_db=1.0)
    assert judged(curve, limit()).outcome is Outcome.PASS
    assert judged(curve, limit(), is_child=True).outcome is Outcome.CANNOT_TELL


@pytest.mark.parametrize(("hz", "where"), [(251.2, "251"), (7079.5, "7079")])
def test_beyond_the_limits_an_output_above_the_last_one_cannot_be_told(hz, where):
    judgement = judged(output(peak(hz, 112.0)), limit())
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert judgement.sentence == (
        f"The maximum output cannot be judged at {where} Hz: at {where} Hz no limit is known so far out, and the "
        "output is 2.0 dB above the nearest known one."
    )
    assert judgement.action.startswith("Import a limit that covers these frequencies")
    assert judged(output(peak(hz, 109.0)), limit()).outcome is Outcome.PASS


def test_a_limit_at_one_frequency_does_not_vouch_for_the_others():
    assert judged(output(peak(2818.4, 130.0)), limit(hz=(1000.0,))).outcome is Outcome.CANNOT_TELL


def test_a_limit_where_the_output_was_not_measured_cannot_be_told():
    short = level(100.0, hz=(500.0, 1000.0), bandwidth=Bandwidth.TONE)
    judgement = judged(short, limit())
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert "cannot be judged at 2000, 4000 Hz" in judgement.sentence


def test_points_that_cannot_be_used_are_no_peaks_and_bounds_no_limits():
    deaf = output(peak(1412.5, 125.0)).marked(PointState.BELOW_NOISE, np.array(FINE_HZ) > 1300.0, "noise")
    assert 1412.5 not in maximum_hz(deaf, limit(), upper_edge=False).round(1)
    bound = limit().marked(PointState.WITHDRAWN, np.array(LIMIT_HZ) == 1000.0, "no discomfort at this level")
    judgement = judged(output(100.0), bound)
    assert judgement.outcome is Outcome.CANNOT_TELL
    assert judgement.action.startswith("Import a limit")
    leaky = output(100.0).marked(PointState.WITHDRAWN, np.array(FINE_HZ) < 1100.0, "sound leaked past the tip")
    both = limit().marked(PointState.WITHDRAWN, np.array(LIMIT_HZ) < 1100.0, "sound leaked past the tip")
    assert judged(leaky, both).action.startswith("Repeat the reading that both the output and its limit rest on")
