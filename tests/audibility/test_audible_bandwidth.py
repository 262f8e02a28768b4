"""Up to which frequency speech is audible, and what ends it."""

import numpy as np
import pytest
from ear_levels import bands_at_eardrum, cause, tags, threshold
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.audibility import Draws, Heard, audible_bandwidth
from umbo.audibility._highest import highest_hz
from umbo.core import Grid, Level, Plane, PointState, Statistic
from umbo.errors import BandwidthMismatchError, InputError, StatisticMismatchError

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0])
TO_16_KHZ = np.array([1000.0, 2000.0, 4000.0, 8000.0, 10000.0, 12500.0, 16000.0])
FEW = Draws(n=2000)


def tones(level_db, hz=HZ, causes=()):
    return Level.given(
        Grid.tones(hz), np.broadcast_to(np.asarray(level_db, dtype=float), np.shape(hz)), plane=Plane.eardrum(),
        tags=tags("threshold", Statistic.THRESHOLD), source="invented", components=causes,
    )  # fmt: skip


def bandwidth(margin_db, *, hz=HZ, no_response=(), above_db=12.0, causes=(), trusted_max_hz=None, state=None):
    """Speech whose average lies this far above a threshold of 60 dB SPL, and whose peaks lie above the average."""
    average = bands_at_eardrum(60.0 + np.asarray(margin_db, dtype=float), hz=hz, causes=causes)
    peaks = bands_at_eardrum(average.level_db + above_db, hz=hz, statistic=Statistic.P99, causes=causes)
    if state is not None:
        average, peaks = (level.marked(state[0], np.isin(hz, state[1]), "a reason") for level in (average, peaks))
    flags = np.isin(hz, no_response)
    return audible_bandwidth(
        peaks, average, tones(60.0, hz), no_response=flags, trusted_max_hz=trusted_max_hz, draws=FEW
    )


def test_the_crossing_lies_on_a_straight_line_over_log_frequency():
    found = bandwidth([30.0, 20.0, 10.0, -10.0, -30.0, -50.0])
    assert found.average.relation == "equal"
    assert found.average.at_most_hz == pytest.approx(1000 * np.sqrt(2))
    assert found.peaks.at_most_hz == pytest.approx(2000 * 2 ** (2 / 20))
    assert found.average.known_to_hz == 8000.0
    assert "up to 1.4 kHz" in found.sentence


def test_the_curve_ends_before_the_crossing():
    found = bandwidth([30.0, 20.0, 10.0, 5.0, 2.0, 1.0])
    assert (found.average.relation, found.average.at_least_hz, found.average.at_most_hz) == (
        "at_least", pytest.approx(8000.0), None,
    )  # fmt: skip
    shorter = bandwidth([30.0, 20.0, 10.0, 5.0, 2.0, 1.0], trusted_max_hz=4000.0)
    assert shorter.average.at_least_hz == pytest.approx(4000.0)
    assert shorter.average.known_to_hz == 4000.0
    assert "at least 4 kHz" in shorter.average.phrase
    assert "beyond what was measured" in shorter.average.phrase


def test_no_response_makes_it_at_most():
    found = bandwidth([30.0, 20.0, 5.0, -20.0, -40.0, -60.0], no_response=[2000.0, 4000.0, 8000.0])
    assert found.average.relation == "at_most"
    assert found.average.at_least_hz == pytest.approx(1000.0)
    assert found.average.at_most_hz == pytest.approx(1000 * 2 ** (5 / 25))


def test_no_response_below_speech_leaves_the_end_open():
    found = bandwidth([30.0, 20.0, 5.0, 10.0, 10.0, 10.0], no_response=[2000.0, 4000.0, 8000.0])
    assert (found.average.relation, found.average.at_most_hz) == ("at_least", None)
    assert found.average.at_least_hz == pytest.approx(1000.0)


def test_a_dip_does_not_end_it_and_a_hole_neither():
    found = bandwidth([30.0, 20.0, -5.0, 20.0, -20.0, -40.0], above_db=1.0)
    assert found.average.at_most_hz == pytest.approx(2000 * np.sqrt(2))
    state = (PointState.STANDING_WAVE, [4000.0])
    holed = bandwidth([30.0, 20.0, 15.0, 20.0, 20.0, -40.0], above_db=1.0, state=state)
    assert holed.average.at_least_hz == pytest.approx(2000.0)  # nothing is known at 4 kHz
    assert holed.average.at_most_hz == pytest.approx(8000.0)


def test_without_peaks_the_average_is_still_told():
    average = bands_at_eardrum(60.0 + np.array([30.0, 20.0, 10.0, -10.0, -30.0, -50.0]), hz=HZ)
    flags = np.zeros(HZ.size, bool)
    found = audible_bandwidth(None, average, tones(60.0), no_response=flags, trusted_max_hz=None, draws=FEW)
    assert found.average == bandwidth([30.0, 20.0, 10.0, -10.0, -30.0, -50.0]).average
    assert (found.peaks, found.extended) == (None, ())
    assert found.sentence.startswith("Speech peaks: are not known; average speech: above threshold up to 1.4 kHz")
    assert found.sentence.endswith("Above 8 kHz nothing is told without peaks.")


