"""Malformed cases of an aid tested by itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

from aid_case_builder import AID_TOML, SHEET_CSV, add_aid_tests
from malformed_case import Malformed

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

__all__ = ["AID_TESTS"]


def _changed(old: str, new: str) -> Callable[[Path], None]:
    assert old in AID_TOML
    return lambda folder: add_aid_tests(folder, AID_TOML.replace(old, new, 1))


def _sheet(name: str, text: str) -> Callable[[Path], None]:
    """The data sheet in a file of its own."""
    start, stop = AID_TOML.index("[data_sheet]"), AID_TOML.index("[entered.right]")
    changed = f'{AID_TOML[:start]}[data_sheet]\nfile = "{name}"\n\n{AID_TOML[stop:]}'

    def mutate(folder: Path) -> None:
        add_aid_tests(folder, changed)
        if text:
            (folder / name).write_text(text, encoding="utf-8")

    return mutate


AID_TESTS = [
    Malformed("unknown test", _changed('"output_90"', '"output_91"'), ("recording['ospl90'].test is 'output_91'",)),
    Malformed(
        "test without settings",
        _changed('test = "output_90"\nsettings = "full_on"\n', 'test = "output_90"\n'),
        ("recording['ospl90'].settings is missing", "output_90"),
    ),
    Malformed(
        "unknown settings",
        _changed('settings = "full_on"', 'settings = "fullon"'),
        ("recording['ospl90'].settings is 'fullon'", "it has: full_on, reference"),
    ),
    Malformed(
        "settings without a test",
        _changed('test = "output_90"\n', ""),
        ("recording['ospl90'].settings is given, but the recording names no test",),
    ),
    Malformed(
        "settings of the box",
        _changed('test = "check_source"', 'test = "check_source"\nsettings = "reference"'),
        ("recording['check now'].settings is given although 'check_source'",),
    ),
    Malformed(
        "check source through the aid",
        _changed('source = "insert"', 'source = "aid"'),
        ("recording['check now'].source is 'aid'",),
    ),
    Malformed(
        "test in the ear",
        _changed('place = "coupler"\ncoupler = "ha1"', 'place = "probe_tip"'),
        ("recording['ospl90'].place is 'probe_tip'", "output_90"),
    ),
    Malformed(
        "test with the wrong sound",
        _changed('test = "output_90"', 'test = "input_noise"'),
        ("recording['ospl90'].test is 'input_noise'", "of kind 'exponential_sweep'"),
    ),
    Malformed(
        "telecoil with a level",
        _changed("field_a_per_m = 0.0316", "field_a_per_m = 0.0316\nlevel_db_spl = 60.0"),
        ("stimulus.coil.level_db_spl is given beside field_a_per_m",),
    ),
    Malformed(
        "telecoil without a field",
        _changed("field_a_per_m = 0.0316", "level_db_spl = 60.0"),
        ("stimulus.coil.field_a_per_m is missing",),
    ),
    Malformed(
        "field by the microphone",
        _changed(
            'test = "telecoil"\nsettings = "reference"\ninput = "telecoil"',
            'test = "output_90"\nsettings = "reference"',
        ),
        ("recording['by coil'].input is 'acoustic'", "magnetic field"),
    ),
    Malformed(
        "telecoil of another test",
        _changed('test = "telecoil"', 'test = "output_90"'),
        ("recording['by coil'].input is 'telecoil'",),
    ),
    Malformed(
        "sweep without a level",
        _changed("level_db_spl = 90.0", ""),
        ("stimulus.sweep90.level_db_spl is missing", "output_90"),
    ),
    Malformed(
        "level steps without levels",
        _changed("levels_db_spl = [55.0, 90.0, 55.0]\n", ""),
        ("stimulus.steps.levels_db_spl is missing",),
    ),
    Malformed(
        "level steps with a level",
        _changed("frequency_hz = 2000.0", "frequency_hz = 2000.0\nlevel_db_spl = 60.0"),
        ("stimulus.steps.level_db_spl is given beside levels_db_spl",),
    ),
    Malformed(
        "level steps of two tones",
        _changed("frequency_hz = 2000.0", "frequency_hz = [1000.0, 2000.0]"),
        ("stimulus.steps.frequency_hz has 2 frequencies",),
    ),
    Malformed(
        "tones without their levels",
        _changed("levels_db_spl = [70.0, 70.0, 65.0]", "levels_db_spl = [70.0, 70.0]"),
        ("stimulus.tones.frequency_hz has 3 frequencies for 2 levels",),
    ),
    Malformed(
        "steps of a sweep",
        _changed("level_db_spl = 90.0", "level_db_spl = 90.0\nstep_s = 0.3"),
        ("stimulus.sweep90.step_s is given although kind is 'exponential_sweep'",),
    ),
    Malformed(
        "steps that do not fill the file",
        _changed(
            "levels_db_spl = [55.0, 90.0, 55.0]\nstep_s = 0.3", "levels_db_spl = [55.0, 90.0, 55.0]\nstep_s = 0.5"
        ),
        ("stimulus.steps has 3 steps of 0.5 s", "72000 samples"),
    ),
    Malformed(
        "direction of a sweep",
        _changed('test = "output_90"', 'test = "output_90"\ndirection_deg = 180.0'),
        ("recording['ospl90'].direction_deg is 180",),
    ),
    Malformed(
        "quiet before a sweep",
        _changed('test = "output_90"', 'test = "output_90"\nlead_in = "silence"'),
        ("recording['ospl90'].lead_in is 'silence'",),
    ),
    Malformed(
        "unknown feature",
        _changed('compression = "off"', 'compresion = "off"'),
        ("settings.full_on.features.compresion is not a known key", "did you mean 'compression'"),
    ),
    Malformed(
        "state of a feature",
        _changed('compression = "off"', 'compression = "maybe"'),
        ("settings.full_on.features.compression is 'maybe'",),
    ),
    Malformed(
        "current of an ear that is not there",
        _changed("[entered.right]", "[entered.left]"),
        ("entered.left is given, but the case has no [ear.left]",),
    ),
    Malformed(
        "current at unknown settings",
        _changed('battery_current_ma = 1.4\nsettings = "reference"', 'battery_current_ma = 1.4\nsettings = "user"'),
        ("entered.right.settings is 'user'",),
    ),
    Malformed("box below nothing", _changed("u_db = 0.5", "u_db = -0.5"), ("box.u_db is -0.5", "0 or more")),
    Malformed("sheet without coupler", _changed('coupler = "ha1"\nhfa', "hfa"), ("data_sheet.coupler is missing",)),
    Malformed(
        "sheet with one distortion short",
        _changed("thd_percent = [3, 2]", "thd_percent = [3]"),
        ("data_sheet.distortion.thd_percent has 1 value for 2 frequencies",),
    ),
    Malformed(
        "sheet with a special average of nothing",
        _changed("attack_ms = 20.0", "special_ospl90_db_spl = 100.0"),
        ("data_sheet.special_average_hz is missing",),
    ),
    Malformed(
        "sheet upside down",
        _changed("attack_ms = 20.0", "response_low_hz = 5000.0\nresponse_high_hz = 200.0"),
        ("data_sheet.response_high_hz is 200 Hz",),
    ),
    Malformed("sheet file missing", _sheet("sheet.csv", ""), ("sheet.csv", "data_sheet.file")),
    Malformed(
        "sheet in a file and beside it",
        _changed("hfa_ospl90_db_spl = 112.0", 'file = "sheet.csv"\nhfa_ospl90_db_spl = 112.0'),
        ("data_sheet.file is given beside standard",),
    ),
    Malformed("sheet of another kind", _sheet("sheet.pdf", "%PDF"), ("'.pdf' is neither .toml nor .csv",)),
    Malformed("sheet without its heads", _sheet("sheet.csv", "key,value\n"), ("item,frequency_hz,value",)),
    Malformed(
        "sheet with text for a number",
        _sheet("sheet.csv", SHEET_CSV.replace("111.5", "loud")),
        ("'hfa_ospl90_db_spl,,loud'", "'loud' in place of a number"),
    ),
    Malformed(
        "sheet with a lost frequency",
        _sheet("sheet.csv", SHEET_CSV.replace("thd_percent,500,3", "thd_percent,,3")),
        ("lacks its frequency",),
    ),
    Malformed(
        "sheet with an item twice",
        _sheet("sheet.csv", SHEET_CSV + "release_ms,,90\n"),
        ("'release_ms' is given twice",),
    ),
    Malformed(
        "sheet with a row too long",
        _sheet("sheet.csv", SHEET_CSV + "release_ms,,90,ms\n"),
        ("has 4 cells",),
    ),
    Malformed(
        "sheet with an unknown item",
        _sheet("sheet.csv", SHEET_CSV.replace("release_ms", "relase_ms")),
        ("relase_ms is not a known key", "did you mean 'release_ms'"),
    ),
    Malformed("sheet that is no TOML", _sheet("sheet.toml", "standard = \n"), ("sheet.toml is not TOML",)),
    Malformed("sheet that names a file", _sheet("sheet.toml", 'file = "other.toml"\n'), ("names another file",)),
]
