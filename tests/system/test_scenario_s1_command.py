"""Scenario S1 (invented client) through the command, to 0.1 dB: case folder in, result.json out."""

import json
import sys

import pytest
from curve_case import HZ, s1_case

from umbo.cli import main


@pytest.fixture
def verify(monkeypatch, capsys, tmp_path):
    def run(folder):
        monkeypatch.setattr(sys, "argv", ["umbo", "verify", str(folder), "--json", "--grid", "audiometric"])
        with pytest.raises(SystemExit) as stop:
            main()
        out, err = capsys.readouterr()
        return stop.value.code or 0, json.loads(out) if out else None, err

    return run


def at(curve, hz=HZ):
    """Values of a curve record at nominal frequencies."""
    out = []
    for f in hz:
        nearest = min(range(len(curve["frequency_hz"])), key=lambda i: abs(curve["frequency_hz"][i] / f - 1))
        assert curve["frequency_hz"][nearest] == pytest.approx(f, rel=0.015)
        out.append(curve["level_db"][nearest])
    return out


def test_numbers_of_s1(verify, tmp_path):
    status, answer, err = verify(s1_case(tmp_path / "s1"))
    assert status == 1, err
    ear = answer["ears"]["right"]
    assert at(ear["thresholds"]["entered"]) == pytest.approx([50, 55, 60, 65])  # F1
    assert at(ear["thresholds"]["at_eardrum"]) == pytest.approx([65.0, 68.0, 78.5, 86.0], abs=0.1)  # F2
    speech = ear["speech"][0]
    assert at(speech["coupler_target"]) == pytest.approx([68.5, 69, 71, 72], abs=0.1)  # F6
    assert at(speech["at_eardrum"]) == pytest.approx([76.5, 84, 89, 90], abs=0.1)  # F5
    assert at(speech["deviation"]) == pytest.approx([-1.5, 1, -1, -6], abs=0.1)
    assert at(speech["sensation_level"]) == pytest.approx([11.5, 16, 10.5, 4], abs=0.1)
    rms = next(j for j in ear["verdict"]["judgements"] if j["criterion"] == "rms_65")
    assert rms["value_db"] == pytest.approx(3.17, abs=0.01)  # F9
    assert rms["outcome"] == "pass"
    assert "but not within 3 dB" in rms["sentence"]
    assert at(ear["maximum_output"]["at_eardrum"]) == pytest.approx([107, 114, 117, 118], abs=0.1)  # F7
    assert at(ear["maximum_output"]["excess"]) == pytest.approx([-3, 0, 1, 2], abs=0.1)
    assert not answer["verified"]


def test_adult_recd_for_a_baby_is_never_silent(verify, tmp_path):
    average = (('[ear.right]\nmiddle_ear = "normal"', '[ear.right]\nmiddle_ear = "normal"\nrecd = "adult_average"'),)
    folder = s1_case(tmp_path / "s1", changes=average)
    text = (folder / "case.toml").read_text()
    start, stop = text.index('[[curve]]\nname = "coupler"'), text.index('[[curve]]\nname = "speech 65"')
    (folder / "case.toml").write_text(text[:start] + text[stop:])
    status, answer, _ = verify(folder)
    assert status == 1
    ear = answer["ears"]["right"]
    assert at(ear["maximum_output"]["at_eardrum"]) == pytest.approx([101.5, 106.5, 110, 112], abs=0.1)  # a false pass
    assert "child_with_adult_recd" in [f["code"] for f in ear["findings"] if f["severity"] == "stop"]
    assert ear["verdict"]["outcome"] == "cannot_tell"


def test_already_corrected_thresholds_need_no_correction(verify, tmp_path):
    folder = s1_case(tmp_path / "s1", changes=(('scale = "nHL"\ncorrection = "scenario protocol"', 'scale = "nHL"'),))
    status, answer, err = verify(folder)
    assert (status, answer) == (2, None)
    assert "correction" in err
    assert err.count("\n") == 1


def test_wrong_reference_coupler_of_the_thresholds_is_said(verify, tmp_path):
    changed = (('transducer = "insert"\ncoupler = "ha1"', 'transducer = "insert"\ncoupler = "oes"'),)
    _, answer, _ = verify(s1_case(tmp_path / "s1", changes=changed))
    ear = answer["ears"]["right"]
    # an insert-earphone RECD converts through the RETSPLs: HA-1 to ear simulator is exact at these frequencies
    assert "converted" in ear["thresholds"]["route"]
    # dB HL + RETSPL oes + (RECD re HA-1 - (RETSPL oes - RETSPL ha1)) is the same level at the eardrum
    assert at(ear["thresholds"]["at_eardrum"]) == pytest.approx([65.0, 68.0, 78.5, 86.0], abs=0.1)


def test_open_fitting_is_refused_the_coupler_route(verify, tmp_path):
    changed = (('prescription = "none"', 'prescription = "none"\nventing = "open"'),)
    status, answer, _ = verify(s1_case(tmp_path / "s1", changes=changed))
    ear = answer["ears"]["right"]
    assert status == 1
    assert ear["speech"] == []
    assert ear["maximum_output"] is None
    assert "open_fitting" in [f["code"] for f in ear["findings"]]


def test_vented_fitting_withdraws_low_frequencies(verify, tmp_path):
    changed = (('prescription = "none"', 'prescription = "none"\nventing = "vented"'),)
    _, answer, _ = verify(s1_case(tmp_path / "s1", changes=changed))
    speech = answer["ears"]["right"]["speech"][0]["at_eardrum"]
    low = [s for f, s in zip(speech["frequency_hz"], speech["state"], strict=True) if f < 700]
    assert set(low) == {"withdrawn"}


def test_no_maximum_output_is_never_verified(verify, tmp_path):
    folder = s1_case(tmp_path / "s1")
    text = (folder / "case.toml").read_text()
    start, stop = text.index('[[curve]]\nname = "maximum"'), text.index("[[target]]")
    (folder / "case.toml").write_text(text[:start] + text[stop:])
    status, answer, _ = verify(folder)
    assert status == 1
    assert "nothing is verified without it" in answer["ears"]["right"]["verdict"]["reasons"][0]


def test_a_04cc_reading_never_meets_a_2cc_recd(verify, tmp_path):
    changed = (
        ('stimulus = "sweep90"\ncoupler = "ha1"', 'stimulus = "sweep90"\ncoupler = "cc04"'),
        ('stimulus = "speech65"\ncoupler = "ha1"', 'stimulus = "speech65"\ncoupler = "cc04"'),
    )
    folder = s1_case(tmp_path / "s1", changes=changed)
    for name in ("speech65.csv", "mpo.csv"):
        (folder / name).write_text((folder / name).read_text().replace("coupler:ha1", "coupler:cc04"))
    status, answer, _ = verify(folder)
    assert status == 1
    ear = answer["ears"]["right"]
    assert ear["speech"] == []
    reasons = " ".join(ear["verdict"]["reasons"])
    assert "no usable RECD leads from there to this eardrum" in reasons
