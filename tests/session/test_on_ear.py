"""Aids measured in the ear: the only way for an open fitting, and a way beside the couplers for any other."""

import numpy as np
import pytest
from open_case import FIELD, HZ, REAG, REOG, REUG, open_case

from umbo.core import Severity
from umbo.interchange import open_case as read_case
from umbo.record import verify_answer
from umbo.session import OnEar, run

SWEEP = 65.0


def right(folder):
    case = read_case(folder)
    return run(case.plan, case).ears["right"]


def codes(ear, severity=None):
    return [f.code for f in ear.findings if severity is None or f.severity is severity]


def at(curve, hz=HZ):
    return [curve.value_at(f) for f in hz]


def sweeps(state, gain):
    """A sweep at the probe tip and at the reference microphone in one state of the aid; no two files are alike."""
    reference = SWEEP + 0.01 * len(state)
    return [
        (f"ear {state}", "probe_tip", "sweep65", reference + np.asarray(gain), state),
        (f"reference {state}", "reference_microphone", "sweep65", np.full(6, reference), state),
    ]


def test_an_open_fitting_is_verified_from_speech_in_the_ear(tmp_path):
    ear = right(open_case(tmp_path / "s4"))
    assert isinstance(ear.route, OnEar)
    (speech,) = ear.speech
    assert at(speech.run.at_eardrum, (500, 1000, 2000, 3162, 4000, 6310)) == pytest.approx(FIELD + REAG, abs=0.1)
    # scenario S4
    assert at(speech.deviation) == pytest.approx([-4.2, -7.4, -4.0, -1.1, -2.6, -13.2], abs=0.1)
    rms = next(j for j in ear.verdict.judgements if j.criterion == "rms_65")
    assert rms.value_db == pytest.approx(4.88, abs=0.02)
    assert speech.coupler_target is None
    assert at(ear.maximum.run.at_eardrum) == pytest.approx([90, 98, 105, 108, 104, 95], abs=0.1)
    assert at(ear.maximum.excess) == pytest.approx([-22, -14, -7, -4, -8, -17], abs=0.1)


def test_nothing_stops_the_verdict_of_an_open_fitting_that_was_measured(tmp_path):
    ear = right(open_case(tmp_path / "s4"))
    assert codes(ear, Severity.STOP) == []
    assert "open_fitting" in codes(ear, Severity.INFO)
    assert not any("No maximum output" in reason for reason in ear.verdict.reasons)


def test_loud_sweeps_in_the_ear_carry_their_caution(tmp_path):
    ear = right(open_case(tmp_path / "s4"))
    said = next(f for f in ear.findings if f.code == "loud_sweep_in_ear")
    assert said.severity is Severity.INFO
    assert "stop at any sign of distress" in said.action
    folder = open_case(tmp_path / "loud")
    text = (folder / "case.toml").read_text().replace("level_db_spl = 85.0", "level_db_spl = 90.0")
    (folder / "case.toml").write_text(text)
    assert "loud_sweep_in_ear" in codes(right(folder), Severity.WARN)


def test_an_open_fitting_without_a_reading_in_the_ear_stays_refused(tmp_path):
    folder = open_case(tmp_path / "s4")
    text = (folder / "case.toml").read_text()
    text = text.replace('place = "probe_tip"', 'place = "coupler"\ncoupler = "ha1"')
    (folder / "case.toml").write_text(text)
    for name in ("speech_65.csv", "maximum.csv"):
        (folder / name).write_text((folder / name).read_text().replace("probe_tip", "coupler:ha1"))
    ear = right(folder)
    assert (ear.route, ear.speech, ear.maximum) == (None, (), None)
    said = next(f for f in ear.findings if f.code == "open_fitting")
    assert said.severity is Severity.STOP
    assert said.action == "Measure the aided response in the ear."
    assert any("in the ear" in reason and "No maximum output" in reason for reason in ear.verdict.reasons)


