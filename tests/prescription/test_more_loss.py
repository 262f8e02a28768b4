"""More loss never gives less gain: where that holds, and where a method breaks it on purpose."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.prescription import METHODS, NAL_R_HZ, dsl_io_output, dsl_io_share, fig6_insertion_gain, nal_rp_insertion_gain

GAIN_METHODS = [key for key, entry in METHODS.items() if entry.gain is not None]
MONOTONE = [key for key in GAIN_METHODS if key != "nal_rp"]


@pytest.mark.parametrize("key", MONOTONE)
@given(data=st.data())
def test_raising_one_threshold_lowers_the_gain_nowhere(key, data):
    entry = METHODS[key]
    hz = np.array(entry.frequency_hz)
    level = np.array(data.draw(st.lists(st.floats(-10.0, 110.0), min_size=hz.size, max_size=hz.size)))
    raised = level.copy()
    raised[data.draw(st.integers(0, hz.size - 1))] += data.draw(st.floats(0.0, 20.0))
    overall = data.draw(st.floats(40.0, 95.0))
    change = entry.gain(hz, raised, overall) - entry.gain(hz, level, overall)
    assert change.min() >= -1e-9


@given(data=st.data())
def test_nal_rp_breaks_it_only_by_the_threshold_at_2_khz(data):
    hz = np.array(NAL_R_HZ)
    level = np.array(data.draw(st.lists(st.floats(-10.0, 120.0), min_size=hz.size, max_size=hz.size)))
    raised = level.copy()
    raised[data.draw(st.sampled_from([i for i, f in enumerate(hz) if f != 2000.0]))] += data.draw(st.floats(0.0, 10.0))
    change = nal_rp_insertion_gain(hz, raised) - nal_rp_insertion_gain(hz, level)
    assert change.min() >= -1e-9


def test_nal_rp_takes_high_frequencies_back_in_profound_loss():
    """At 2 kHz 90 -> 95 dB HL: the correction begins, 4 dB at 250 Hz and -2 dB from 2 kHz up; X rises by 0.116 x 5.

    That is the point of the method: high frequencies that cannot be used any more are given up for low ones.
    """
    hz = np.array(NAL_R_HZ)
    level = np.full(hz.size, 90.0)
    raised = np.where(hz == 2000.0, 95.0, level)
    change = dict(zip(NAL_R_HZ, nal_rp_insertion_gain(hz, raised) - nal_rp_insertion_gain(hz, level), strict=True))
    assert change[250.0] == pytest.approx(0.58 + 4)
    assert change[2000.0] == pytest.approx(0.58 + 0.31 * 5 - 2)
    assert change[4000.0] == pytest.approx(0.58 - 2)


@given(
    threshold=st.floats(0.0, 90.0),
    step=st.floats(0.0, 20.0),
    room=st.floats(1.0, 60.0),
    exponent=st.floats(0.3, 3.0),
    level=st.floats(10.0, 130.0),
)
def test_a_higher_threshold_maps_to_no_lower_output(threshold, step, room, exponent, level):
    share = dsl_io_share(level, normal_threshold_db_spl=10.0, normal_limit_db_spl=110.0)
    limit = threshold + step + room
    low, high = (
        dsl_io_output(share, threshold_db_spl=t, limit_db_spl=limit, exponent=exponent)
        for t in (threshold, threshold + step)
    )
    assert high >= low - 1e-9


@given(level=st.floats(-10.0, 110.0), soft=st.floats(40.0, 95.0), more=st.floats(0.0, 55.0))
def test_fig6_gives_louder_sounds_no_more_gain_up_to_110_db(level, soft, more):
    loud = min(soft + more, 95.0)
    quiet_gain, loud_gain = (fig6_insertion_gain(np.array([1000.0]), np.array([level]), i)[0] for i in (soft, loud))
    assert loud_gain <= quiet_gain + 1e-9


def test_fig6_turns_round_in_profound_loss():
    """0.5 H + 10 = 0.8 H - 23 at 110 dB HL: the rule was not meant for such losses, and says so in its docstring."""
    at_110, at_120 = (
        [fig6_insertion_gain(np.array([1000.0]), np.array([h]), i)[0] for i in (40.0, 65.0)] for h in (110.0, 120.0)
    )
    assert at_110[0] == pytest.approx(at_110[1])
    assert at_120[1] == pytest.approx(at_120[0] + 3.0)
