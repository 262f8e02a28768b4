"""S8: two aids of a schoolgirl against their data sheet, through the command: right passes, left goes back.

Nominal values are those of the invented sound aid, rounded as a sheet rounds; tolerances: ANSI S3.22, from memory.
"""

import json
import shutil
from dataclasses import replace

import pytest
from curve_case import s1_case

from umbo.core import CouplerKind, Ear
from umbo.sim import AidEar, AidFault, AidScenario, school_aid, write_aid_case

TESTS = ("output_90", "full_on_gain", "reference_response", "distortion", "input_noise", "front", "back")
BOTH = (CouplerKind.HA1, CouplerKind.CC04)


@pytest.fixture(scope="module")
def school(tmp_path_factory):
    aid = school_aid()
    faults = (AidFault.WEAK_RECEIVER, AidFault.NOISY_MICROPHONE, AidFault.SWAPPED_PORTS)
    scenario = AidScenario(
        name="invented-school",
        seed=8,
        ears=(
            AidEar(side=Ear.RIGHT, aid=aid, fitted_db=-12.0),
            AidEar(side=Ear.LEFT, aid=replace(aid, receiver_db=-3.0), fitted_db=-12.0, faults=faults),
        ),
        couplers=BOTH,
        tests=TESTS,
        check_drift_db=1.4,
        speech_s=5.0,
        noise_s=12.0,
    )
    return write_aid_case(tmp_path_factory.mktemp("s8") / "case", scenario)


@pytest.fixture(scope="module")
def answered(school, tmp_path_factory):
    """The folder with the answer of the whole case, written once."""
    return tmp_path_factory.mktemp("s8-answer") / "out"


@pytest.fixture
def answer(school, answered, umbo):
    if not answered.exists():
        status, out, err = umbo("aid", school, "--out", answered)
        assert (status, err) == (1, "")
        (answered / "printed.txt").write_text(out, encoding="utf-8")
    return json.loads((answered / "aid.json").read_text(encoding="utf-8"))


def aid(answer, ear, coupler="ha1"):
    return next(one for one in answer["ears"][ear] if one["coupler"] == coupler)


def outcomes(sheet):
    return {(item["key"], item["frequency_hz"]): item["outcome"] for item in sheet["items"]}


def test_the_right_aid_passes_its_sheet(answer):
    sheet = aid(answer, "right")["sheet"]
    assert sheet["outcome"] == "pass"
    assert set(outcomes(sheet).values()) == {"pass"}
    assert sheet["reasons"] == []
    assert sheet["standard"] == "ANSI S3.22"
    keys = {item["key"] for item in sheet["items"]}
    assert {
        "hfa_ospl90_db_spl",
        "maximum_ospl90_db_spl",
        "hfa_full_on_gain_db",
        "equivalent_input_noise_db_spl",
    } <= keys
    assert {"thd_percent", "battery_current_ma", "gain_db"} <= keys


def test_the_left_aid_fails_for_its_receiver_and_is_not_fine_tuned(answer):
    sheet = aid(answer, "left")["sheet"]
    found = outcomes(sheet)
    assert sheet["outcome"] == "fail"
    assert found["hfa_ospl90_db_spl", None] == "fail"
    assert found["hfa_full_on_gain_db", None] == "fail"
    assert found["battery_current_ma", None] == "fail"
    assert found["equivalent_input_noise_db_spl", None] == "fail"
    assert found["maximum_ospl90_db_spl", None] == "pass"  # only too much output is held against it
    first = sheet["reasons"][0]
    assert first["code"] == "receiver_fault"
    assert "receiver" in first["reason"]
    assert first["action"].startswith("Do not fine-tune")


def test_each_number_says_what_it_holds_for(answer):
    for one in answer["ears"]["left"]:
        for measure in one["measures"]:
            assert measure["conditions"]["coupler"] == one["coupler"]
            assert measure["conditions"]["settings"] in ("full_on", "reference")
            assert set(measure["conditions"]["features"].values()) == {"off"}
    by_key = {m["key"]: m for m in aid(answer, "left")["measures"]}
    assert by_key["hfa_ospl90_db_spl"]["conditions"]["input_db_spl"] == 90
    assert by_key["battery_current_ma"]["entered"]
    assert not by_key["hfa_ospl90_db_spl"]["entered"]


def test_ports_are_told(answer):
    checks = {ear: {tuple(c["settings"]): c for c in aid(answer, ear)["checks"]} for ear in ("right", "left")}
    assert checks["right"]["fitted_directional",]["outcome"] == "pass"
    left = checks["left"]["fitted_directional",]
    assert left["outcome"] == "fail"
    assert "reversed" in left["sentence"]
    assert checks["left"]["fitted",]["outcome"] == "pass"  # omnidirectional, as declared


