"""Aid-test cases: what the folder says, faults, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import soundfile
from aid_case_reading import Written

from umbo.core import CouplerKind, Ear
from umbo.errors import InputError
from umbo.sim import AidEar, AidFault, AidScenario, school_aid, school_scenario, write_aid_case

TESTS = {
    "output_90",
    "full_on_gain",
    "reference_response",
    "distortion",
    "input_noise",
    "input_output",
    "attack_release",
    "speech",
    "noise",
    "front",
    "back",
    "telecoil",
    "remote_microphone",
    "lowering_off",
    "lowering_on",
    "expansion",
}
DATA_SHEET = {"output_90", "full_on_gain", "reference_response", "distortion", "input_noise"}


def test_every_test_is_there_and_every_file(school):
    assert {entry.get("test") for entry in school.case["recording"]} == TESTS | {"check_source"}
    second = {entry["test"] for entry in school.entries(coupler="cc04")}
    assert second == DATA_SHEET
    for entry in school.case["recording"]:
        stimulus = school.case["stimulus"][entry["stimulus"]]
        if entry["test"] != "check_source":
            assert entry["settings"] in school.case["settings"]
        recorded = soundfile.info(school.folder / entry["file"])
        if "file" in stimulus:
            played = soundfile.info(school.folder / stimulus["file"])
            assert recorded.frames == entry["repeats"] * played.frames
        else:
            assert stimulus["kind"] == "silence"
    names = [entry["name"] for entry in school.case["recording"]]
    assert len(set(names)) == len(names)
    files = [entry["file"] for entry in school.case["recording"]]
    assert len(set(files)) == len(files)


def test_no_file_is_left_over(school):
    named = {entry["file"] for entry in school.case["recording"]}
    named |= {entry["file"] for entry in school.case["stimulus"].values() if "file" in entry}
    assert {path.name for path in school.folder.iterdir()} == named | {"case.toml", "truth.json"}


def test_settings_say_what_is_on(school):
    settings = school.case["settings"]
    assert settings["full_on"]["volume"] == "full_on"
    assert set(settings["reference"]["features"].values()) == {"off"}
    assert settings["dynamic"]["features"]["compression"] == "on"
    for name, feature in (
        ("fitted_noise_reduction", "noise_reduction"),
        ("fitted_directional", "directional"),
        ("fitted_lowering", "frequency_lowering"),
    ):
        changed = {
            key for key, value in settings[name]["features"].items() if settings["fitted"]["features"][key] != value
        }
        assert changed == {feature}


def test_directions_and_inputs_are_stated_where_they_matter(school):
    for entry in school.case["recording"]:
        assert entry.get("direction_deg") == {"front": 0.0, "back": 180.0}.get(entry["test"])
        assert entry.get("lead_in") == ("silence" if entry["test"] == "noise" else None)
        assert (entry.get("input") == "telecoil") is (entry["test"] == "telecoil")


def test_nothing_is_clipped(school):
    for entry in school.case["recording"]:
        samples, _ = soundfile.read(school.folder / entry["file"])
        assert np.max(np.abs(samples)) < 0.999, entry["name"]


def test_level_steps_and_tones_carry_their_levels(school):
    steps = school.case["stimulus"]["steps_2000"]
    assert steps == {
        "kind": "level_steps",
        "file": "steps-2000.wav",
        "frequency_hz": 2000.0,
        "levels_db_spl": [55.0, 90.0, 55.0],
        "step_s": 1.0,
    }
    assert school.case["stimulus"]["distortion_tones"]["frequency_hz"] == [500.0, 800.0, 1600.0]
    assert "level_db_spl" not in school.case["stimulus"]["coil_sweep"]
    assert school.case["stimulus"]["coil_sweep"]["field_a_per_m"] == 0.0316


def test_weak_receiver_is_low_in_everything_and_draws_more(school):
    good, weak = (school.truth["ears"][ear]["data_sheet"]["ha1"] for ear in ("right", "left"))
    # 6 dB; at the ceiling the third harmonic's cube adds 3 h to the fundamental, and h has grown from 2 to 6 %
    lower_db = good["ospl90"]["hfa_db_spl"] - weak["ospl90"]["hfa_db_spl"]
    assert lower_db == pytest.approx(6.0 - 20 * np.log10(1.18 / 1.06), abs=0.05)
    assert good["full_on_gain"]["hfa_db"] - weak["full_on_gain"]["hfa_db"] == pytest.approx(6.0, abs=0.3)
    assert weak["distortion"]["total_percent"][0] > 2 * good["distortion"]["total_percent"][0]
    entered = school.case["entered"]
    assert entered["left"]["battery_current_ma"] == pytest.approx(1.25 * entered["right"]["battery_current_ma"])
    assert {fault["name"] for fault in school.truth["ears"]["left"]["faults"]} == {
        "weak_receiver",
        "noisy_microphone",
        "swapped_ports",
    }


def test_data_sheet_is_that_of_the_sound_aid(school, right):
    sheet, truth = school.case["data_sheet"], right["data_sheet"]["ha1"]
    assert sheet["hfa_ospl90_db_spl"] == pytest.approx(truth["ospl90"]["hfa_db_spl"], abs=0.5)
    assert sheet["hfa_full_on_gain_db"] == pytest.approx(truth["full_on_gain"]["hfa_db"], abs=0.5)
    assert sheet["coupler"] == "ha1"
    place = sheet["response"]["frequency_hz"].index(1000.0)
    assert sheet["response"]["gain_db"][place] == pytest.approx(truth["response"]["gain_db"][36], abs=0.25)


@pytest.mark.parametrize("fault", list(AidFault))
def test_faults_leave_their_mark_and_nothing_else(fault, tmp_path):
    sound, faulty = (
        Written(
            write_aid_case(
                tmp_path / name,
                AidScenario(
                    name=name,
                    seed=3,
                    ears=(AidEar(side=Ear.LEFT, aid=school_aid(), faults=faults),),
                    tests=("output_90",),
                    speech_s=1.0,
                    noise_s=1.0,
                    with_data_sheet=False,
                ),
            )
        ).truth["ears"]["left"]
        for name, faults in (("sound", ()), ("faulty", (fault,)))
    )
    before, after = (entry["data_sheet"]["ha1"] for entry in (sound, faulty))
    output_db = after["ospl90"]["hfa_db_spl"] - before["ospl90"]["hfa_db_spl"]
    gain_db = after["full_on_gain"]["hfa_db"] - before["full_on_gain"]["hfa_db"]
    noise_db = after["input_noise"]["equivalent_db_spl"] - before["input_noise"]["equivalent_db_spl"]
    current = faulty["battery_current_ma"] / sound["battery_current_ma"]
    weak = fault is AidFault.WEAK_RECEIVER
    assert (output_db < -2.0) is weak
    assert current == pytest.approx(1.25 if weak else 1.0)
    expected_gain_db = {AidFault.WEAK_RECEIVER: -6.0, AidFault.BLOCKED_MICROPHONE: -10.0}.get(fault, 0.0)
    assert gain_db == pytest.approx(expected_gain_db, abs=0.3)
    expected_noise_db = {AidFault.NOISY_MICROPHONE: 8.0, AidFault.BLOCKED_MICROPHONE: 10.0}.get(fault, 0.0)
    assert noise_db == pytest.approx(expected_noise_db, abs=0.5)


def test_same_scenario_same_bytes(tmp_path):
    scenario = AidScenario(
        name="twice",
        seed=5,
        ears=(AidEar(side=Ear.RIGHT, aid=school_aid()),),
        tests=("output_90", "input_noise", "speech"),
        speech_s=1.0,
        noise_s=1.0,
    )
    first, second = (write_aid_case(tmp_path / name, scenario) for name in ("one", "two"))
    names = sorted(path.name for path in first.iterdir())
    assert names == sorted(path.name for path in second.iterdir())
    for name in names:
        assert (first / name).read_bytes() == (second / name).read_bytes()


def test_an_aid_without_features_is_not_tested_for_them(tmp_path):
    plain = replace(
        school_aid(), expansion=None, noise_reduction=None, lowering=None, telecoil=None, remote_microphone=None
    )
    scenario = AidScenario(
        name="plain",
        seed=1,
        ears=(AidEar(side=Ear.RIGHT, aid=plain),),
        speech_levels_db_spl=(),
        tests=("output_90", "expansion", "noise", "telecoil", "remote_microphone", "lowering_on"),
        with_data_sheet=False,
    )
    written = Written(write_aid_case(tmp_path / "plain", scenario))
    assert {entry["test"] for entry in written.case["recording"]} == {"output_90", "check_source"}
    assert "data_sheet" not in written.case
    assert "noise_reduction" not in written.truth["ears"]["right"]["features"]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"ears": ()}, "its sides are missing"),
        ({"couplers": (CouplerKind.HA1, CouplerKind.HA1)}, "name one or more different couplers"),
        ({"tests": ("loudness",)}, "the bench has no test 'loudness'"),
        ({"name": "a b"}, "other signs than letters"),
    ],
)
def test_scenarios_that_cannot_be_are_refused(changes, sentence):
    with pytest.raises(InputError, match=sentence):
        replace(school_scenario(), **changes)


def test_aids_that_cannot_be_are_refused():
    with pytest.raises(InputError, match="a volume of 3 dB"):
        AidEar(side=Ear.LEFT, aid=school_aid(), fitted_db=3.0)


def test_a_place_that_is_taken_is_refused(tmp_path):
    (tmp_path / "note.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="something is there already"):
        write_aid_case(tmp_path, school_scenario())
