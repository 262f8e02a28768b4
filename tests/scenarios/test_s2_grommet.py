"""S2: a child with an open tube in the left ear: a plateau, not a leak, and nothing to borrow from the right ear."""

import numpy as np
import pytest
from invented_clients import TOLERANCE_DB, client, columns, coupler_output, gain, recd, thresholds

from umbo.core import Bandwidth, CouplerKind, Coupling, Ear, Grid, PointState, Severity, Transducer
from umbo.ear import (
    aided_level,
    for_coupling,
    microphone_location_effect,
    plausible_range,
    retspl,
    shape_findings,
)
from umbo.errors import EarMismatchError

GIVEN, EXPECTED = client("S2")
AT_500 = Grid(np.array([500.0]), Bandwidth.THIRD_OCTAVE)


def side(name):
    ear = Ear.RIGHT if name == "R" else Ear.LEFT
    return recd(GIVEN[f"RECD_{name}"], ear=ear)


def at_500(name, bandwidth=Bandwidth.THIRD_OCTAVE):
    here = side(name).on(Grid(np.array([500.0]), bandwidth), method="log_frequency", outside="refuse")
    return for_coupling(here, Coupling.MOULD)[0]


def ear_of(name):
    return Ear.RIGHT if name == "R" else Ear.LEFT


def aided(name):
    output = coupler_output({"500": GIVEN["coupler65_500"]}, ear=ear_of(name))
    mle = microphone_location_effect(
        np.array([500.0]), np.array([GIVEN["MLE500"]]), AT_500, ear=ear_of(name), source="scenario"
    )
    return aided_level(output, at_500(name), mle)


def heard_by_insert(name):
    dial = thresholds({"500": GIVEN["HL500"]}, ear=ear_of(name))
    here = side(name).on(Grid.tones([500.0]), method="log_frequency", outside="refuse")
    return dial + retspl(CouplerKind.HA1, np.array([500.0])) + here


def found(name, middle_ear):
    curve = side(name)
    plausible = plausible_range(CouplerKind.HA1, curve.frequency_hz, GIVEN["age_months"])
    return shape_findings(curve, plausible, middle_ear)


def test_left_minus_right():
    left, right = side("L").level_db, side("R").level_db
    assert (left - right).tolist() == pytest.approx(columns(EXPECTED["L_minus_R"])[1], abs=TOLERANCE_DB)


@pytest.mark.parametrize("declared", ["normal", "unknown"])
def test_plateau_is_a_middle_ear_space_and_no_leak(declared):
    """The RECD stands on audiometric tones; the rules look at it on twelfth-octaves in between."""
    findings = found("L", declared)
    assert [f.code for f in findings] == ["middle_ear_space"]
    assert findings[0].severity is Severity.WARN
    assert "otoscope" in findings[0].action
    assert "do not replace it by the other ear or an average" in findings[0].action


def test_declared_tube_informs_and_ties_the_curve_to_it():
    findings = found("L", "tube")
    assert [f.code for f in findings] == ["middle_ear_space", "middle_ear_declared"]
    assert all(f.severity is Severity.INFO for f in findings)
    assert "only for today's ear" in findings[1].action


def test_the_right_ear_is_plausible():
    assert found("R", "normal") == ()


@pytest.mark.parametrize("name", ["R", "L"])
def test_levels_at_500_hz(name):
    heard, level = heard_by_insert(name), aided(name)
    assert heard.value_at(500) == pytest.approx(EXPECTED[f"T_{name}"], abs=TOLERANCE_DB)
    assert level.value_at(500) == pytest.approx(EXPECTED[f"REAR_{name}"], abs=TOLERANCE_DB)
    band = heard.on(AT_500, method="log_frequency", outside="refuse")
    sensation = level.above(band, quantity="sensation level")
    index = ("R", "L").index(name)
    assert sensation.value_at(500) == pytest.approx(EXPECTED["SL_insert"][index], abs=TOLERANCE_DB)


def test_maximum_output_with_the_wrong_ear_is_15_db_too_high():
    left = coupler_output({"500": GIVEN["MPO500"]}, ear=Ear.LEFT, stimulus="maximum output", bandwidth=Bandwidth.TONE)
    true = aided_level(left, at_500("L", Bandwidth.TONE), None)
    assert true.value_at(500) == pytest.approx(EXPECTED["MPO_L"], abs=TOLERANCE_DB)
    right = coupler_output({"500": GIVEN["MPO500"]}, stimulus="maximum output", bandwidth=Bandwidth.TONE)
    claimed = aided_level(right, at_500("R", Bandwidth.TONE), None)
    assert claimed.value_at(500) == pytest.approx(EXPECTED["MPO_L_wrong"], abs=TOLERANCE_DB)
    with pytest.raises(EarMismatchError, match="belongs to the left ear and the RECD to the right ear"):
        aided_level(left, at_500("R", Bandwidth.TONE), None)


def test_sound_field_threshold_does_not_hide_a_wrong_recd():
    """With thresholds from the sound field the RECD stands on one side of the sensation level only."""
    dial = thresholds({"500": GIVEN["HL500"]}, transducer=Transducer.SOUND_FIELD)
    maf = gain({"500": GIVEN["MAF500"]}, "MAF", start=dial.plane, end=gain({"500": 0}, "x").start)
    reug = gain({"500": GIVEN["REUG500"]}, "REUG")
    heard = dial.on(AT_500, method="log_frequency", outside="refuse") + maf + reug
    assert heard.value_at(500) == pytest.approx(EXPECTED["T_soundfield"], abs=TOLERANCE_DB)  # F4
    true = EXPECTED["REAR_L"] - heard.value_at(500)
    assert aided("L").value_at(500) - heard.value_at(500) == pytest.approx(true, abs=TOLERANCE_DB)
    assert true == pytest.approx(EXPECTED["SL_L_true_soundfield"], abs=TOLERANCE_DB)
    wrong = aided("R").above(heard, quantity="sensation level with the right ear's RECD")
    assert wrong.value_at(500) == pytest.approx(EXPECTED["SL_L_wrong_RECD"], abs=TOLERANCE_DB)


def test_interpolated_points_may_carry_a_verdict():
    between = side("R").on(Grid.tones([1500.0]), method="log_frequency", outside="refuse")
    assert between.state_at(1500) is PointState.INTERPOLATED
    assert between.states.is_usable.all()
