"""The family page: plain words that follow from the record, and a picture that shows its numbers."""

import re
import xml.etree.ElementTree as ET

import pytest
from invented_answer import answer_data, finding, judgement, point, validated
from pdf_reading import pages_of

from umbo.report import report_pdf
from umbo.report._family_outcome import ear_story, loud_sentences
from umbo.report._family_page import family_page
from umbo.report._family_picture import family_picture, picture_words
from umbo.report._family_words import interval_words, voice_for
from umbo.report._reach import PITCHES, loudness_word, pitches_of

JARGON = re.compile(
    r"%|per ?cent|\b(SII|RECD|RETSPL|REAR|SPL|dB|HL|Hz|kHz|coupler|rms|threshold|uncertainty|sensation|verif\w+"
    r"|deviation|transducer|audiogram|sweep|insertion|criteri\w+)\b",
    re.IGNORECASE,
)
BLAME = re.compile(r"\b(fault|wrong with you|mistake|failed|should have|you must|bad|poor)\b", re.IGNORECASE)
CHILD, GROWN = voice_for(27.0), voice_for(900.0)


def texts_of(data):
    if isinstance(data, str):
        return [] if data.startswith("<svg") else [data]
    if isinstance(data, dict):
        return [text for value in data.values() for text in texts_of(value)]
    return [text for value in data for text in texts_of(value)] if isinstance(data, list | tuple) else []


def ear_of(data, side="right"):
    return validated(data).ears[side]


@pytest.mark.parametrize("outcome", ["pass", "cannot_tell", "fail"])
@pytest.mark.parametrize("age_months", [3.0, 27.0, 900.0, None])
def test_no_trade_words_no_shares_no_blame(outcome, age_months):
    data = answer_data(outcome, age_months=age_months)
    data["cautions"] = []
    words = " ".join(texts_of(family_page(validated(data))))
    assert JARGON.findall(words) == []
    assert BLAME.findall(words) == []


@pytest.mark.parametrize("outcome", ["pass", "cannot_tell", "fail"])
def test_sentences_are_short(outcome):
    for text in texts_of(family_page(validated(answer_data(outcome)))):
        for sentence in re.split(r"[.:;?!]", text):
            assert len(sentence.split()) <= 34, sentence


def test_page_printed_has_no_share_of_hearing():
    family = pages_of(report_pdf(validated(answer_data())))[1]
    assert "%" not in family
    assert "SII" not in family


@pytest.mark.parametrize(
    ("age_months", "words"),
    [
        (0.0, "4 weeks"), (5.9, "4 weeks"), (6.0, "8 weeks"), (11.9, "8 weeks"), (12.0, "3 months"), (35.9, "3 months"),
        (36.0, "6 months"), (71.9, "6 months"), (72.0, "12 months"), (900.0, "12 months"), (None, "please ask"),
    ],
)  # fmt: skip
def test_time_to_come_back_grows_with_age(age_months, words):
    assert words in interval_words(age_months)


def test_the_page_speaks_to_its_reader():
    pages = {
        age: " ".join(texts_of(family_page(validated(answer_data(age_months=age))))) for age in (27.0, 900.0, None)
    }
    assert "your child" in pages[27.0]
    assert "earmould" in pages[27.0]
    assert "your child" not in pages[900.0]
    assert "softest sounds you can hear" in pages[900.0]
    assert "your child" not in pages[None]
    assert "The ear grows" not in pages[900.0]


@pytest.mark.parametrize(
    ("outcome", "word", "following"),
    [
        ("pass", "As it should be", "Nothing has to be changed"),
        ("cannot_tell", "Not certain yet", "We measure that part again"),
        ("fail", "Needs a change", "the aid is adjusted"),
    ],
)
def test_every_outcome_has_its_words_and_its_next_step(outcome, word, following):
    story = ear_story("left", ear_of(answer_data(outcome), "left"), CHILD)
    assert story["name"] == "Left ear"
    assert story["kind"] == outcome
    assert story["word"] == word
    assert following in story["next"]


def test_unclear_part_and_its_cause_are_named():
    data = answer_data("cannot_tell")
    data["ears"]["right"]["findings"] = [
        finding("shallow_probe"),
        finding("unheard_of"),
        finding("outlier", severity="info"),
    ]
    text = ear_story("right", ear_of(data), CHILD)["text"]
    assert "(high pitch)" in text
    assert "did not lie deep enough" in text
    assert "noise or movement" not in text


def test_a_miss_is_named_by_loudness_way_and_pitch():
    data = answer_data("pass")
    data["ears"]["right"]["verdict"].update(
        outcome="fail",
        judgements=[
            judgement("match_55", "fail", "x", points=[point(250.0, -9.0, "fail"), point(4000.0, 12.0, "fail")]),
            judgement("match_65", "fail", "x", points=[point(500.0, -9.0, "fail"), point(1000.0, 1.0, "pass")]),
            judgement("maximum_output", "fail", "x", points=[point(2000.0, 4.0, "fail", 0.0)]),
        ],
    )
    text = ear_story("right", ear_of(data), CHILD)["text"]
    assert "soft and everyday speech is too soft at low pitch" in text
    assert "soft speech is too loud at high pitch" in text
    assert "the loudest sound is too loud at middle pitch" in text


