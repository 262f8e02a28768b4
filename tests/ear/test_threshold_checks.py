"""What is asked about entered thresholds of one ear and of two."""

import numpy as np
import pytest

from umbo.core import CouplerKind, Ear, Grid, Level, Plane, PointState, Severity, Statistic, Tags, Transducer
from umbo.ear import (
    Masking,
    Reliability,
    ThresholdMethod,
    asymmetry_finding,
    at_limit_finding,
    below_map_finding,
    crossing_finding,
    hearing_level,
    identical_field_finding,
    measured_redd,
    method_findings,
    reference_thresholds,
    retest_u_db,
    retspl,
    start_finding,
    two_references_finding,
)
from umbo.errors import NotPossibleHereError, OutOfRangeError

HZ = (500.0, 1000.0, 2000.0, 4000.0)
INSERTS = dict.fromkeys(Ear, Transducer.INSERT)
UNSTATED = {ear: {} for ear in Ear}


def dial(level_db, *, ear=Ear.RIGHT, no_response=(), transducer=Transducer.CIRCUMAURAL, **more):
    return hearing_level(
        HZ,
        level_db,
        ear=ear,
        transducer=transducer,
        coupling=None,
        statistic=Statistic.THRESHOLD,
        no_response=[f in no_response for f in HZ],
        source="invented",
        **more,
    )


def at_drum(level_db):
    tags = Tags(quantity="threshold", ear=Ear.RIGHT, stimulus=None, statistic=None, coupling=None, source=None)
    return Level.given(Grid.tones(HZ), level_db, plane=Plane.eardrum(), tags=tags, source="invented")


@pytest.mark.parametrize(
    ("hz", "missing"),
    [
        ((500.0, 1000.0), "none from 2000 Hz"),
        ((2000.0, 4000.0), "none up to 1000 Hz"),
        ((1500.0,), "none up to 1000 Hz and none from 2000 Hz"),
    ],
)
def test_one_low_and_one_high_frequency_to_start(hz, missing):
    assert missing in start_finding(hz).text


def test_two_frequencies_can_be_enough():
    assert start_finding((500.0, 2000.0)) is None


def limit(level_db, *, silent=(), earphone=True, highest=None):
    flags = [f in silent for f in HZ]
    return at_limit_finding(HZ, level_db, flags, is_earphone_hl=earphone, highest_level_db=highest)


def test_a_threshold_at_the_limit_is_asked_about():
    found = limit((60, 80, 120, 120), silent=(4000.0,))
    assert (found.from_hz, found.to_hz) == (2000.0, 2000.0)
    assert "At 2000 Hz the threshold equals the highest level" in found.text
    assert limit((60, 80, 115, 120), silent=(4000.0,)) is None
    assert limit((60, 80, 120, 120), earphone=False) is None
    assert limit((60, 80, 100, 120), highest=(100, 100, 100, 100)).from_hz == 2000.0


def test_below_the_minimum_audible_pressure_the_reference_is_wrong():
    # minimum audible pressure at 500 Hz 7.9 dB, at 2 kHz 12.4 dB (Bentler & Pavlovic 1989)
    found = below_map_finding(at_drum([-2.2, 0.0, 10.0, 10.0]))
    assert (found.from_hz, found.to_hz) == (500.0, 500.0)
    assert below_map_finding(at_drum([-2.0, 0.0, 10.0, 10.0])) is None
    silent = at_drum([-5.0, 0.0, 10.0, 10.0]).marked(PointState.WITHDRAWN, [True, False, False, False], "a bound")
    assert below_map_finding(silent) is None


def test_sound_field_and_visual_reinforcement_say_what_they_are():
    found = method_findings(Ear.LEFT, Transducer.SOUND_FIELD, is_minimum_response=True)
    assert [f.code for f in found] == ["sound_field_better_ear", "minimum_response_levels"]
    assert "assigned to the left ear" in found[0].text
    assert method_findings(Ear.LEFT, Transducer.INSERT, is_minimum_response=False) == ()


def test_visual_reinforcement_is_called_a_minimum_response_level_and_is_less_sure():
    level = dial((40, 40, 40, 40), method=ThresholdMethod.VRA)
    assert level.tags.quantity == "minimum response level"
    assert level.u_db == pytest.approx(np.hypot(2.5, 5.0))


@pytest.mark.parametrize(("judged", "u_db"), [("good", 2.5), ("fair", 5.0), ("poor", 7.5)])
def test_reliability_widens_the_uncertainty(judged, u_db):
    level = dial((40, 40, 40, 40), reliability=Reliability(judged))
    assert level.u_db == pytest.approx(u_db)
    assert f"reliability {judged}" in level.uncertainty.components[0].label
    assert retest_u_db(Reliability(judged)) == u_db
    assert retest_u_db(None) == 2.5


