"""Scenario S8: two aids of one model against their data sheet, and what failures have in common."""

import json
import os
from pathlib import Path

import numpy as np
import pytest
from aid_parts import HA1, conditions, curve

from umbo.aid import (
    FAULT_PATTERNS,
    DataSheet,
    Item,
    Measure,
    NominalCurve,
    Sign,
    StimulusKind,
    entered_measure,
    gain_of,
    input_output,
    judge_input_output,
    judge_measure,
    judge_response,
    judge_sheet,
    likely_reasons,
    tolerance,
)
from umbo.core import Component, Grid, Outcome, Plane, PointState, Uncertainty
from umbo.errors import InputError, PlaneMismatchError

NOMINAL = {
    Item.HFA_OSPL90: 112.0,
    Item.MAXIMUM_OSPL90: 118.0,
    Item.HFA_FULL_ON_GAIN: 48.0,
    Item.INPUT_NOISE: 26.0,
    Item.DISTORTION: 3.0,
    Item.BATTERY_CURRENT: 1.4,
}
RIGHT = dict(zip(NOMINAL, (108.5, 120.0, 44.0, 28.0, 4.0, 1.6), strict=True))
LEFT = dict(zip(NOMINAL, (107.0, 114.0, 42.0, 31.0, 9.0, 1.75), strict=True))
SHEET = DataSheet(name="model A", plane=HA1, standard="ANSI S3.22", nominal=NOMINAL)


def measured(item, value, u=0.0, plane=HA1, doubt="", frequency_hz=None):
    cause = Component("invented", "invented", np.array([u]), "full", "B", "invented")
    return Measure(
        item=item, value=value, uncertainty=Uncertainty.of(1, [cause]), conditions=conditions(plane=plane), doubt=doubt,
        frequency_hz=frequency_hz,
    )  # fmt: skip


def judged(values, sheet=SHEET, u=0.0):
    return judge_sheet([measured(item, value, u) for item, value in values.items()], sheet)


def test_numbers_are_the_scenario_s():
    """The machine-readable scenario, where the project's input folder is at hand."""
    shared = Path(os.environ.get("UMBO_SHARED", Path(__file__).resolve().parents[3] / "shared"))
    path = shared / "reference" / "scenarios.json"
    if not path.is_file():
        pytest.skip(f"no {path}: set UMBO_SHARED to the project's shared input folder")
    found = json.loads(path.read_text(encoding="utf-8"))
    scenarios = found if isinstance(found, list) else found.get("scenarios", list(found.values()))
    inputs = next(s for s in scenarios if s["id"] == "S8")["inputs"]
    keys = ("HFA_OSPL90", "max_OSPL90", "HFA_FOG", "EIN", "THD", "battery_mA")
    for name, own in (("spec", NOMINAL), ("right", RIGHT), ("left", LEFT)):
        assert [inputs[name][key] for key in keys] == list(own.values())


def test_right_aid_passes_everything():
    found = judged(RIGHT)
    assert [item.outcome for item in found.items] == [Outcome.PASS] * 6
    assert found.outcome is Outcome.PASS
    assert found.reasons == ()
    assert found.not_judged == ()


def test_left_aid_fails_as_listed_and_its_receiver_is_the_reason():
    found = judged(LEFT)
    outcome = {item.item: item.outcome for item in found.items}
    assert outcome == {
        Item.HFA_OSPL90: Outcome.FAIL,
        Item.MAXIMUM_OSPL90: Outcome.PASS,
        Item.HFA_FULL_ON_GAIN: Outcome.FAIL,
        Item.INPUT_NOISE: Outcome.FAIL,
        Item.DISTORTION: Outcome.FAIL,
        Item.BATTERY_CURRENT: Outcome.FAIL,
    }
    deviation = {item.item: item.deviation for item in found.items}
    assert deviation[Item.HFA_OSPL90] == -5
    assert deviation[Item.HFA_FULL_ON_GAIN] == -6
    assert deviation[Item.BATTERY_CURRENT] / 1.4 == pytest.approx(0.25)
    assert found.outcome is Outcome.FAIL
    assert len(found.reasons) == 1  # the rules for fewer signs are part of it
    (reason,) = found.reasons
    assert reason.code == "receiver_fault"
    assert "receiver" in reason.reason
    assert reason.action.startswith("Do not fine-tune")
    assert reason.also == ("noise",)