def test_without_an_aid_nothing_is_said_about_one():
    data = answer_data()
    for ear in data["ears"].values():
        ear.update(speech=[], maximum_output=None)
    page = family_page(validated(data))
    assert page["loud"] == page["checks"] == page["pictures"] == []
    assert {story["word"] for story in page["ears"]} == {"No aid measured"}
    assert not any("appointment" in line for line in page["back"])


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        ("pass", "stayed below what would be uncomfortable"),
        ("fail", "has to be turned down by us"),
        ("cannot_tell", "do not turn the aid up"),
    ],
)
def test_loud_sounds(outcome, words):
    answer = validated(answer_data(outcome))
    lines = loud_sentences(answer, CHILD)
    assert lines[0].startswith("Both ears: ")
    assert words in lines[0]
    assert "blinks, startles" in lines[-1]
    assert "hurts" in loud_sentences(answer, GROWN)[-1]


def test_a_loudest_sound_below_the_limit_by_less_than_its_uncertainty_is_not_called_well_below():
    data = answer_data("pass")
    judged = next(j for j in data["ears"]["right"]["verdict"]["judgements"] if j["criterion"] == "maximum_output")
    judged["points"][0] |= {"deviation_db": -1.0, "u_db": 1.0}
    right, left, _ = loud_sentences(validated(data), CHILD)
    assert right.endswith("but by no more than we can measure. Tell us if a sound is too loud.")
    assert left == "Left ear: the loudest sound the aid can make stayed below what would be uncomfortable."


def test_loud_sounds_of_an_aid_whose_loudest_was_not_measured():
    data = answer_data("pass")
    data["ears"]["left"]["maximum_output"] = None
    lines = loud_sentences(validated(data), CHILD)
    assert lines[0].startswith("Right ear: ")
    assert lines[1].startswith("Left ear: how loud the aid can get was not measured")


@pytest.mark.parametrize("high_state", ["ok", "standing_wave"])
def test_reach_is_the_records_sensation_level(high_state):
    """Plain transcription: heard above 0 dB, partly if only the peaks reach the floor, unknown where not usable."""
    data = answer_data()
    for run in data["ears"]["right"]["speech"]:
        for hz, state in zip(run["sensation_level"]["frequency_hz"], range(99), strict=False):
            if abs(hz / 4000.0 - 1.0) < 0.05:
                run["sensation_level"]["state"][state] = high_state
    ear = ear_of(data)
    for pitch, (_, hz) in zip(pitches_of(ear), PITCHES, strict=True):
        for bar, run in zip(pitch.bars, ear.speech, strict=True):
            i = min(range(22), key=lambda k: abs(run.at_eardrum.frequency_hz[k] - hz))
            j = min(
                range(len(run.sensation_level.frequency_hz)),
                key=lambda k: abs(run.sensation_level.frequency_hz[k] - hz),
            )
            sensation = run.sensation_level.level_db[j]
            floor = run.at_eardrum.level_db[i] - sensation
            peak = run.percentiles["99"].level_db[i]
            assert bar.low_db == run.percentiles["30"].level_db[i]
            assert bar.high_db == peak
            assert pitch.floor_db == pytest.approx(floor)
            if run.sensation_level.state[j] != "ok":
                assert bar.reach == "unknown"
            else:
                assert bar.reach == ("heard" if sensation > 0 else "partly" if peak > floor else "not_heard")


def test_all_kinds_of_reach_occur():
    data = answer_data()
    for ear in data["ears"].values():
        for run, drop in zip(ear["speech"], (60.0, 22.0, 0.0), strict=True):
            for curve in (run["at_eardrum"], run["sensation_level"], *run["percentiles"].values()):
                curve["level_db"] = [v - drop for v in curve["level_db"]]
    found = {bar.reach for pitch in pitches_of(ear_of(data)) for bar in pitch.bars}
    assert found == {"heard", "partly", "not_heard", "unknown"}


def test_picture_shows_the_numbers():
    """Read the bars back: 20 dB SPL at the bottom line, 130 at the top."""
    pitches = pitches_of(ear_of(answer_data()))
    root = ET.fromstring(family_picture(pitches, "family-right"))  # noqa: S314  # our own text
    rects = [r for r in root.iter("{http://www.w3.org/2000/svg}rect") if r.get("fill") == "#ffffff"]
    bars = [bar for pitch in pitches for bar in pitch.bars]
    assert len(rects) == len(bars) == 9

    def level(y):
        return 20.0 + (180.0 - y) / (180.0 - 8.0) * 110.0

    for rect, bar in zip(rects, bars, strict=True):
        top, height = float(rect.get("y")), float(rect.get("height"))
        assert level(top) == pytest.approx(bar.high_db, abs=0.01)
        assert level(top + height) == pytest.approx(bar.low_db, abs=0.02)


def test_picture_has_words():
    words = picture_words("right", pitches_of(ear_of(answer_data())))
    assert words.startswith("Speech and hearing of the right ear. Low pitch: soft speech")
    assert "could not be told" in words


@pytest.mark.parametrize(
    ("level", "word"),
    [
        (50.0, "soft"),
        (55.0, "soft"),
        (60.0, "soft"),
        (60.1, "everyday"),
        (65.0, "everyday"),
        (70.0, "everyday"),
        (75.0, "loud"),
    ],
)
def test_loudness_words(level, word):
    assert loudness_word(level) == word
