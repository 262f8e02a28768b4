"""Each command as a user meets it: output, JSON, exit status."""

import json

import jsonschema
import pytest
from curve_case import s1_case


@pytest.fixture
def case(tmp_path):
    return s1_case(tmp_path / "s1")


def test_help_names_every_command(umbo):
    status, out, _ = umbo("--help")
    assert status == 0
    commands = ("demo", "verify", "aid", "try", "targets", "response", "recd", "simulate", "tables", "doctor", "schema")
    for command in commands:
        assert command in out


def test_version(umbo):
    status, out, _ = umbo("--version")
    assert (status, out.split()[0]) == (0, "umbo")


def test_recd_prints_and_answers(umbo, case):
    status, out, _ = umbo("recd", case)
    assert status == 0
    assert "RECD re ha1" in out
    status, out, _ = umbo("recd", case, "--json")
    assert json.loads(out)["ears"]["right"][0]["coupler"] == "ha1"
    for grid, points in (("third", 22), ("audiometric", 17), ("twelfth", 85)):
        _, out, _ = umbo("recd", case, "--json", "--grid", grid)
        assert len(json.loads(out)["ears"]["right"][0]["level_db"]) == points


def test_verify_writes_both_files_and_says_no(umbo, case, tmp_path):
    status, out, err = umbo("verify", case, "--out", tmp_path / "answer")
    assert (status, err) == (1, "")
    assert "not verified" in out
    assert (tmp_path / "answer" / "report.pdf").read_bytes().startswith(b"%PDF-")
    answer = json.loads((tmp_path / "answer" / "result.json").read_text())
    assert answer["case"] == "s1"
    assert sorted(p.name for p in (tmp_path / "answer").iterdir()) == ["report.pdf", "result.json"]


def test_verify_never_writes_into_the_case(umbo, case):
    status, out, err = umbo("verify", case, "--out", case)
    assert (status, out) == (2, "")
    assert "only read" in err


def test_an_unknown_recording_names_those_there_are(umbo, case):
    status, out, err = umbo("response", case, "--recording", "nothing", "--json")
    assert (status, out) == (2, "")
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    "name", ["case", "aid", "recd", "response", "verify", "try", "targets", "simulate", "tables", "doctor"]
)
def test_schemas_are_schemas(umbo, name):
    status, out, _ = umbo("schema", name)
    assert status == 0
    jsonschema.Draft202012Validator.check_schema(json.loads(out))


def test_an_unknown_schema_names_those_there_are(umbo):
    status, _, err = umbo("schema", "everything")
    assert status == 2
    assert "aid, recd, response" in err


def test_tables_lists_and_prints(umbo):
    status, out, _ = umbo("tables")
    assert status == 0
    assert "retspl_insert/iso-389-2-1994" in out
    status, out, _ = umbo("tables", "ltass/byrne-1994")
    assert "Byrne" in out
    status, out, _ = umbo("tables", "ltass/byrne-1994", "--json")
    assert json.loads(out)["name"] == "ltass/byrne-1994"
    status, _, err = umbo("tables", "nonsense")
    assert status == 2
    assert err.count("\n") == 1


def test_json_answers_follow_their_schema(umbo, case):
    for command, name in ((("doctor", "--json"), "doctor"), (("tables", "--json"), "tables")):
        _, schema, _ = umbo("schema", name)
        status, out, _ = umbo(*command)
        assert status == 0, out
        jsonschema.validate(json.loads(out), json.loads(schema))


def test_plot_writes_svg_and_png_and_refuses_others(umbo, case, tmp_path):
    assert umbo("recd", case, "--plot", tmp_path / "a.svg")[0] == 0
    assert (tmp_path / "a.svg").read_text().startswith("<svg")
    assert umbo("recd", case, "--plot", tmp_path / "a.png")[0] == 0
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")
    status, _, err = umbo("recd", case, "--plot", tmp_path / "a.jpg")
    assert status == 2
    assert "neither .svg nor .png" in err


def test_simulate_writes_a_case_that_is_read(umbo, tmp_path):
    status, out, err = umbo("simulate", tmp_path / "sim", "--seed", 3, "--json")
    assert status == 0, err
    assert json.loads(out)["seed"] == 3
    status, out, err = umbo("recd", tmp_path / "sim", "--json")
    assert status == 0, err
    status, out, err = umbo("response", tmp_path / "sim", "--recording", "right coupler ha1", "--json")
    assert status == 0, err
    answer = json.loads(out)["response"]
    assert set(answer["harmonics"]) == {"2", "3", "4", "5"}
    assert len(answer["frequency_hz"]) == 85
    again = umbo("simulate", tmp_path / "sim", "--seed", 3)
    assert again[0] == 2


def test_simulate_refuses_unknown_faults(umbo, tmp_path):
    status, _, err = umbo("simulate", tmp_path / "sim", "--fault", "gremlin")
    assert status == 2
    assert "the bench knows leak" in err
    assert not (tmp_path / "sim").exists()
