"""S6: audibility of a corner audiogram: the simplified octave index by hand, and how far speech reaches."""

import numpy as np
import pytest
from invented_clients import TOLERANCE_DB, client, columns, recd, tags, thresholds

from umbo.audibility import IndexMethod, Procedure, ThresholdReading, audibility, audible_bandwidth
from umbo.core import Bandwidth, CouplerKind, Grid, Level, Plane, Source, Statistic
from umbo.ear import retspl
from umbo.errors import NotPossibleHereError

GIVEN, EXPECTED = client("S6")
HZ = columns(GIVEN["HL"])[0]
SILENT = [hz in GIVEN["no_response"] for hz in HZ]
SIMPLIFIED = IndexMethod(procedure=Procedure.OCTAVE, level_distortion=False, threshold=ThresholdReading.BAND_LEVEL)


def heard():
    dial = thresholds(GIVEN["HL"], no_response=GIVEN["no_response"])
    return dial + retspl(CouplerKind.HA1, HZ) + recd(GIVEN["RECD_HA1"])


def aided(statistic, above_db=0.0):
    hz, level = columns(GIVEN["REAR65"])
    return Level.given(
        Grid(hz, Bandwidth.THIRD_OCTAVE),
        level + above_db,
        plane=Plane.eardrum(),
        tags=tags("speech 65 dB", stimulus="speech 65", statistic=statistic, source=Source.AID),
        source="measured",
    )


def index(method, **more):
    given = {"no_response": SILENT, "is_lowering_on": False, "trusted_max_hz": None}
    return audibility(aided(Statistic.RMS), heard(), method=method, **(given | more))


def test_simplified_octave_index():
    """0.817, 0.917, 0.667, 0, 0 by octave and 0.362 in all, 8 kHz silent (worked example S6)."""
    found = index(SIMPLIFIED)
    assert found.audibility[:5] == pytest.approx([0.8167, 0.9167, 0.6667, 0.0, 0.0], abs=5e-4)
    assert found.sii == pytest.approx(0.362, abs=5e-4)
    assert found.is_bound.tolist() == [False, False, False, True, True, False]
    assert found.audibility_most[3:5].tolist() == [0.0, 0.0]  # a bound, and yet certain
    assert found.unknown_hz.tolist() == [8000.0]
    assert found.bounds[1] - found.bounds[0] == pytest.approx(0.0549)


def test_the_index_of_the_standard_is_much_smaller():
    """Level distortion and the internal noise of the standard leave less than half of the simplified number."""
    found = index(IndexMethod())
    assert found.sii < 0.5 * 0.362
    assert found.bounds[1] < 0.362
    assert found.sentence.startswith(f"Speech intelligibility index {found.sii:.2f} (95 %: ")


def test_peaks_are_audible_to_1_6_khz_at_most():
    """Peaks 12 dB above the average: 21.5, 24.5, 17.0 dB above threshold, at most -7.5 and -24 (example S6)."""
    peaks = aided(Statistic.P99, above_db=12.0)
    margin = peaks.level_db - heard().level_db
    assert margin == pytest.approx([21.5, 24.5, 17.0, -7.5, -24.0], abs=TOLERANCE_DB)
    found = audible_bandwidth(peaks, aided(Statistic.RMS), heard(), no_response=SILENT, trusted_max_hz=None)
    assert found.peaks.relation == "at_most"
    assert found.peaks.at_most_hz == pytest.approx(1600.0, rel=0.02)
    assert found.peaks.at_least_hz == pytest.approx(1000.0)
    assert np.log2(found.peaks.interval_hz[1] / 1600.0) < 0.5
    assert "up to at most 1.6 kHz" in found.peaks.phrase


def test_no_index_once_lowering_is_on():
    with pytest.raises(NotPossibleHereError, match="frequency lowering is on"):
        index(SIMPLIFIED, is_lowering_on=True)
