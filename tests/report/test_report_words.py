"""Words and numbers of the record page: what is cut is counted, what is summed adds up."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from invented_answer import answer_data, closing, finding, validated

from umbo.chart import FONT_FOLDER
from umbo.report._criteria import criteria_table
from umbo.report._density import DENSITIES, first_few, shortened
from umbo.report._drawing import PT_A_PX, drawn
from umbo.report._glyphs import _KNOWN, _has_glyphs, legible, legible_data
from umbo.report._loops import loop_sentences
from umbo.report._record_figure import recds_chart, record_figure
from umbo.report._record_page import record_page
from umbo.report._small_print import small_print
from umbo.report._sum import printed_sum
from umbo.report._words import age_words, hertz, number, signed

FULL = DENSITIES[0]


@given(st.text(max_size=200), st.integers(2, 100))
def test_shortened_text_fits_and_begins_alike(text, letters):
    short = shortened(text, letters)
    assert len(short) <= letters
    if len(text) <= letters:
        assert short == text
    else:
        assert short.endswith("…")
        assert text.startswith(short[:-1])


@given(st.lists(st.text(min_size=1, max_size=20), max_size=8), st.integers(1, 9))
def test_shown_and_counted_make_the_whole(texts, most):
    shown = first_few(texts, most, 600)
    assert len(shown) == min(len(texts), most)
    rest = len(texts) - len(shown)
    if rest:
        assert shown[-1].endswith(f" ({rest} more)")
    else:
        assert shown == texts


def test_densities_only_ever_show_less():
    for fuller, thinner in pairwise(DENSITIES):
        for name in ("reasons", "actions", "grounds", "findings", "recds", "criteria", "notes", "sum_depth", "letters"):
            assert getattr(fuller, name) >= getattr(thinner, name), name
    assert DENSITIES[-1].least_figure_pt == 0.0


@pytest.mark.parametrize(("value", "text"), [(1.0, "1.0"), (-1.25, "−1.2"), (-0.04, "0.0"), (0.0, "0.0")])
def test_numbers(value, text):
    assert number(value) == text


@pytest.mark.parametrize(("value", "text"), [(1.0, "+1.0"), (-1.0, "−1.0"), (0.04, "0.0"), (-0.04, "0.0")])
def test_signed_numbers(value, text):
    assert signed(value) == text


@pytest.mark.parametrize(("hz", "text"), [(750.0, "750 Hz"), (1000.0, "1 kHz"), (7943.3, "7.9 kHz"), (8000.0, "8 kHz")])
def test_frequencies(hz, text):
    assert hertz(hz) == text


@pytest.mark.parametrize(
    ("months", "text"),
    [
        (None, "not stated"), (0.0, "0 months"), (1.0, "1 month"), (35.0, "35 months"), (36.0, "3 years"),
        (100.0, "8 years 4 months"),
    ],
)  # fmt: skip
def test_ages(months, text):
    assert age_words(months) == text


def test_findings_are_shown_once_worst_first_and_not_twice_with_a_grade():
    data = answer_data()
    data["ears"]["right"]["findings"] += [
        finding("x", "A stop.", "stop"), finding("x", "A stop.", "stop"), finding("y", "For information.", "info")
    ]  # fmt: skip
    page = record_page(validated(data), FULL)
    right = [(row["weight"], row["text"]) for row in page["findings"] if row["ear"] == "right ear"]
    assert right == [("Stop", "A stop."), ("Warning", "The probe tip is 9.3 mm from the eardrum.")]
    assert page["findings"][0]["weight"] == "Stop"
    assert page["recds"]["why"] == ["all, grade C: The curve lies below the range."]
    assert page["recds"]["actions"] == ["Repeat the measurement with the tip reseated."]


def test_findings_of_an_recd_alone_are_shown_too():
    data = answer_data()
    data["ears"]["right"]["recds"][0]["findings"] = [finding("z", "Only the RECD says so.")]
    texts = [row["text"] for row in record_page(validated(data), FULL)["findings"]]
    assert "Only the RECD says so." in texts


def test_criteria_rows_hold_outcomes_and_deciding_values():
    table = criteria_table(validated(answer_data("cannot_tell")), FULL)
    assert [row["name"] for row in table["rows"]] == ["Speech 55 dB", "Speech 65 dB", "Speech 75 dB", "Maximum output"]
    match, rms, heard, *_ = table["rows"][0]["cells"]
    assert match == {"kind": "cannot_tell", "word": "cannot tell", "value": "−9.0 dB, 4 kHz"}
    assert rms == {"kind": "pass", "word": "pass", "value": "0.6 dB"}
    curve = validated(answer_data()).ears["right"].speech[0].sensation_level
    usable = [db for db, state in zip(curve.level_db, curve.state, strict=True) if state == "ok"]
    assert len(usable) < len(curve.level_db)  # a band that cannot be told is compared, and not known to be heard
    assert heard["value"] == f"{sum(db > 0 for db in usable)} of {len(curve.level_db)}"
    assert table["rows"][-1]["cells"][0]["value"] == "−20.0 dB, 4 kHz"
    assert table["rows"][-1]["cells"][1:3] == [None, None]


def test_criterion_of_one_ear_only_and_of_an_unknown_kind():
    data = answer_data()
    extra = dict(data["ears"]["left"]["verdict"]["judgements"][0], criterion="some_new_rule")
    data["ears"]["left"]["verdict"]["judgements"].append(extra)
    row = criteria_table(validated(data), FULL)["rows"][-1]
    assert row["name"] == "Some new rule"
    assert row["cells"][0] is None
    assert row["cells"][3]["word"] == "cannot tell"


def test_sum_in_one_line_adds_up():
    line = next(density for density in DENSITIES if not density.has_sum_tree and density.sum_depth == 4)
    found = printed_sum(validated(answer_data()), line)
    assert found["title"] == "right ear, 4 kHz"
    total, expression = found["text"].removesuffix(".").split(" = ")
    assert total == "speech 65 dB at the eardrum 74.0 dB SPL"
    assert expression == (
        "speech at the eardrum 71.0 [speech in the coupler 59.1 + RECD re 2 cc coupler HA-1 11.9 "
        "[sweep at the probe tip 64.0 − sweep in the coupler 52.1]] + microphone-location effect 3.0"
    )


def test_sum_as_a_tree_keeps_signs_and_sources():
    found = printed_sum(validated(answer_data()), FULL)
    assert [(line["depth"], line["value"]) for line in found["lines"]] == [
        (0, "74.0 dB SPL"), (1, "+71.0 dB SPL"), (2, "+59.1 dB SPL"), (2, "+11.9 dB"), (3, "+64.0 dB SPL"),
        (3, "−52.1 dB SPL"), (1, "+3.0 dB"),
    ]  # fmt: skip
    assert found["lines"][-1]["source"] == "invented with this case"
    assert all("(coupler:" not in line["label"] for line in found["lines"])


def test_subtracted_negative_term_is_bracketed():
    data = answer_data()
    terms = data["ears"]["right"]["speech"][1]["explain"]
    terms[5] = dict(terms[5], level_db=-4.0)
    assert printed_sum(validated(data), FULL)["lines"][5]["value"] == "−(−4.0) dB SPL"


def test_sum_falls_back_to_output_and_threshold():
    data = answer_data()
    for ear in data["ears"].values():
        ear["speech"] = []
    assert printed_sum(validated(data), FULL)["lines"][0]["label"] == "maximum output at the eardrum"
    for ear in data["ears"].values():
        ear["maximum_output"] = None
    assert printed_sum(validated(data), FULL)["lines"][0]["label"] == "threshold at the eardrum"
    for ear in data["ears"].values():
        ear["thresholds"] = None
    assert printed_sum(validated(data), FULL) is None


def test_loops_name_what_agrees_and_the_worst_usable_difference():
    data = answer_data()
    data["ears"]["left"]["closings"] = [closing("speech 55 dB", closes=True), closing("speech 65 dB", closes=True)]
    assert loop_sentences(validated(data)) == [
        (
            "Right ear, HA-1 with 0.4 cc: maximum output agree within uncertainty; speech 55 dB do not "
            "(worst +5.0 dB, u 2.4 dB, at 630 Hz)."
        ),
        "Left ear, HA-1 with 0.4 cc: speech 55, 65 dB agree within uncertainty.",
    ]


def test_small_print_says_what_both_ears_share_once():
    lines = {entry["name"]: entry["lines"] for half in small_print(validated(answer_data()), FULL) for entry in half}
    assert lines["Limit of output"] == ["both ears: discomfort levels"]
    assert len(lines["Hearing"]) == 1
    assert "corrected by 'invented set'" in lines["Hearing"][0]
    assert lines["Head and aid microphone"] == ["both ears: effect from: invented with this case"]


def test_what_the_fonts_can_show_is_known_rightly():
    assert [letter for letter in _KNOWN if not _has_glyphs(letter)] == []


@given(st.text(max_size=12))
def test_any_text_becomes_printable_and_loses_nothing(text):
    shown = legible(text)
    assert _has_glyphs(shown)
    back = re.sub(r"\[U\+([0-9A-F]{4,6})\]", lambda found: chr(int(found[1], 16)), shown)
    spaced = " ".join(text.split())
    assert back == re.sub(r"\[U\+([0-9A-F]{4,6})\]", lambda found: chr(int(found[1], 16)), spaced)


def test_turning_and_control_characters_are_written_out():
    assert legible("a\u202eb\u2066c\u0007\u200fd") == "a[U+202E]b[U+2066]c[U+0007][U+200F]d"
    assert legible_data({"k": ["x\u0000", 3, None]}) == {"k": ["x[U+0000]", 3, None]}


def test_letters_of_the_drawings_are_at_least_7_pt():
    answer = validated(answer_data())
    for spec, width_pt in ((record_figure(answer, 150.0), 515.9), (recds_chart(answer, 92.0), 226.0)):
        svg = drawn(spec, width_pt)["svg"]
        sizes = [float(size) for size in re.findall(r'font-size="([0-9.]+)"', svg)]
        assert min(sizes) * PT_A_PX >= 7.0


def test_printed_drawing_leaves_out_its_title_and_states_its_height():
    figure = record_figure(validated(answer_data()), 150.0)
    found = drawn(figure, 515.9)
    assert ">Levels at the eardrum</text>" not in found["svg"]
    assert 'data-part="key"' in found["svg"]
    small = drawn(recds_chart(validated(answer_data()), 92.0), 226.0)
    assert 'data-part="key"' not in small["svg"]
    height_px = float(re.search(r' height="([0-9.]+)" viewBox', found["svg"])[1])
    assert found["height_pt"] == pytest.approx(height_px * PT_A_PX)


def test_fonts_are_carried_along():
    assert {path.name for path in FONT_FOLDER.glob("*.otf")} == {"Inter-Regular.otf", "Inter-Bold.otf"}
    assert "SIL OPEN FONT LICENSE" in (FONT_FOLDER / "OFL.txt").read_text(encoding="utf-8")
