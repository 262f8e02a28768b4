"""S4: an adult with a sloping loss, an open dome, and an audiogram taken with supra-aural earphones."""

import numpy as np
import pytest
from invented_clients import TOLERANCE_DB, at, client, columns, gain, tags, thresholds

from umbo.core import CouplerKind, Coupling, Ear, Grid, Outcome, Plane, Transducer, Transfer
from umbo.ear import adult_average_recd, require_closed, retspl
from umbo.errors import NotPossibleHereError, PlaneMismatchError
from umbo.prescription import EarToFit, nal_r_insertion_gain, speech_in_field, speech_targets
from umbo.verdict import match_to_target, rms_deviation

GIVEN, EXPECTED = client("S4")


def measured_redd():
    hz, level = columns(GIVEN["REDD"])
    return Transfer.given(
        Grid.tones(hz),
        level,
        start=Plane.dial("supra_aural"),
        end=Plane.eardrum(),
        tags=tags("REDD"),
        source="measured",
    )


def heard(transducer=Transducer.SUPRA_AURAL):
    return thresholds({hz: GIVEN["HL"][hz] for hz in GIVEN["REDD"]}, transducer=transducer)


def target():
    values = {hz: GIVEN["HL"][hz] for hz in GIVEN["REUG"]}
    audiogram = thresholds(values, transducer=Transducer.SUPRA_AURAL)
    hearing = EarToFit(
        entered=audiogram, at_eardrum=None, discomfort=None, reug=gain(GIVEN["REUG"], "REUG"), age_months=68 * 12.0
    )
    (found,) = speech_targets("nal_r", hearing, (65.0,))
    return found


def aided():
    hz = columns(GIVEN["REAG65"])[0]
    return speech_in_field(hz, 65.0, ear=Ear.RIGHT) + gain(GIVEN["REAG65"], "REAG65")


def test_insertion_gain_by_the_open_rule():
    hz, level = columns(GIVEN["HL"])
    found = nal_r_insertion_gain(hz, level)
    assert found == pytest.approx(columns(EXPECTED["target_IG"])[1], abs=TOLERANCE_DB)


def test_real_ear_insertion_gain_and_insertion_loss():
    reug = gain(GIVEN["REUG"], "REUG")
    reig = gain(GIVEN["REAG65"], "REAG65") - reug
    assert at(reig, EXPECTED["REIG"]) == pytest.approx(columns(EXPECTED["REIG"])[1], abs=TOLERANCE_DB)  # F8
    loss = gain(GIVEN["REOG"], "REOG") - reug
    expected = columns(EXPECTED["insertion_loss"])[1]
    assert at(loss, EXPECTED["insertion_loss"]) == pytest.approx(expected, abs=TOLERANCE_DB)


def test_rms_alone_misleads():
    deviation, per_frequency = match_to_target(aided(), target().level, "65", tolerance_db=np.full(6, 5.0))
    expected = columns(EXPECTED["deviation"])[1]
    assert at(deviation, EXPECTED["deviation"]) == pytest.approx(expected, abs=TOLERANCE_DB)
    rms = rms_deviation(deviation, "65")
    assert rms.value_db == pytest.approx(EXPECTED["rms4"], abs=0.01)
    assert rms.outcome is Outcome.PASS
    assert [p.frequency_hz for p in per_frequency.points if p.outcome is Outcome.FAIL] == [1000, 6000]


def test_an_adult_may_have_insertion_gain_targets():
    assert target().findings == ()
    assert str(target().method) == (
        "NAL-R, 1986, from memory: k at 750, 1500, 3000 Hz; linear, no profound-loss correction"
    )


def test_threshold_by_the_real_ear_to_dial_difference():
    level = heard() + measured_redd()
    assert at(level, EXPECTED["T_supra"]) == pytest.approx(columns(EXPECTED["T_supra"])[1], abs=TOLERANCE_DB)  # F3


def test_typed_as_insert_it_would_be_wrong_and_the_planes_refuse_the_mixture():
    hz = columns(GIVEN["REDD"])[0]
    average = adult_average_recd(CouplerKind.HA1, Grid.tones(hz), ear=Ear.RIGHT, coupling=Coupling.FOAM_TIP)
    wrong = heard(Transducer.INSERT) + retspl(CouplerKind.HA1, hz) + average
    expected = columns(EXPECTED["T_if_insert"])[1]
    assert at(wrong, EXPECTED["T_if_insert"]) == pytest.approx(expected, abs=TOLERANCE_DB)
    with pytest.raises(PlaneMismatchError) as refused:
        heard() + retspl(CouplerKind.HA1, hz)
    assert str(refused.value) == (
        "add the RETSPL 2 cc coupler HA-1 to the threshold: this level is on the supra-aural dial; the transfer starts "
        "on the insert dial; use a transfer that starts on the supra-aural dial."
    )


def test_closed_prediction_is_far_off_and_refused():
    hz = list(GIVEN["coupler_gain"])
    average = adult_average_recd(
        CouplerKind.HA1, Grid.tones([float(f) for f in hz]), ear=Ear.RIGHT, coupling=Coupling.DOME
    )
    predicted = [GIVEN["coupler_gain"][f] + average.value_at(float(f)) + GIVEN["MLE"][f] for f in hz]
    assert predicted == pytest.approx(columns(EXPECTED["closed_prediction"])[1], abs=TOLERANCE_DB)
    error = [p - GIVEN["REAG65"][f] for p, f in zip(predicted, hz, strict=True)]
    assert error == pytest.approx(columns(EXPECTED["closed_error"])[1], abs=TOLERANCE_DB)
    with pytest.raises(NotPossibleHereError) as refused:
        require_closed("open")
    assert str(refused.value) == (
        "predict the level at the eardrum from a coupler: the fitting is open, and an RECD holds only for a closed or "
        "nearly closed one; measure the aided response in the ear."
    )