def test_the_probe_is_carried_to_the_drum_as_for_an_recd(tmp_path):
    near = right(open_case(tmp_path / "near"))
    far = right(open_case(tmp_path / "far", tip="tip_to_drum_mm = 8.0"))
    at_6k = [ear.speech[0].run.at_eardrum.value_at(6310.0) for ear in (near, far)]
    assert at_6k[1] > at_6k[0] + 1.0
    # 36 kHz mm / 8 mm = 4.5 kHz
    assert [far.speech[0].run.at_eardrum.state_at(f) for f in (4000.0, 5000.0)] == ["ok", "standing_wave"]
    assert "shallow_probe" in codes(far)
    unknown = right(open_case(tmp_path / "unknown", tip=""))
    assert "probe_distance_bounded" in codes(unknown)
    u_db = [
        ear.speech[0].run.at_eardrum.u_db[ear.speech[0].run.at_eardrum.grid.index(4000.0)] for ear in (unknown, near)
    ]
    assert u_db[0] > u_db[1]


def test_a_muted_aid_tells_how_open_the_fitting_is(tmp_path):
    curves = [*sweeps("removed", REUG), *sweeps("muted", REOG)]
    ear = right(open_case(tmp_path / "open", curves=curves))
    said = next(f for f in ear.findings if f.code == "insertion_loss")
    assert "loses 4.0 dB" in said.text
    assert said.text.endswith("the fitting is open.")
    assert "unaided_peak_missing" not in codes(ear)
    closed = right(open_case(tmp_path / "closed", curves=curves, venting="closed"))
    assert "venting_contradicted" in codes(closed, Severity.WARN)


def test_muted_and_unaided_readings_are_no_aided_ones(tmp_path):
    curves = [
        ("muted speech", "probe_tip", "speech65", FIELD + REOG, "muted"),
        ("muted loud", "probe_tip", "sweep85", 85 + REOG, "muted"),
    ]
    ear = right(open_case(tmp_path / "s4", curves=curves))
    assert [s.run.name for s in ear.speech] == ["speech 65"]
    assert ear.maximum.run.name == "maximum"


def test_a_flat_unaided_response_is_named(tmp_path):
    ear = right(open_case(tmp_path / "s4", curves=sweeps("removed", [2, 3, 4, 5, 4, 2])))
    assert "unaided_peak_missing" in codes(ear, Severity.WARN)


def test_amplified_sound_at_the_reference_microphone(tmp_path):
    quiet = [("reference muted", "reference_microphone", "speech65", FIELD, "muted")]
    # scenario S4: 5 dB at 3 kHz
    louder = [("reference on", "reference_microphone", "speech65", FIELD + np.array([0, 0, 0, 5, 0, 0]), "on")]
    ear = right(open_case(tmp_path / "leak", curves=[*quiet, *louder]))
    said = next(f for f in ear.findings if f.code == "amplified_sound_at_reference")
    assert "5.0 dB higher at 2512 Hz" in said.text  # the lower of the two bands that hold 3 kHz here
    assert "equalisation_not_told" not in codes(ear)
    same = [("reference on", "reference_microphone", "speech65", FIELD + 0.1, "on")]
    well = right(open_case(tmp_path / "well", curves=[*quiet, *same]))
    assert not {"amplified_sound_at_reference", "equalisation_not_told"} & set(codes(well))
    alone = right(open_case(tmp_path / "alone"))
    assert "equalisation_not_told" in codes(alone, Severity.INFO)


def test_a_closed_fitting_takes_its_maximum_from_a_coupler_where_none_was_run_in_the_ear(tmp_path):
    curves = [
        ("coupler 65", "coupler", "sweep65", np.full(6, 70.0), "on"),
        ("ear 65", "probe_tip", "sweep65", np.full(6, 75.0), "on"),
        ("coupler loud", "coupler", "sweep85", np.full(6, 100.0), "on"),
    ]
    folder = open_case(tmp_path / "closed", curves=curves, venting="closed")
    text = (folder / "case.toml").read_text()
    start = text.index('[[curve]]\nname = "maximum"')
    text = text[:start] + text[text.index("[[curve]]", start + 1) :]
    (folder / "case.toml").write_text(text)
    ear = right(folder)
    assert isinstance(ear.route, OnEar)
    assert ear.maximum.run.route.name == "2 cc coupler HA-1"
    assert at(ear.maximum.run.at_eardrum) == pytest.approx([105.0] * 6, abs=0.1)


def test_the_record_says_where_it_was_measured(tmp_path):
    case = read_case(open_case(tmp_path / "s4"))
    ear = verify_answer(run(case.plan, case)).ears["right"]
    assert ear.recd_used == "measurement in the ear"
    for part in (ear.speech[0], ear.maximum_output):
        assert (part.coupler, part.coupler_level) == (None, None)
        assert part.on_ear_level.plane == "probe_tip"
