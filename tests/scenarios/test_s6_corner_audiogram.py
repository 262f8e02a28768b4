"""S6: an adult with a corner audiogram and a power aid: no response is no threshold, and the output is too high."""

import pytest
from invented_clients import TOLERANCE_DB, at, client, columns, coupler_output, recd, tags, thresholds

from umbo.aid import maximum_db
from umbo.core import Bandwidth, CouplerKind, Coupling, Ear, Grid, Level, Outcome, Plane, PointState, Source, Statistic
from umbo.ear import NO_DISCOMFORT, NO_RESPONSE, aided_level, field_to_eardrum, retspl
from umbo.errors import OutOfRangeError
from umbo.prescription import EarToFit, speech_targets
from umbo.verdict import audible_speech, maximum_output

GIVEN, EXPECTED = client("S6")
HZ = columns(GIVEN["HL"])[0]
UCL_HZ = columns(GIVEN["UCL_HL"])[0]
CAUTION_DB_SPL = 132.0


def heard():
    dial = thresholds(GIVEN["HL"], no_response=GIVEN["no_response"])
    return dial + retspl(CouplerKind.HA1, HZ) + recd(GIVEN["RECD_HA1"])


def discomfort():
    dial = thresholds(GIVEN["UCL_HL"], statistic=Statistic.LIMIT)
    here = recd(GIVEN["RECD_HA1"]).on(dial.grid, method="log_frequency", outside="refuse")
    return dial + retspl(CouplerKind.HA1, UCL_HZ) + here


def saturated():
    output = coupler_output(GIVEN["OSPL90"], stimulus="maximum output", bandwidth=Bandwidth.TONE)
    return output, aided_level(output, recd(GIVEN["RECD_HA1"], coupling=Coupling.MOULD), None)


def aided_speech():
    hz, level = columns(GIVEN["REAR65"])
    return Level.given(
        Grid(hz, Bandwidth.THIRD_OCTAVE),
        level,
        plane=Plane.eardrum(),
        tags=tags("speech 65 dB", stimulus="speech 65", statistic=Statistic.RMS, source=Source.AID),
        source="measured",
    )


def test_no_response_is_a_bound_and_no_threshold():
    level = heard()
    assert at(level, EXPECTED["T_eardrum"]) == pytest.approx(columns(EXPECTED["T_eardrum"])[1], abs=TOLERANCE_DB)
    for hz in (250, 500, 1000):
        assert level.state_at(hz) is PointState.OK
    for hz in GIVEN["no_response"]:
        assert level.state_at(hz) is PointState.WITHDRAWN
        assert level.states.reasons(level.grid.index(hz)) == (f"withdrawn: {NO_RESPONSE}",)


def test_speech_is_not_compared_with_a_bound():
    bands = heard().on(Grid(HZ, Bandwidth.THIRD_OCTAVE), method="log_frequency", outside="refuse")
    _, judgement = audible_speech(aided_speech(), bands, "65")
    assert judgement.sentence == (
        "Average speech at 65 dB is above threshold at 3 of 3 frequencies that can be told; at 2 more it "
        "cannot be told."
    )


def test_discomfort_and_dynamic_range():
    level = discomfort()
    expected = columns(EXPECTED["UCL_eardrum"])[1]
    assert at(level, EXPECTED["UCL_eardrum"]) == pytest.approx(expected, abs=TOLERANCE_DB)
    assert level.value_at(1000) - heard().value_at(1000) == pytest.approx(10.0, abs=TOLERANCE_DB)


def test_no_discomfort_is_a_bound_too():
    dial = thresholds(GIVEN["UCL_HL"], statistic=Statistic.LIMIT, no_response=[1000])
    assert dial.states.reasons(dial.grid.index(1000)) == (f"withdrawn: {NO_DISCOMFORT}",)
    here = recd(GIVEN["RECD_HA1"]).on(dial.grid, method="log_frequency", outside="refuse")
    bound = dial + retspl(CouplerKind.HA1, UCL_HZ) + here
    _, output = saturated()
    known = output.on(Grid.tones(UCL_HZ), method="log_frequency", outside="refuse")
    _, judgement = maximum_output(known, bound, is_child=False, limit_source="discomfort levels")
    last = judgement.points[-1]
    assert (last.outcome, last.is_measured) == (Outcome.CANNOT_TELL, False)


def test_output_exceeds_discomfort():
    _, output = saturated()
    assert at(output, EXPECTED["RESR"]) == pytest.approx(columns(EXPECTED["RESR"])[1], abs=TOLERANCE_DB)
    known = output.on(Grid.tones(UCL_HZ), method="log_frequency", outside="refuse")
    excess, judgement = maximum_output(known, discomfort(), is_child=False, limit_source="discomfort levels")
    expected = columns(EXPECTED["over_UCL"])[1]
    assert at(excess, EXPECTED["over_UCL"]) == pytest.approx(expected, abs=TOLERANCE_DB)
    assert judgement.outcome is Outcome.FAIL
    assert judgement.sentence.startswith("The maximum output exceeds the discomfort limit at 500, 1000 Hz")
    assert judgement.points[0].outcome is Outcome.CANNOT_TELL  # 3.5 dB over, retest of a discomfort level 2.5 dB


def test_maximum_of_the_coupler_is_at_the_caution_level():
    output, at_drum = saturated()
    assert maximum_db(output) == (CAUTION_DB_SPL, 1000.0)
    assert (at_drum.frequency_hz[at_drum.level_db > CAUTION_DB_SPL]).tolist() == [500, 1000, 2000, 4000]


def fitted(dial):
    reug = field_to_eardrum(HZ, ear=Ear.RIGHT)
    return EarToFit(entered=dial, at_eardrum=None, discomfort=None, reug=reug, age_months=540.0)


def test_a_mean_with_a_bound_in_it_prescribes_nothing():
    dial = thresholds(GIVEN["HL"], no_response=GIVEN["no_response"])
    with pytest.raises(OutOfRangeError) as refused:
        speech_targets("nal_r", fitted(dial))
    assert str(refused.value) == (
        "prescribe NAL-R gain: the threshold at 2000 Hz is not known (withdrawn: no response at this level: the "
        "threshold lies above it), and the method needs it; import a target of a method made for such losses."
    )


def test_a_bound_above_the_mean_leaves_a_hole_in_the_target():
    values = dict(GIVEN["HL"], **{"2000": 110})
    dial = thresholds(values, no_response=[4000])
    (target,) = speech_targets("nal_r", fitted(dial), (65.0,))
    assert target.level.state_at(4000) is PointState.WITHDRAWN
    assert target.level.states.is_usable[:4].all()
