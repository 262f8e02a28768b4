"""Target files in JSON: they arrive as a target in the case does, and what they say of themselves is compared."""

from __future__ import annotations

import pytest
from case_builder import TARGET, TARGET_TOML, add_target, append, build_case, edit

from umbo.core import Ear
from umbo.errors import CaseError
from umbo.interchange import open_case, read_target_json
from umbo.session import TargetSet


def test_a_target_file_arrives(tmp_path):
    folder = build_case(tmp_path / "case")
    add_target(folder)
    assert open_case(folder).plan.ears[Ear.RIGHT].targets == (
        TargetSet(
            name="clinic",
            method="invented",
            version="1",
            options="",
            kind="speech",
            level_db_spl=65.0,
            frequency_hz=(500.0, 1000.0, 2000.0, 4000.0),
            level_db=(78.0, 83.0, 90.0, 96.5),
        ),
    )


def test_a_limit_in_a_file_needs_no_input_level(tmp_path):
    folder = build_case(tmp_path / "case")
    add_target(folder, {"kind": "maximum_output", "level_db_spl": None})
    edit(folder, 'kind = "speech"\nlevel_db_spl = 65.0', 'kind = "maximum_output"')
    (target,) = open_case(folder).plan.ears[Ear.RIGHT].targets
    assert (target.kind, target.level_db_spl, target.level_db[-1]) == ("maximum_output", None, 96.5)


def test_options_are_those_of_the_file(tmp_path):
    folder = build_case(tmp_path / "case")
    add_target(folder, {"options": "quiet, one ear"})
    edit(folder, 'version = "1"\n', 'version = "1"\noptions = "quiet, one ear"\n')
    assert open_case(folder).plan.ears[Ear.RIGHT].targets[0].options == "quiet, one ear"


def test_the_end_of_the_name_decides_in_any_case(tmp_path):
    folder = build_case(tmp_path / "case")
    add_target(folder, name="CLINIC.JSON")
    assert open_case(folder).plan.ears[Ear.RIGHT].targets[0].level_db[-1] == 96.5


def test_what_the_file_says_stands_in_the_header(tmp_path):
    folder = build_case(tmp_path / "case")
    add_target(folder)
    table = read_target_json(folder / "clinic.json")
    assert table.header == {
        "method": "invented",
        "version": "1",
        "options": "",
        "kind": "speech",
        "level_db_spl": "65",
    }
    assert table.frequency_hz == tuple(TARGET["frequency_hz"])


def test_a_table_that_states_its_input_is_compared_as_a_number(tmp_path):
    folder = build_case(tmp_path / "case")
    csv = "# level_db_spl: 65.0\nfrequency_hz,level_db\n500,78\n1000,83\n"
    add_target(folder, name="clinic.csv", text=csv)
    assert open_case(folder).plan.ears[Ear.RIGHT].targets[0].level_db == (78.0, 83.0)


def test_a_limit_with_the_file_of_a_speech_target_is_refused(tmp_path):
    folder = build_case(tmp_path / "case")
    csv = "# level_db_spl: 65\nfrequency_hz,level_db\n500,78\n1000,83\n"
    add_target(folder, name="clinic.csv", text=csv)
    edit(folder, 'kind = "speech"\nlevel_db_spl = 65.0', 'kind = "maximum_output"')
    with pytest.raises(CaseError, match=r"means no input level, but the header of 'clinic\.csv' says '65'"):
        open_case(folder)


def test_two_targets_from_two_kinds_of_files(tmp_path):
    folder = build_case(tmp_path / "case")
    add_target(folder)
    append(folder, TARGET_TOML.replace('"clinic"', '"again"').replace("65.0", "75.0"))
    assert [t.level_db_spl for t in open_case(folder).plan.ears[Ear.RIGHT].targets] == [65.0, 75.0]


def test_no_such_file(tmp_path):
    with pytest.raises(CaseError, match=r"read the target 'none\.json': it cannot be read"):
        read_target_json(tmp_path / "none.json")
