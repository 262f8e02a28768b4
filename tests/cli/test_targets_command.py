"""``umbo targets`` as a user meets it: tables, JSON, pictures, sentences, exit status."""

import json

import jsonschema
import pytest
from case_builder import fingerprint
from curve_case import s1_case
from threshold_case import imported, threshold_case

from umbo.prescription import METHODS

DISCOMFORT = (95, 100, 100, 105)


@pytest.fixture
def adult(tmp_path):
    return threshold_case(tmp_path / "adult", discomfort=DISCOMFORT, extra=imported((66, 71, 79, 82)))


def row(out, name, table):
    """Cells of one row of one of the tables."""
    part = out[out.index(table) :]
    line = next(line for line in part.splitlines() if line.strip().startswith(name))
    return line.replace(name, "", 1).split()


def test_methods_stand_side_by_side(umbo, adult):
    status, out, err = umbo("targets", adult)
    assert (status, err) == (0, "")
    # NAL-R at 0.25 to 6 kHz: scenario S4, worked by hand
    assert row(out, "NAL-R ", "insertion gain, dB") == ["0.0", "5.2", "17.4", "20.0", "22.1", "23.6", "25.2"]
    for entry in METHODS.values():
        assert len(row(out, f"{entry.name} ", "wanted level at the eardrum")) >= 4
        assert f"{entry.name}, {entry.version} ({entry.key}): {entry.status}" in out
    assert row(out, "imported: invented rule", "wanted level") == ["66.0", "71.0", "79.0", "82.0"]
    assert "imported: invented rule, 5.1, adult, quiet" in out
    assert row(out, "median ", "wanted level")
    assert "not computed" not in out
    assert "no insertion gain" not in out
    assert "Caution: None of them prescribes a maximum output" in out


def test_a_child_gets_the_reason_and_no_insertion_gain(umbo, tmp_path):
    status, out, _ = umbo("targets", s1_case(tmp_path / "s1"), "--input", 65)
    assert status == 0
    assert "insertion gain, dB" not in out
    said = " ".join(out.split())
    assert "no insertion gain: state a target as insertion gain: the client is 3 months old" in said
    assert "the same holds for NAL-RP, Half-gain rule, POGO, POGO II, Berger, Libby one-third gain, FIG6" in said
    assert "not computed: prescribe aided levels by the DSL[i/o] core mapping: no discomfort level is known" in said
    assert "imported limit of maximum output: invented, 1" in said


def test_a_bound_is_marked(umbo, tmp_path):
    silent = "no_response = [false, false, false, false, false, true, false]"
    status, out, _ = umbo("targets", threshold_case(tmp_path / "case", keys=silent), "--method", "pogo")
    assert status == 0
    assert row(out, "POGO ", "wanted level")[5] == "*"
    assert len(row(out, "POGO ", "difference from the median")) == 5  # 4 kHz has none
    assert "no number that could be used" in out


def test_inputs_and_methods_can_be_chosen(umbo, adult):
    status, out, _ = umbo(
        "targets", adult, "--json", "--input", 75, "--input", 55, "--input", 75, "--method", "fig6", "--method", "nal_r"
    )
    assert status == 0
    answer = json.loads(out)
    assert answer["inputs_db_spl"] == [55.0, 75.0]
    assert list(answer["prescriptions"]) == ["fig6", "nal_r"]
    ear = answer["ears"]["right"]
    assert [one["input_db_spl"] for one in ear["inputs"]] == [55.0, 75.0]
    assert [m["method"] for m in ear["inputs"][0]["methods"]] == ["fig6", "nal_r"]
    assert ear["imported_for_other_inputs"] == [65.0]
    _, out, _ = umbo("targets", adult, "--input", 55)
    assert "Targets were imported for speech of 65 dB too: ask with --input." in out


def test_an_ear_can_be_chosen(umbo, tmp_path):
    folder = threshold_case(tmp_path / "case", ears=("right", "left"))
    for asked, ears in (("left", ["left"]), ("both", ["right", "left"]), (None, ["right", "left"])):
        status, out, _ = umbo("targets", folder, "--json", *(() if asked is None else ("--ear", asked)))
        assert (status, list(json.loads(out)["ears"])) == (0, ears)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--ear", "middle"), "an ear is right, left or both"),
        (("--ear", "left"), "the case has the right ear"),
        (("--method", "nal_q"), ", ".join(METHODS)),
        (("--input", "300"), "between 30 and 100 dB SPL"),
        (("--plot", "picture.gif"), "neither .svg nor .png"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(umbo, adult, arguments, words):
    status, out, err = umbo("targets", adult, *arguments)
    assert (status, out) == (2, "")
    assert words in err
    assert err.count("\n") == 1


def test_other_commands_still_want_a_measurement(umbo, adult):
    for command in ("recd", "verify"):
        status, _, err = umbo(command, adult)
        assert status == 2
        assert "no [[recording]] and no [[curve]]" in err


def test_the_answer_follows_its_schema(umbo, adult, tmp_path):
    _, schema, _ = umbo("schema", "targets")
    jsonschema.Draft202012Validator.check_schema(json.loads(schema))
    for folder in (adult, s1_case(tmp_path / "s1")):
        _, out, _ = umbo("targets", folder, "--json", "--input", 55, "--input", 65)
        jsonschema.validate(json.loads(out), json.loads(schema))


def test_a_case_with_recordings_is_read_and_left_alone(umbo, tmp_path):
    case = tmp_path / "sim"
    assert umbo("simulate", case, "--seed", 3, "--age-months", 400)[0] == 0
    before = fingerprint(case)
    status, out, err = umbo("targets", case, "--json")
    assert (status, err) == (0, "")
    assert json.loads(out)["ears"]["right"]["thresholds"]["at_eardrum"] is not None
    assert fingerprint(case) == before


def test_pictures_are_written(umbo, adult, tmp_path):
    assert umbo("targets", adult, "--plot", tmp_path / "a.svg")[0] == 0
    assert "DSL[i/o] core mapping" in (tmp_path / "a.svg").read_text()
    assert umbo("targets", adult, "--plot", tmp_path / "a.png")[0] == 0
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")


def test_nothing_to_draw_is_one_sentence(umbo, tmp_path):
    folder = threshold_case(tmp_path / "case")
    status, _, err = umbo("targets", folder, "--method", "dsl_io_1995", "--plot", tmp_path / "a.svg")
    assert status == 2
    assert "none prescribes anything here" in err
    assert umbo("targets", folder, "--method", "dsl_io_1995")[0] == 0
