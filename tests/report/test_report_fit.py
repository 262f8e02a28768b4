"""What the record page says of guidance, shares, changes to try and an earlier visit."""

import pytest
from invented_answer import answer_data, judgement, point, validated
from pdf_reading import page_count, words_of

from umbo.report import report_pdf
from umbo.report._criteria import criteria_table
from umbo.report._density import DENSITIES
from umbo.report._family_outcome import ear_story
from umbo.report._family_words import voice_for
from umbo.report._kept import kept_line, since_line, to_try_lines
from umbo.report._small_print import small_print

FULL = DENSITIES[0]
HZ = [500.0, 1000.0]


def fitted(outcome="cannot_tell"):
    """Two ears of the invented answer with everything that surrounds a verdict."""
    data = answer_data(outcome)
    for ear in data["ears"].values():
        ear["guidance"] = {"key": "invented", "title": "Invented rule", "whom": "nobody", "source": "invented source"}
        for judged in ear["verdict"]["judgements"]:
            if not judged["criterion"].startswith("audible"):
                judged["pass_share"] = 0.8749
        whole = {"criterion": "verdict", "pass_share": 0.004, "standard_error": 0.001, "complete": True}
        sentence = "Every criterion is kept in fewer than 1 % of 2000 draws."
        ear["verdict"]["draws"] = {"n": 2000, "seed": 1, "criteria": [], "whole": whole, "sentence": sentence}
        suggestion = {
            "frequency_hz": [2000.0], "change_db": -4.0, "sentence": "A change of about -4 dB would do.", "limit": ""
        }  # fmt: skip
        ear["to_try"] = {"input_db_spl": 65.0, "suggestions": [suggestion], "predicted": None}
    change = {
        "watched": "recd", "frequency_hz": HZ, "change_db": [-4.0, 9.0], "u_db": [1.0, 1.0],
        "state": ["ok", "below_noise"], "significant": [True, False], "calls_for_action": [True, False], "findings": [],
    }  # fmt: skip
    told = {"compared": [change], "not_compared": ["threshold"]}
    data["since"] = {"case": "before", "measured": "2026-01-02", "note": "x", "ears": {"right": told}}
    return data


def test_shares_stand_with_what_they_are_shares_of():
    line = kept_line(validated(fitted()))
    assert line.startswith("Kept in this share of 2000 draws consistent with the stated uncertainty. Right ear: ")
    assert line.count("speech 65 dB match 87 %, rms 87 %") == 2
    assert line.count("maximum output 87 %") == 2
    assert line.endswith("all together < 1 %.")


@pytest.mark.parametrize(
    ("share", "word"), [(0.0, "0 %"), (1.0, "100 %"), (0.9951, "> 99 %"), (0.0049, "< 1 %"), (0.5, "50 %")]
)
def test_no_share_is_rounded_to_all_or_none(share, word):
    data = fitted()
    data["ears"]["left"]["verdict"]["draws"]["whole"]["pass_share"] = share
    assert kept_line(validated(data)).endswith(f"all together {word}.")


def test_a_share_that_is_only_an_upper_bound_says_so():
    data = fitted()
    data["ears"]["left"]["verdict"]["draws"]["whole"]["complete"] = False
    assert kept_line(validated(data)).endswith("all together at most < 1 %.")


def test_without_draws_nothing_is_said():
    assert kept_line(validated(answer_data())) == ""
    assert to_try_lines(validated(answer_data())) == []
    assert since_line(validated(answer_data())) == ""


def test_what_to_try_and_what_has_changed():
    answer = validated(fitted())
    assert to_try_lines(answer)[0] == "Right ear, speech at 65 dB: A change of about -4 dB would do."
    assert since_line(answer) == (
        "Largest changes since 2026-01-02 (case before): right ear: RECD −4.0 dB at 500 Hz (significant)."
    )


def test_a_slope_is_told_in_decibels_an_octave_between_its_ends():
    data = fitted()
    middle = point(1414.2, -6.5, "fail")
    slope = judgement("slope_65", "fail", "The slope departs.", points=[middle]) | {"unit": "dB/octave"}
    data["ears"]["right"]["verdict"]["judgements"].append(slope)
    table = criteria_table(validated(data), FULL)
    (row,) = [row for row in table["rows"] if row["name"] == "Slope, 65 dB"]
    assert row["cells"][0]["value"] == "−6.5 dB/oct, 1–2 kHz"


def test_an_rms_that_is_no_criterion_informs():
    data = fitted()
    ear = data["ears"]["right"]
    ear["verdict"]["judgements"] = [j for j in ear["verdict"]["judgements"] if not j["criterion"].startswith("rms")]
    for run in ear["speech"]:
        run["rms"] = {"value_db": 4.87, "u_db": 1.0, "bounds": []}
    table = criteria_table(validated(data), FULL)
    (row,) = [row for row in table["rows"] if row["name"] == "Speech 65 dB"]
    assert row["cells"][1] == {"kind": "informs", "word": "", "value": "4.9 dB"}
    assert page_count(report_pdf(validated(data))) == 2


def test_a_slope_or_rms_that_fails_is_not_the_loudest_sound():
    data = fitted("pass")
    ear = data["ears"]["right"]
    ear["verdict"]["outcome"] = "fail"
    slope = judgement("slope_65", "fail", "The slope departs.", points=[point(1414.2, -6.5, "fail")])
    ear["verdict"]["judgements"].append(slope)
    story = ear_story("right", validated(data).ears["right"], voice_for(27.0))
    assert "loudest" not in story["text"]


def test_the_small_print_names_the_guidance():
    columns = small_print(validated(fitted()), FULL)
    lines = [line for column in columns for entry in column if entry["name"] == "Criteria" for line in entry["lines"]]
    assert "both ears: 'invented', Invented rule" in lines


def test_the_page_holds_it_all():
    pdf = report_pdf(validated(fitted()))
    assert page_count(pdf) == 2
    words = " ".join(word.text for word in words_of(pdf))
    for said in ("Since the visit before.", "To try.", "A change of about", "draws consistent"):
        assert said in words, said