def test_sentences_say_what_is_allowed():
    said = {item.item: item.sentence for item in judged(LEFT).items}
    assert said[Item.HFA_OSPL90] == "HFA-OSPL90: 107 dB SPL (nominal 112, 108 to 116 dB SPL allowed)."
    assert said[Item.BATTERY_CURRENT] == "Battery current: 1.75 mA (nominal 1.4, at most 1.68 mA allowed)."


def test_uncertainty_turns_a_near_miss_into_cannot_tell_and_never_into_a_pass():
    item = judge_measure(measured(Item.HFA_OSPL90, 107.0, u=0.5), SHEET)
    assert item.outcome is Outcome.CANNOT_TELL
    assert "less than twice its uncertainty of 0.5 dB SPL" in item.sentence
    assert judge_measure(measured(Item.HFA_OSPL90, 107.0, u=0.49), SHEET).outcome is Outcome.FAIL


def test_a_doubt_gives_no_verdict():
    item = judge_measure(measured(Item.INPUT_NOISE, 20.0, doubt="the expansion was on"), SHEET)
    assert item.outcome is Outcome.CANNOT_TELL
    assert item.sentence.endswith("cannot be judged: the expansion was on.")
    assert judged(RIGHT | {Item.INPUT_NOISE: 20.0}).outcome is Outcome.PASS


def test_another_coupler_is_refused():
    with pytest.raises(PlaneMismatchError, match=r"in the 0\.4 cc coupler and the sheet holds for levels in the 2 cc"):
        judge_measure(measured(Item.HFA_OSPL90, 112.0, plane=Plane.coupler("cc04")), SHEET)
    # a current has no coupler
    current = measured(Item.BATTERY_CURRENT, 1.4, plane=Plane.coupler("cc04"))
    assert judge_measure(current, SHEET).outcome is Outcome.PASS


def test_what_was_not_judged_is_listed():
    sheet = DataSheet(
        name="b", plane=HA1, standard="IEC 60118-0", nominal={Item.HFA_OSPL90: 112.0, Item.RESPONSE_LOW: 200.0},
        distortion_percent={500.0: 2.0, 800.0: 2.0},
    )  # fmt: skip
    found = judge_sheet([measured(Item.DISTORTION, 4.0, frequency_hz=500.0)], sheet)
    assert found.items[0].outcome is Outcome.PASS
    assert found.items[0].frequency_hz == 500.0
    assert found.not_judged == (
        "HFA-OSPL90: it was not measured",
        "lower end of the frequency range: no tolerance is known for it",
        "total harmonic distortion at 800 Hz: it was not measured",
    )


@pytest.mark.parametrize(
    ("item", "nominal", "low", "high"),
    [
        (Item.MAXIMUM_OSPL90, 118.0, None, 3.0),
        (Item.HFA_OSPL90, 112.0, -4.0, 4.0),
        (Item.HFA_FULL_ON_GAIN, 48.0, -5.0, 5.0),
        (Item.DISTORTION, 3.0, None, 3.0),
        (Item.INPUT_NOISE, 26.0, None, 3.0),
        (Item.BATTERY_CURRENT, 1.0, None, 0.2),
        (Item.ATTACK, 0.005, -0.005, 0.005),
        (Item.RELEASE, 0.1, -0.05, 0.05),
        (Item.COIL_DIFFERENCE, 0.0, -6.0, 6.0),
    ],
)
def test_tolerances(item, nominal, low, high):
    """ANSI S3.22, from memory: times within 5 ms or 50 %, whichever is larger."""
    found = tolerance(item, nominal)
    assert (found.low, found.high) == (
        None if low is None else pytest.approx(low),
        pytest.approx(high),
    )
    assert found.source == "ANSI S3.22 (from memory)"


REASONS = {
    "receiver_or_wax": {Item.HFA_OSPL90: -8, Item.HFA_FULL_ON_GAIN: -9},
    "microphone_port": {Item.HFA_FULL_ON_GAIN: -10, Item.HFA_OSPL90: 0},
    "microphone_noise": {Item.INPUT_NOISE: 6, Item.HFA_FULL_ON_GAIN: 0},
    "receiver_distorts": {Item.DISTORTION: 8, Item.BATTERY_CURRENT: 0.6},
    "receiver_fault": {
        Item.HFA_OSPL90: -8, Item.HFA_FULL_ON_GAIN: -9, Item.DISTORTION: 8, Item.BATTERY_CURRENT: 0.6,
    },
}  # fmt: skip


