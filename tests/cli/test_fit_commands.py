"""Judging a fitting through the commands: guidance, shares, two visits, a change to try."""

import json

import jsonschema
import pytest
from fitted_case import RECD, fitted_case

FIRST, SECOND = "2026-05-04", "2026-11-02"


@pytest.fixture
def case(tmp_path):
    return fitted_case(tmp_path / "may", measured=FIRST)


@pytest.fixture
def earlier(umbo, case, tmp_path):
    """The answer of the first visit."""
    status, _, err = umbo("verify", case, "--out", tmp_path / "first")
    assert (status, err) == (1, "")
    return tmp_path / "first" / "result.json"


@pytest.fixture
def grown(tmp_path):
    """The second visit: the ear has grown, its RECD is 4 dB lower."""
    return fitted_case(tmp_path / "november", {"right": {"recd": [r - 4 for r in RECD]}}, measured=SECOND, age_months=9)


def test_s1_guidance_and_shares_are_answered_and_printed(umbo, tmp_path):
    case = fitted_case(tmp_path / "s1", guidance="mccreery_2013")
    status, out, _ = umbo("verify", case, "--json")
    assert status == 1
    ear = json.loads(out)["ears"]["right"]
    verdict = ear["verdict"]
    assert ear["guidance"]["key"] == "mccreery_2013"
    judged = {j["criterion"]: j for j in verdict["judgements"]}
    assert set(judged) == {"rms_65", "audible_65", "maximum_output"}
    assert judged["rms_65"]["value_db"] == pytest.approx(3.17, abs=0.01)
    assert [(b["bound_db"], b["outcome"]) for b in judged["rms_65"]["bounds"]] == [(5.0, "pass"), (3.0, "cannot_tell")]
    assert 0 < verdict["pass_share"] <= min(judged["rms_65"]["pass_share"], judged["maximum_output"]["pass_share"])
    assert (verdict["draws"]["n"], verdict["draws"]["seed"]) == (2000, 1)
    assert verdict["draws"]["whole"]["pass_share"] == verdict["pass_share"]
    assert not verdict["verified"]
    status, out, _ = umbo("verify", case)
    assert "by 'mccreery_2013': Children: rms deviation from target below 5 dB" in out
    assert {j["criterion"]: j["guidance"] for j in verdict["judgements"]} == {
        "rms_65": "mccreery_2013", "audible_65": None, "maximum_output": None,
    }  # fmt: skip
    assert "kept in" in out
    assert "draws that are consistent with the stated uncertainty" in " ".join(out.split())


def test_slopes_of_a_guidance_carry_their_unit(umbo, tmp_path):
    case = fitted_case(tmp_path / "adult", guidance="bsa", age_months=480)
    _, out, _ = umbo("verify", case, "--json")
    ear = json.loads(out)["ears"]["right"]
    units = {j["criterion"]: j["unit"] for j in ear["verdict"]["judgements"]}
    assert units["slope_65"] == "dB/octave"
    assert units["match_65"] == "dB"
    assert ear["speech"][0]["rms"]["value_db"] == pytest.approx(3.17, abs=0.01)  # said, though no criterion


def test_an_unknown_guidance_names_those_there_are(umbo, tmp_path):
    status, out, err = umbo("verify", fitted_case(tmp_path / "case", guidance="mine"))
    assert (status, out) == (2, "")
    assert "fitting.guidance is 'mine', but must be 'bsa', 'mccreery_2013', 'wiseman_2023' or 'project'" in err


def test_two_visits_of_a_growing_ear(umbo, grown, earlier, tmp_path):
    status, out, err = umbo("verify", grown, "--since", earlier, "--out", tmp_path / "second")
    assert (status, err) == (1, "")
    said = " ".join(out.split())
    assert f"since {FIRST} (case two)" in said
    assert "as in a growing ear" in said
    assert "Use the new RECD: carry targets and limits to the coupler anew" in said
    answer = json.loads((tmp_path / "second" / "result.json").read_text())
    assert answer["since"]["measured"] == FIRST
    _, schema, _ = umbo("schema", "verify")
    jsonschema.validate(answer, json.loads(schema))
    assert (tmp_path / "second" / "report.pdf").read_bytes().startswith(b"%PDF-")
    # an answer that was compared with an earlier one is itself an earlier one
    later = fitted_case(tmp_path / "later", measured="2026-12-01", age_months=10)
    status, _, err = umbo("verify", later, "--since", tmp_path / "second" / "result.json")
    assert (status, err) == (1, "")


def test_the_earlier_answer_is_not_written_over(umbo, grown, earlier):
    before = earlier.read_bytes()
    status, out, err = umbo("verify", grown, "--since", earlier, "--out", earlier.parent)
    assert (status, out) == (2, "")
    assert "would replace the earlier answer" in err
    assert earlier.read_bytes() == before


def _other_client(data):
    data["client"] = "C-2"