def test_ears_that_differ_are_referred():
    right, left = dial((30, 30, 45, 60)), dial((30, 30, 30, 45), ear=Ear.LEFT)
    found = asymmetry_finding(right, left)
    assert found.text == "The right ear is worse by 15 dB at 2000 Hz, 15 dB at 4000 Hz."
    assert (found.severity, found.from_hz, found.to_hz) == (Severity.WARN, 2000.0, 4000.0)
    assert asymmetry_finding(dial((30, 30, 30, 60)), left) is None  # one frequency alone may be a slip
    assert asymmetry_finding(left, dial((30, 30, 45, 59), ear=Ear.RIGHT)) is None


def test_no_response_counts_as_at_least_its_level_and_never_as_the_better_ear():
    silent = dial((30, 30, 120, 120), no_response=(2000.0, 4000.0))
    assert "90 dB at 2000 Hz" in asymmetry_finding(silent, dial((30, 30, 30, 45), ear=Ear.LEFT)).text
    poor = dial((30, 30, 110, 110), ear=Ear.LEFT)
    better_unknown = dial((30, 30, 90, 90), no_response=(2000.0, 4000.0))
    assert asymmetry_finding(better_unknown, poor) is None


def test_one_sound_field_result_entered_twice():
    field = dict.fromkeys(Ear, Transducer.SOUND_FIELD)
    right, left = (dial((40, 45, 50, 55), ear=ear, transducer=Transducer.SOUND_FIELD) for ear in Ear)
    assert identical_field_finding(right, left, field).code == "identical_sound_field"
    assert identical_field_finding(right, left, INSERTS) is None
    other = dial((40, 45, 50, 60), ear=Ear.LEFT, transducer=Transducer.SOUND_FIELD)
    assert identical_field_finding(right, other, field) is None


def test_an_unmasked_threshold_may_be_the_other_ears():
    right, left = dial((70, 60, 60, 60)), dial((15, 15, 15, 15), ear=Ear.LEFT)
    phones = dict.fromkeys(Ear, Transducer.SUPRA_AURAL)
    assert crossing_finding(right, left, INSERTS, UNSTATED).from_hz == 500.0
    assert crossing_finding(right, left, INSERTS, UNSTATED).to_hz == 500.0  # 55 dB, from memory
    assert crossing_finding(right, left, phones, UNSTATED).to_hz == 4000.0  # 40 dB, from memory
    masked = {Ear.RIGHT: dict.fromkeys(HZ, Masking.MASKED), Ear.LEFT: {}}
    assert crossing_finding(right, left, phones, masked) is None
    bare = {Ear.RIGHT: dict.fromkeys(HZ, Masking.UNMASKED), Ear.LEFT: {}}
    assert "unmasked: the other ear may have heard it" in crossing_finding(right, left, phones, bare).text


def test_extended_high_frequencies_in_the_ear_simulator_only():
    hz = np.array([8000.0, 12500.0])
    assert retspl(CouplerKind.OES, hz).level_db.tolist() == [15.5, 37.0]
    with pytest.raises(
        OutOfRangeError, match="in the 2 cc coupler HA-2 at 12500 Hz: the highest tabulated frequency is 8000"
    ):
        retspl(CouplerKind.HA2, hz)
    with pytest.raises(OutOfRangeError, match="the highest tabulated frequency is 16000 Hz"):
        retspl(CouplerKind.OES, np.array([18000.0]))
    assert "differ by 3.5 dB" in two_references_finding((4000.0, 12500.0)).text
    assert two_references_finding((4000.0, 8000.0)) is None


def test_reference_thresholds_name_their_load_and_end():
    found = reference_thresholds(Transducer.CIRCUMAURAL, np.array([1000.0, 16000.0]))
    assert found.level_db.tolist() == [5.5, 56.0]
    assert "circumaural adapter" in found.load
    with pytest.raises(
        OutOfRangeError, match=r"supra-aural earphones in the .* the highest tabulated frequency is 8000 Hz"
    ):
        reference_thresholds(Transducer.SUPRA_AURAL, np.array([9000.0]))
    with pytest.raises(NotPossibleHereError, match="referred to the field"):
        reference_thresholds(Transducer.SOUND_FIELD, np.array([1000.0]))


def test_a_measured_redd_carries_its_own_ear():
    level = dial((40, 40, 40, 40))
    there = level + measured_redd(Transducer.CIRCUMAURAL, np.array(HZ), np.array([9.0, 8.0, 14.0, 12.0]), ear=Ear.RIGHT)
    assert there.level_db.tolist() == [49.0, 48.0, 54.0, 52.0]  # F3
    assert there.u_db == pytest.approx(np.hypot(2.5, 1.5))
