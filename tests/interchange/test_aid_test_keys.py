"""The keys of an aid tested by itself, through a case folder to the plan."""

import tomllib

import jsonschema
import pytest
from aid_case_builder import AID_TOML, SHEET_CSV, build_aid_case
from case_builder import append, build_case, edit

from umbo.aid import Feature, InputRoute, Item, Switch, Volume
from umbo.core import Ear, Plane
from umbo.interchange import case_schema, open_case
from umbo.session import AidTest


@pytest.fixture
def plan(tmp_path):
    return open_case(build_aid_case(tmp_path / "case")).plan


def take(plan, name):
    return next(take for take in plan.takes if take.name == name)


def test_takes_say_what_they_test(plan):
    assert take(plan, "coupler sweep").tested is None
    loud = take(plan, "ospl90").tested
    assert (loud.test, loud.run, loud.route, loud.lead_in) == (
        AidTest.OUTPUT_90,
        "now",
        InputRoute.ACOUSTIC,
        "stimulus",
    )
    assert loud.settings.volume is Volume.FULL_ON
    assert loud.settings.state(Feature.COMPRESSION) is Switch.OFF
    assert loud.settings.state(Feature.DIRECTIONAL) is Switch.UNKNOWN  # not stated
    assert take(plan, "by coil").tested.route is InputRoute.TELECOIL
    assert take(plan, "check now").tested.settings is None


def test_stimuli_carry_their_steps(plan):
    steps, tones, coil = (plan.stimuli[name] for name in ("steps", "tones", "coil"))
    assert (steps.kind, steps.frequency_hz, steps.levels_db_spl) == ("level_steps", (2000.0,), (55.0, 90.0, 55.0))
    assert steps.step_s == 0.3
    assert tones.frequency_hz == (500.0, 800.0, 1600.0)
    assert (coil.field_a_per_m, coil.level_db_spl) == (0.0316, None)


def test_data_sheet_box_and_typed_in_readings(plan):
    tests = plan.aid_tests
    sheet = tests.data_sheet
    assert (sheet.standard, sheet.plane) == ("ANSI S3.22", Plane.coupler("ha1"))
    assert sheet.nominal == {Item.HFA_OSPL90: 112.0, Item.ATTACK: pytest.approx(0.02)}  # [s]
    assert sheet.distortion_percent == {500.0: 3.0, 800.0: 2.0}
    assert sheet.response.value_db.tolist() == [30.0, 35.0]
    assert (tests.box, tests.box_u_db) == ("small box", 0.5)
    entered = tests.entered[Ear.RIGHT]
    assert (entered.battery_current_ma, entered.battery_current_u_ma) == (1.4, None)
    assert entered.settings.name == "reference"


def test_a_case_without_them_has_none(tmp_path):
    tests = open_case(build_case(tmp_path / "case")).plan.aid_tests
    assert (tests.data_sheet, tests.box_u_db, dict(tests.entered)) == (None, None, {})


def with_sheet(folder, name, text):
    build_aid_case(folder)
    start, stop = AID_TOML.index("[data_sheet]"), AID_TOML.index("[entered.right]")
    edit(folder, AID_TOML[start:stop], f'[data_sheet]\nfile = "{name}"\n\n')
    (folder / name).write_text(text, encoding="utf-8")
    return open_case(folder).plan.aid_tests


def test_a_sheet_in_csv(tmp_path):
    tests = with_sheet(tmp_path / "case", "sheet.csv", SHEET_CSV)
    sheet = tests.data_sheet
    assert (sheet.name, sheet.standard, sheet.plane) == ("sheet.csv", "IEC 60118-0", Plane.coupler("cc04"))
    assert sheet.nominal[Item.RELEASE] == pytest.approx(0.08)
    assert sheet.nominal[Item.SPA_OSPL90] == 109.0
    assert tests.special_hz == (1250.0, 2000.0, 3150.0)
    assert sheet.distortion_percent == {500.0: 3.0, 800.0: 2.0}
    assert sheet.response.frequency_hz.tolist() == [1000.0]


def test_a_sheet_in_toml_is_the_same_sheet(tmp_path):
    start, stop = AID_TOML.index("[data_sheet]"), AID_TOML.index("[entered.right]")
    text = AID_TOML[start:stop].removeprefix("[data_sheet]\n")
    sheet = with_sheet(tmp_path / "case", "sheet.toml", text).data_sheet
    assert sheet.nominal == {Item.HFA_OSPL90: 112.0, Item.ATTACK: pytest.approx(0.02)}
    assert sheet.name == "sheet.toml"


def test_the_schema_knows_the_keys(tmp_path):
    text = (build_aid_case(tmp_path / "case") / "case.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    data["measured"] = str(data["measured"])
    for calibration in data["calibration"].values():
        calibration["date"] = str(calibration["date"])
    jsonschema.validate(data, case_schema())
    data["stimulus"]["steps"]["frequency_hz"] = "2 kHz"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, case_schema())


def test_front_and_back_agree_with_their_direction(tmp_path):
    folder = build_aid_case(tmp_path / "case")
    sound = '\n[stimulus.sound]\nkind = "noise"\nfile = "tones.wav"\nlevel_db_spl = 65.0\n'
    block = AID_TOML[AID_TOML.index('[[recording]]\nname = "jump"') : AID_TOML.index('[[recording]]\nname = "by coil"')]
    block = block.replace('"jump"', '"behind"').replace('"jump.wav"', '"behind.wav"').replace('"steps"', '"sound"')
    block = block.replace('test = "attack_release"', 'test = "back"\ndirection_deg = -135.0')
    append(folder, sound + "\n" + block)
    (folder / "behind.wav").write_bytes((folder / "jump.wav").read_bytes()[:-3] + b"\x01\x00\x00")
    assert take(open_case(folder).plan, "behind").tested.direction_deg == -135.0