def _other_schema(data):
    data["schema"] = 2


def _unknown_key(data):
    data["ears"]["right"]["opinion"] = "good"


def _missing_key(data):
    del data["ears"]["right"]["speech"]


def _not_finite(data):
    data["ears"]["right"]["recds"][0]["level_db"][3] = float("nan")


def _no_date(data):
    data["measured"] = None


def _later(data):
    data["measured"] = "2027-01-01"


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (_other_client, "the earlier answer is of the client 'C-2' and this case of 'C-1'"),
        (_other_schema, "its schema is 2, and this version reads 1"),
        (_unknown_key, "ears.right.opinion: extra inputs are not permitted"),
        (_missing_key, "ears.right.speech: field required"),
        (_not_finite, "ears.right.recds.0.level_db.3: input should be a finite number"),
        (_no_date, "the earlier answer does not say when it was measured"),
        (_later, "exchange the two"),
    ],
)
def test_an_earlier_answer_that_cannot_be_used_is_one_sentence(umbo, grown, earlier, spoil, said):
    data = json.loads(earlier.read_text())
    spoil(data)
    earlier.write_text(json.dumps(data))
    status, out, err = umbo("verify", grown, "--since", earlier)
    assert (status, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "it is not JSON"),
        (b"\xff\xfe\x00", "it is not JSON"),
        (b"[" * 200_000, "it is not JSON"),
        (b"[1, 2]", "no answer of umbo verify"),
        (b'{"schema": 1, "case": "x", "ears": {}}', "no answer of umbo verify"),
    ],
)
def test_a_file_that_is_no_answer_is_one_sentence(umbo, grown, tmp_path, content, said):
    (tmp_path / "other.json").write_bytes(content)
    status, out, err = umbo("verify", grown, "--since", tmp_path / "other.json")
    assert (status, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1


def test_a_missing_earlier_answer_is_one_sentence(umbo, grown, tmp_path):
    for path in (tmp_path / "none.json", tmp_path):
        status, out, err = umbo("verify", grown, "--since", path)
        assert (status, out) == (2, "")
        assert "cannot be read" in err
        assert err.count("\n") == 1


def test_an_answer_of_another_command_is_no_earlier_visit(umbo, case, grown, tmp_path):
    _, out, _ = umbo("recd", case, "--json")
    (tmp_path / "recd.json").write_text(out)
    status, _, err = umbo("verify", grown, "--since", tmp_path / "recd.json")
    assert status == 2
    assert "no answer of umbo verify" in err


def test_try_predicts_and_answers(umbo, case):
    status, out, err = umbo("try", case, "--ear", "right", "--change", "2000=+3", "--change", "4000=2")
    assert (status, err) == (0, "")
    said = " ".join(out.split())
    assert "predicted, not measured" in said
    assert "At 2000, 4000 Hz the maximum output, if it rises with the gain, would pass its limit" in said
    assert "measure again" in said
    status, out, _ = umbo("try", case, "--ear", "right", "--change", "2000=+3", "--change", "4000=2", "--json")
    answer = json.loads(out)
    _, schema, _ = umbo("schema", "try")
    jsonschema.validate(answer, json.loads(schema))
    assert answer["predicted"]["change_db"] == [0, 0, 3, 2]
    assert answer["predicted"]["deviation"]["level_db"] == pytest.approx([-1.5, 1, 2, -4], abs=0.1)
    assert answer["measured_deviation"]["level_db"] == pytest.approx([-1.5, 1, -1, -6], abs=0.1)
    after = [b - c for b, c in zip(answer["margin_before_db"], [0, 0, 3, 2], strict=True)]
    assert answer["margin_after_db"] == pytest.approx(after, abs=1e-3)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--change", "2000+3"), "it is not written as frequency=decibels"),
        (("--change", "2000=loud"), "it is not written as frequency=decibels"),
        (("--change", "2000=nan"), "it holds no two finite numbers"),
        (("--change", "-5=3"), "it holds no two finite numbers, or no frequency"),
        (("--change", "2000=99"), "a change of +99 dB at 2000 Hz is none"),
        (("--change", "2500=3"), "2500 Hz is not among the 500, 1000, 2000, 4000 Hz of its target"),
        (("--change", "2000=3", "--change", "2000=4"), "2000 Hz has a change already"),
        (("--change", "2000=3", "--input", "80"), "speech at 80 dB is not among"),
        ((), "none is given"),
    ],
)
def test_a_bad_change_is_one_sentence(umbo, case, arguments, said):
    status, out, err = umbo("try", case, "--ear", "right", *arguments)
    assert (status, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(("ear", "said"), [("left", "only the right ear"), ("both", "an ear is right or left")])
def test_a_bad_ear_is_one_sentence(umbo, case, ear, said):
    status, out, err = umbo("try", case, "--ear", ear, "--change", "2000=3")
    assert (status, out) == (2, "")
    assert said in err
    assert err.count("\n") == 1