def test_the_other_ear_and_the_other_coupler_are_compared(answer):
    (response,) = [curve for curve in answer["between_ears"] if curve["quantity"].startswith("response")][:1]
    at_1k = min(range(85), key=lambda i: abs(response["frequency_hz"][i] - 1000))
    assert -10 < response["level_db"][at_1k] < -4
    assert any(finding["code"] == "ears_difference" for finding in answer["findings"])
    for ear in ("right", "left"):
        (pair,) = answer["between_couplers"][ear]
        assert 8 < pair["step"]["level_db"][at_1k] < 16  # about 14 dB for an ideal source (F14)
        assert pair["large"]["state"][-1] == "outside_coupler"
    assert aid(answer, "right", "cc04")["sheet"] is None  # the sheet holds for the HA-1


def test_the_check_source_drifted_and_that_is_a_warning(answer):
    (check,) = answer["check_source"]
    assert check["change_db"] == pytest.approx(1.4, abs=0.05)
    drift = next(finding for finding in answer["findings"] if finding["code"] == "check_source_drift")
    assert drift["severity"] == "warn"


def test_what_is_printed(answer, answered):
    out = (answered / "printed.txt").read_text(encoding="utf-8")
    assert "right aid, 2 cc coupler HA-1, against data sheet of invented-school (ANSI S3.22)" in out
    assert "Do not fine-tune" in out
    assert "Something fails." in out
    assert (answered / "aid-report.pdf").read_bytes().startswith(b"%PDF-")


def test_one_ear_its_plot_and_its_drift(umbo, school, answer, answered, tmp_path):
    """The same recordings again: every change is nothing, and the uncertainty counts the calibration twice."""
    plot = tmp_path / "aid.svg"
    status, out, _ = umbo("aid", school, "--ear", "right", "--json", "--since", answered / "aid.json", "--plot", plot)
    assert status == 0
    found = json.loads(out)
    assert list(found["ears"]) == ["right"]
    assert found["since"] == "2026-11-25, case invented-school"
    changes = {change["key"]: change for change in found["changes"]["right"]}
    hfa = changes["hfa_ospl90_db_spl"]
    assert hfa["change"] == pytest.approx(0.0, abs=1e-3)
    assert hfa["u"] == pytest.approx(0.3 * 2**0.5, abs=0.01)
    assert not any(change["is_significant"] for change in changes.values())
    assert plot.read_text(encoding="utf-8").startswith("<svg")


def spoilt(school, folder, old, new):
    shutil.copytree(school, folder)
    path = folder / "case.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return folder


def test_an_unknown_state_gives_no_verdict(umbo, school, tmp_path):
    text = (school / "case.toml").read_text(encoding="utf-8")
    at = text.index("[settings.fitted_directional]")
    old = text[at : text.index("\n\n", at)]
    case = spoilt(school, tmp_path / "case", old, old.replace('directional = "on"', 'directional = "unknown"'))
    status, out, _ = umbo("aid", case, "--json")
    assert status == 1
    check = {tuple(c["settings"]): c for c in aid(json.loads(out), "left")["checks"]}["fitted_directional",]
    assert check["outcome"] == "cannot_tell"
    assert "is not known" in check["sentence"]
    assert check["value"] < -5  # the number is shown all the same


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--ear", "middle"), "right and left"),
        (("--since", "nothing.json"), "cannot be read"),
        (("--plot", "x.gif"), ".svg nor .png"),
    ],
)
def test_bad_arguments_are_one_sentence(umbo, school, arguments, words):
    status, out, err = umbo("aid", school, *arguments)
    assert (status, out) == (2, "")
    assert words in err
    assert err.count("\n") == 1


def test_an_answer_about_another_client_is_refused(umbo, school, answer, tmp_path):
    other = tmp_path / "aid.json"
    other.write_text(json.dumps(answer | {"client": "somebody else"}), encoding="utf-8")
    status, _, err = umbo("aid", school, "--since", other)
    assert status == 2
    assert "somebody else" in err
    other.write_text(json.dumps(answer | {"check_source": 3}), encoding="utf-8")
    status, _, err = umbo("aid", school, "--since", other)
    assert (status, err.count("\n")) == (2, 1)


def test_the_earlier_answer_is_not_written_over(umbo, school, answer, answered):
    status, _, err = umbo("aid", school, "--since", answered / "aid.json", "--out", answered)
    assert status == 2
    assert "replace the earlier answer" in err


def test_verification_leaves_these_recordings_alone(umbo, school):
    """Tests of an aid by itself are no part of a fitting."""
    status, out, _ = umbo("verify", school, "--json")
    assert status == 1
    assert all(not ear["speech"] and ear["maximum_output"] is None for ear in json.loads(out)["ears"].values())


def test_a_case_without_tests_is_not_possible_here(umbo, tmp_path):
    status, out, err = umbo("aid", s1_case(tmp_path / "s1"))
    assert (status, out) == (3, "")
    assert "no recording in it says which test it is" in err