def test_nowhere_and_not_known():
    found = bandwidth(np.full(6, -30.0))
    assert found.peaks.relation == "nowhere"
    assert found.peaks.at_least_hz is None
    assert "nowhere up to 8 kHz" in found.sentence
    unknown = bandwidth(np.full(6, 30.0), state=(PointState.BELOW_NOISE, HZ))
    assert unknown.peaks.relation == "not_known"
    assert "could not be compared" in unknown.sentence


def test_the_interval_of_a_crossing_is_that_of_the_level_over_the_slope():
    """20 dB an octave and a standard uncertainty of 2 dB: 0.1 octaves, times 1.96."""
    causes = [cause("one", 2.0)]
    found = bandwidth([30.0, 20.0, 10.0, -10.0, -30.0, -50.0], causes=causes).average
    low, high = found.interval_hz
    assert np.log2(found.at_most_hz / low) == pytest.approx(0.196, abs=0.02)
    assert np.log2(high / found.at_most_hz) == pytest.approx(0.196, abs=0.02)


def test_an_interval_may_be_open_at_the_top():
    found = bandwidth([30.0, 20.0, 10.0, 5.0, 2.0, -1.0], causes=[cause("one", 3.0)]).average
    assert found.relation == "equal"
    assert found.interval_hz[1] is None
    assert found.interval_hz[0] < found.at_most_hz


def test_one_error_on_both_sides_cancels():
    one = [cause("recd", 5.0)]
    average = bands_at_eardrum([90.0, 80.0, 70.0, 50.0, 30.0, 10.0], hz=HZ, causes=one)
    peaks = bands_at_eardrum(average.level_db + 12, hz=HZ, statistic=Statistic.P99, causes=one)
    found = audible_bandwidth(
        peaks, average, tones(60.0, causes=one), no_response=np.zeros(6, bool), trusted_max_hz=None, draws=FEW
    )
    assert found.average.interval_hz == pytest.approx((found.average.at_most_hz,) * 2)


def test_above_8_khz_each_band_is_told_and_the_index_leaves_it_out():
    margin = [30.0, 30.0, 30.0, 20.0, 10.0, 1.0, -30.0]
    found = bandwidth(margin, hz=TO_16_KHZ, above_db=0.0, causes=[cause("one", 2.0)])
    assert [band.frequency_hz for band in found.extended] == [10000.0, 12500.0, 16000.0]
    assert [band.heard for band in found.extended] == [Heard.AUDIBLE, Heard.CANNOT_TELL, Heard.NOT_AUDIBLE]
    assert found.extended_sentence == (
        "Speech peaks above 8 kHz: 10 kHz: audible; 16 kHz: not audible; 12.5 kHz: cannot tell. ANSI S3.5-1997 gives "
        "these bands no importance: the index leaves them out."
    )
    bound = bandwidth(margin, hz=TO_16_KHZ, above_db=0.0, no_response=[10000.0, 12500.0, 16000.0])
    assert [band.heard for band in bound.extended] == [Heard.NOT_KNOWN, Heard.NOT_KNOWN, Heard.NOT_AUDIBLE]
    ended = bandwidth(margin, hz=TO_16_KHZ, above_db=0.0, trusted_max_hz=8000.0)
    assert {band.heard for band in ended.extended} == {Heard.NOT_KNOWN}
    assert bandwidth(np.zeros(6)).extended_sentence == "Above 8 kHz nothing was measured."


@given(st.lists(st.integers(-60, 60), min_size=6, max_size=6), st.integers(0, 30))
@settings(max_examples=80, deadline=None)
def test_more_gain_never_narrows_and_no_response_never_widens_what_is_sure(margin, more):
    values = np.array(margin, dtype=float)
    assert highest_hz(values + more, HZ) >= highest_hz(values, HZ) - 1e-6
    known = bandwidth(values).average
    bounded = bandwidth(values, no_response=[2000.0]).average
    assert (bounded.at_least_hz or 0.0) <= (known.at_least_hz or 0.0) + 1e-6
    least, most = bounded.at_least_hz or 0.0, bounded.at_most_hz
    assert most is None or least <= most + 1e-6


def test_peaks_and_average_are_not_exchanged():
    level = bands_at_eardrum(60.0)
    peaks = bands_at_eardrum(72.0, statistic=Statistic.P99)
    limit = threshold(40.0)
    flags = np.zeros(limit.grid.size, bool)
    with pytest.raises(StatisticMismatchError, match="has the statistic 'rms', and 'p99' is needed"):
        audible_bandwidth(level, peaks, limit, no_response=flags, trusted_max_hz=None)
    with pytest.raises(BandwidthMismatchError, match="and tones are needed"):
        audible_bandwidth(peaks, level, level, no_response=flags, trusted_max_hz=None)
    with pytest.raises(InputError, match="1 answers for 19 thresholds"):
        audible_bandwidth(peaks, level, limit, no_response=[False], trusted_max_hz=None)
