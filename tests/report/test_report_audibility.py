"""Audibility in print and in pictures: the record's own numbers on the record page, no number for the family."""

import re

import pytest
from heard_answer import OPENINGS, audible_data, heard_data, nothing_audible, reach_data
from invented_answer import THIRD_HZ, answer_data, finding, validated
from pdf_reading import covered_words, page_count, pages_of, words_of

from umbo.chart import Figure, Symbol, render_png, render_svg
from umbo.errors import InputError
from umbo.record import BandwidthRecord, ReachRecord
from umbo.report import VERIFY_WIDTH_PX, report_pdf, verify_figure
from umbo.report._density import DENSITIES
from umbo.report._family_outcome import ear_story
from umbo.report._family_page import family_page
from umbo.report._family_words import voice_for
from umbo.report._record_page import record_page
from umbo.report._small_print import small_print

CHILD = voice_for(27.0)
WELL, PARTLY = "are loud enough to be heard well", "are loud enough to be heard only partly"
NOT, UNKNOWN = "are too soft to be heard", "are something we could not measure"
LONG = {
    level: f"{low}; consonants of middle pitch such as d and g {middle}; thin, high sounds such as s and f {high}."
    for level, low, middle, high in (
        (55.0, WELL, PARTLY, UNKNOWN),
        (65.0, PARTLY, WELL, NOT),
        (75.0, UNKNOWN, NOT, PARTLY),
    )
}


@pytest.mark.parametrize(
    ("relation", "hz", "words"),
    [
        ("equal", 4918.0, "4.9 kHz"),
        ("equal", 630.0, "0.63 kHz"),
        ("at_least", 2000.0, "at least 2 kHz"),
        ("at_most", 1600.0, "at most 1.6 kHz"),
        ("nowhere", 0.0, "nowhere"),
        ("not_known", 0.0, "not known"),
    ],
)
def test_a_bandwidth_in_few_words(relation, hz, words):
    assert ReachRecord.model_validate(reach_data(relation, hz)).brief == words


def test_without_peaks_the_average_is_named():
    found = BandwidthRecord.model_validate(audible_data(65.0, peaks=False)["bandwidth"])
    assert found.brief == "at most 1.6 kHz (average)"


def lines_of(data, density=DENSITIES[0]):
    return [ear["audible"] for ear in record_page(validated(data), density)["ears"]]


def test_the_record_page_has_one_line_an_ear():
    data = heard_data()
    data["ears"]["left"]["speech"][1]["audibility"] = nothing_audible()
    right, left = lines_of(data)
    assert right == "Audibility, 65 dB: index 0.50 (0.46 to 0.54), up to 0.52; audible to: 4.9 kHz"
    assert left == "Audibility, 65 dB: no index (The thresholds are not known at the eardrum: invented)"
    assert lines_of(answer_data()) == ["", ""]  # an answer from before audibility was computed
    assert lines_of(data, DENSITIES[-1]) == ["", ""]


def test_a_certain_index_has_no_upper_bound():
    data = heard_data()
    data["ears"]["right"]["speech"][1]["audibility"] = audible_data(65.0, 0.5)
    assert lines_of(data)[0] == "Audibility, 65 dB: index 0.50 (0.46 to 0.54); audible to: 4.9 kHz"


def test_small_print_says_what_the_index_is_not():
    entries = [entry for half in small_print(validated(heard_data()), DENSITIES[0]) for entry in half]
    (lines,) = (entry["lines"] for entry in entries if entry["name"] == "Audibility")
    assert lines[0].startswith("both ears: no percentage of words")
    assert "95 % of 1000 draws" in lines[0]


def story(data):
    return ear_story("right", validated(data).ears["right"], CHILD)


def test_the_family_reads_the_sentences_of_the_record():
    told = story(heard_data(texts=LONG))
    lines = [*told["reach"], *told["more"]]
    assert [f"{line['name']}, {line['text']}" for line in lines] == [
        f"{OPENINGS[level]}, vowels and other low sounds {LONG[level]}" for level in (55.0, 65.0, 75.0)
    ]
    assert len(told["reach"]) == 2


def test_levels_that_are_alike_are_told_together():
    told = story(heard_data(texts={55.0: "are too soft to be heard."}))
    assert [line["name"] for line in told["reach"]] == [
        "When someone speaks softly", "When someone speaks in an ordinary voice or loudly",
    ]  # fmt: skip
    assert story(heard_data())["reach"][0]["name"] == "When someone speaks softly, in an ordinary voice or loudly"


def test_of_two_soft_levels_the_usual_one_is_told():
    data = heard_data(texts={55.0: "are told."})
    softer = dict(data["ears"]["right"]["speech"][0], input_db_spl=45.0)
    softer["audibility"] = audible_data(55.0, text="are not told.")
    data["ears"]["right"]["speech"].insert(0, softer)
    texts = [line["text"] for line in story(data)["reach"]]
    assert "vowels and other low sounds are told." in texts
    assert not any("are not told" in text for text in texts)