@pytest.mark.parametrize("code", REASONS)
def test_reasons(code):
    changed = {item: NOMINAL[item] + deviation for item, deviation in REASONS[code].items()}
    assert [reason.code for reason in judged(NOMINAL | changed).reasons] == [code]


def test_reasons_need_every_sign():
    assert {pattern.code for pattern in FAULT_PATTERNS} == set(REASONS)
    assert judged(NOMINAL | {Item.BATTERY_CURRENT: 3.0}).reasons == ()
    assert judged({Item.HFA_FULL_ON_GAIN: 30.0}).reasons == ()  # output was not measured: port or receiver
    high = [(Item.HFA_OSPL90, 8.0, Outcome.FAIL), (Item.HFA_FULL_ON_GAIN, 8.0, Outcome.FAIL)]
    assert likely_reasons(high) == ()
    assert Sign.LOW != Sign.HIGH


def test_response_against_the_sheet():
    hz = Grid.twelfth_octave().frequency_hz
    nominal_hz = np.array([250.0, 500.0, 1000.0, 2000.0, 2500.0, 4000.0, 6000.0])
    sheet = DataSheet(
        name="c", plane=HA1, standard="ANSI S3.22", nominal={}, response=NominalCurve(nominal_hz, np.full(7, 40.0))
    )
    gain = gain_of(curve(np.where(hz < 2200, 105.0, 105.5)), conditions())
    found = judge_response(gain, sheet, (200.0, 5500.0))
    # 250 Hz = 1.25 f1 to 2 kHz within 4 dB, above within 6 dB, up to 4 kHz (from memory)
    assert [item.frequency_hz for item in found] == [250, 500, 1000, 2000, 2500, 4000]
    assert [item.outcome for item in found] == [Outcome.FAIL] * 4 + [Outcome.PASS] * 2
    marked = curve(104.5).marked(PointState.BELOW_NOISE, np.ones(hz.size, bool), "too quiet")
    assert judge_response(gain_of(marked, conditions()), sheet, (200.0, 5500.0))[0].outcome is Outcome.CANNOT_TELL
    assert judge_response(gain, SHEET, (200.0, 5500.0)) == ()
    other = gain_of(curve(100.0, plane=Plane.coupler("ha2")), conditions(plane=Plane.coupler("ha2")))
    with pytest.raises(PlaneMismatchError, match="judge a response by the data sheet 'c'"):
        judge_response(other, sheet, (200.0, 5500.0))


def test_input_output_curve_is_matched_at_70_db():
    from test_tone_measures import STEPS, compressed, series, stepped  # noqa: PLC0415

    levels = np.arange(50.0, 91.0, 10.0)
    found = input_output(series(*stepped(levels, compressed(levels, 55.0, 2.0))), STEPS)
    off = compressed(levels, 55.0, 2.0) + 7.0  # the same shape, louder
    off[-1] -= 6.0
    out = judge_input_output(found, NominalCurve(levels, off))
    assert [outcome for _, _, outcome in out] == [Outcome.PASS] * 4 + [Outcome.FAIL]
    assert out[-1][1] == pytest.approx(6.0, abs=0.05)
    with pytest.raises(InputError, match="a point at 70 dB SPL"):
        judge_input_output(found, NominalCurve(np.array([50.0, 60.0]), np.array([90.0, 95.0])))


def test_entered_current_and_sheets_that_cannot_be():
    current = entered_measure(Item.BATTERY_CURRENT, 1.6, 0.01, conditions(StimulusKind.SILENCE, None), source="ammeter")
    assert judge_measure(current, SHEET).outcome is Outcome.PASS
    assert str(current).startswith("battery current: 1.6 mA (u 0.01)")
    with pytest.raises(InputError, match=r"its battery current of -1\.0 mA cannot be"):
        DataSheet(name="d", plane=HA1, standard="x", nominal={Item.BATTERY_CURRENT: -1.0})
    with pytest.raises(InputError, match="its frequencies do not ascend"):
        NominalCurve(np.array([500.0, 250.0]), np.zeros(2))