def test_without_words_the_ranges_of_pitch_are_told():
    data = heard_data()
    for run in data["ears"]["right"]["speech"]:
        run["audibility"] = nothing_audible()
    assert story(data)["reach"][0]["name"].endswith("speech")
    assert story(data)["more"] == []


def test_lowered_sounds_are_not_told_as_heard():
    data = heard_data()
    data["ears"]["right"]["findings"].append(finding("frequency_lowering", "Lowering is declared.", "info"))
    (line,) = story(data)["reach"]
    assert "moves high sounds to a lower pitch" in line["text"]
    assert "the bars do not tell" in family_page(validated(data))["how"]
    assert "the bars do not tell" not in family_page(validated(heard_data()))["how"]


def test_no_number_reaches_the_family():
    page = pages_of(report_pdf(validated(heard_data(texts=LONG))))[1]
    assert "vowels and other low sounds" in page
    assert "index" not in page
    assert "0.5" not in page
    assert not re.search(r"\d ?%", page)


@pytest.mark.parametrize("outcome", ["pass", "cannot_tell", "fail"])
def test_the_longest_sentences_still_fit(outcome):
    pdf = report_pdf(validated(heard_data(outcome, texts=LONG)))
    assert page_count(pdf) == 2
    words = words_of(pdf)
    assert not covered_words(words)
    assert max(word.bottom for word in words) < 841.9
    text = pages_of(pdf)
    assert "Audibility, 65 dB: index" in text[0]
    assert "Who to ask" in text[1]
    assert "When someone speaks in an ordinary voice: " in text[1]
    assert "When someone speaks loudly: " not in text[1]  # before the letters become too small


def test_where_there_is_room_loud_speech_is_told_too():
    page = pages_of(report_pdf(validated(heard_data("pass", texts=LONG, sides=("right",)))))[1]
    assert "When someone speaks loudly: " in page


def test_the_picture_of_two_ears_stands_side_by_side():
    answer = validated(heard_data())
    figure = verify_figure(answer)
    assert isinstance(figure, Figure)
    assert [len(row) for row in figure.rows] == [2, 2, 2, 2]
    for row, n in zip(figure.rows[1:], range(3), strict=True):
        for panel, (side, ear) in zip(row, answer.ears.items(), strict=True):
            run = ear.speech[n]
            assert panel.title == f"Speech at {run.input_db_spl:g} dB, {side} ear"
            assert list(panel.series[0].level_db) == run.at_eardrum.level_db
            assert list(panel.bands[1].lower_db) == run.percentiles["30"].level_db
            assert list(panel.bands[1].upper_db) == run.percentiles["99"].level_db
            assert panel.subtitle.startswith(f"index {run.audibility.index.brief}")
            assert panel.marks[0].symbol is (Symbol.RIGHT if side == "right" else Symbol.LEFT)
    assert len({panel.level for row in figure.rows[1:] for panel in row}) == 1
    assert not any(band.input_level_db for main in figure.rows[0] for band in main.bands)
    assert "no percentage of words" in figure.subtitle
    assert render_svg(figure, width_px=VERIFY_WIDTH_PX).startswith("<svg")


def test_the_picture_of_one_ear_has_its_speech_in_one_row():
    data = heard_data(sides=("left",))
    figure = verify_figure(validated(data))
    assert [len(row) for row in figure.rows] == [1, 3]
    assert render_png(figure, width_px=VERIFY_WIDTH_PX).startswith(b"\x89PNG")


def test_one_speech_level_keeps_its_percentiles_in_the_view():
    data = heard_data(sides=("right",))
    data["ears"]["right"]["speech"] = data["ears"]["right"]["speech"][1:2]
    ((main,),) = verify_figure(validated(data)).rows
    assert [band.input_level_db for band in main.bands if band.input_level_db] == [65.0]
    assert "index 0.50" in main.subtitle


def test_an_ear_that_lacks_a_level_leaves_its_place_to_the_other():
    data = heard_data()
    data["ears"]["left"]["speech"].pop(0)
    assert [len(row) for row in verify_figure(validated(data)).rows] == [2, 1, 2, 2]


def test_withdrawn_percentiles_are_hatched_and_predicted_discomfort_is_named():
    data = heard_data(sides=("right",))
    ear = data["ears"]["right"]
    ear["discomfort"]["predicted"] = True
    ear["speech"][1]["percentiles"]["99"]["state"] = ["withdrawn"] * 8 + ["ok"] * (len(THIRD_HZ) - 8)
    main, panel = (row[n] for row, n in zip(verify_figure(validated(data)).rows, (0, 1), strict=True))
    assert main.marks[1].label == "predicted discomfort level"
    assert panel.bands[1].state[:9] == ("withdrawn",) * 8 + ("ok",)


def test_without_anything_at_the_eardrum_there_is_no_picture():
    data = answer_data()
    for ear in data["ears"].values():
        ear.update(thresholds=None, discomfort=None, speech=[], maximum_output=None, targets=[])
    with pytest.raises(InputError, match="no thresholds, speech or maximum output"):
        verify_figure(validated(data))
