"""The printed report as a file: two pages, the same bytes, accessible, legible, complete."""

import copy
import re
import subprocess
import sys
import time

import pytest
from invented_answer import CAUTION, answer_data, finding, recd, validated
from pdf_reading import covered_words, objects, page_count, pages_of, words_of

from umbo.report import report_pdf, self_test_pdf

A4_WIDTH_PT, A4_HEIGHT_PT = 595.3, 841.9


def unchanged(data):
    assert len(data["ears"]) == 2


def one_ear(data):
    data["ears"].pop("left")


def no_recd(data):
    for ear in data["ears"].values():
        ear.update(recds=[], closings=[], recd_used="adult average RECD, invented table")


def recd_only(data):
    for ear in data["ears"].values():
        ear.update(speech=[], maximum_output=None, targets=[], closings=[], discomfort=None)
        ear["verdict"] = {
            "outcome": "cannot_tell", "verified": False, "reasons": ["No maximum output was measured."],
            "actions": ["Run a 90 dB sweep in the coupler."], "judgements": [],
        }  # fmt: skip


def recd_without_thresholds(data):
    recd_only(data)
    for ear in data["ears"].values():
        ear["thresholds"] = None


def no_discomfort(data):
    for ear in data["ears"].values():
        ear["discomfort"] = None
        ear["maximum_output"].update(limit=None, limit_source=None)


def no_thresholds(data):
    for ear in data["ears"].values():
        ear["thresholds"] = None
        for run in ear["speech"]:
            run["sensation_level"] = None


def threshold_without_route(data):
    for ear in data["ears"].values():
        ear["thresholds"].update(at_eardrum=None, route="none", why_not="no RECD for this coupler", explain=[])


def unknown_age_and_date(data):
    data.update(age_months=None, measured=None)


def nothing_at_all(data):
    no_recd(data)
    recd_without_thresholds(data)
    data.update(calibrations=[], tables=[], cautions=[])


def very_long(data):
    data.update(client="W" * 400, case="a " * 300, calibrations=["c" * 500] * 30, tables=["t" * 300] * 40)
    for ear in data["ears"].values():
        ear["findings"] = [finding(text=f"{n} " + "long finding " * 50, action="do " * 150) for n in range(30)]
        ear["verdict"]["reasons"] = ["A reason " + "that is long " * 60] * 20
        ear["verdict"]["actions"] = ["A" * 900] * 20
        ear["recds"] = [recd("ha1", 4000.0 + 100.0 * n) for n in range(15)]
        ear["targets"] *= 5
        ear["verdict"]["judgements"] += [
            judged | {"criterion": f"other_{n}"} for n, judged in enumerate(ear["verdict"]["judgements"] * 4)
        ]


CHANGES = [
    one_ear, no_recd, recd_only, recd_without_thresholds, no_discomfort, no_thresholds, threshold_without_route,
    unknown_age_and_date, nothing_at_all, very_long,
]  # fmt: skip


def changed(change, outcome="cannot_tell"):
    data = answer_data(outcome)
    change(data)
    return validated(data)


@pytest.fixture(scope="module")
def two_ears():
    return report_pdf(validated(answer_data()))


def test_the_same_record_gives_the_same_bytes(two_ears):
    assert report_pdf(validated(answer_data())) == two_ears


def test_another_process_gives_the_same_bytes(two_ears, tmp_path):
    stored = tmp_path / "record.json"
    stored.write_text(validated(answer_data()).model_dump_json(by_alias=True), encoding="utf-8")
    program = (
        "import sys; from pathlib import Path; from umbo.record import VerifyAnswer; "
        "from umbo.report import report_pdf; "
        "sys.stdout.buffer.write(report_pdf(VerifyAnswer.model_validate_json(Path(sys.argv[1]).read_text('utf-8'))))"
    )
    done = subprocess.run([sys.executable, "-c", program, str(stored)], capture_output=True, check=True)
    assert done.stdout == two_ears


def test_another_record_gives_other_bytes(two_ears):
    data = answer_data()
    data["ears"]["left"]["recds"][0]["level_db"][40] += 3.0
    assert report_pdf(validated(data)) != two_ears


@pytest.mark.parametrize("outcome", ["pass", "cannot_tell", "fail"])
def test_two_pages_of_a4_of_moderate_size(outcome):
    pdf = report_pdf(validated(answer_data(outcome)))
    assert page_count(pdf) == 2
    assert len(pdf) < 400_000
    assert set(re.findall(rb"/MediaBox\s*\[([^\]]*)\]", objects(pdf))) == {b"0 0 595.2756 841.8898"}


@pytest.mark.parametrize("change", CHANGES)
def test_missing_or_too_many_parts_still_make_two_pages(change):
    pdf = report_pdf(changed(change))
    assert page_count(pdf) == 2
    assert len(pdf) < 400_000


def test_page_is_tagged_and_says_so(two_ears):
    found = objects(two_ears)
    assert b"<pdfuaid:part>1</pdfuaid:part>" in found
    assert b"<pdfaid:part>2</pdfaid:part>" in found
    assert b"<pdfaid:conformance>A</pdfaid:conformance>" in found
    assert re.search(rb"/Lang\s*\(en\)", found)
    assert b"Hearing-aid verification, case invented-case" in found
    assert re.search(rb"/Marked\s+true", found)


def test_every_picture_has_words(two_ears):
    """Two figures on the page for the record, one an ear on the page for the family."""
    found = objects(two_ears)
    assert len(re.findall(rb"/S\s*/Figure", found)) == 4
    assert len(re.findall(rb"/S\s*/Figure/P \d+ 0 R/Alt[(<]", found)) == 4


def test_date_of_the_document_is_that_of_the_measurement(two_ears):
    assert b"<xmp:CreateDate>2026-03-14T00:00:00+00:00</xmp:CreateDate>" in objects(two_ears)
    undated = objects(report_pdf(changed(unknown_age_and_date)))
    assert b"<xmp:CreateDate>1970-01-01T00:00:00+00:00</xmp:CreateDate>" in undated


def test_nothing_of_this_machine_is_in_the_file(two_ears):
    found = objects(two_ears)
    assert b"/src/umbo" not in found
    assert b"site-packages" not in found


def test_printed_within_a_quarter_of_a_second():
    answer = validated(answer_data())
    report_pdf(answer)
    times = []
    for _ in range(7):
        start = time.perf_counter()
        report_pdf(answer)
        times.append(time.perf_counter() - start)
    assert min(times) < 0.25


def test_record_page_says_what_a_record_must_say(two_ears):
    record, _ = pages_of(two_ears)
    for words in (
        "invented-client", "27 months", "2026-03-14", "invented-case", "umbo 0.0.test",  # who, when, with what
        "Cannot be told yet", "Speech at 55 dB against its target.", "Adjust and measure again.",  # verdict
        "Right, HA-1", "Left, 0.4 cc", "Insert earphone, foam tip, 1 insertion",  # RECD: coupler, source, coupling
        "grade C: The curve lies below the range.", CAUTION,  # grade with reason and step
        "8 kHz (coupler)", "9.4 kHz (standing wave)", "3.7 ± 1.0 mm", "right declared",  # limit with rule, tip
        "Maximum output", "pass 0.6 dB", "−9.0 dB, 4 kHz",  # criteria with values
        "The probe tip is 9.3 mm from the eardrum.", "Advance the tube.",  # finding and step
        "speech 65 dB at the eardrum 74.0 dB SPL = speech at the eardrum 71.0",  # how a number was made
        "maximum output agree within uncertainty", "worst +5.0 dB, u 2.4 dB, at 630 Hz",  # closing loop
        "invented method", "discomfort levels", "coupler_mic: 100 Pa per full scale", "corrected by 'invented set'",
        "insert", "speech at 55, 65, 75 dB SPL", "invented with this case", "retspl_insert/invented",
        "Not for client care", "aid, serial", "measured by", "warnings accepted",
    ):  # fmt: skip
        assert words in record, words


def test_family_page_has_its_parts(two_ears):
    _, family = pages_of(two_ears)
    for words in (
        "What we measured, in plain words", "Right ear", "Left ear", "Loud sounds", "Every day", "When to come back",
        "common practice", "Who to ask", "Next:", "loud enough to hear", "in about 3 months",
    ):  # fmt: skip
        assert words in family, words


@pytest.mark.parametrize(("outcome", "word"), [("pass", "Verified"), ("fail", "Not verified")])
def test_verdict_is_a_word(outcome, word):
    record = pages_of(report_pdf(validated(answer_data(outcome))))[0]
    assert record.count(word) >= 3  # the case and each ear


def test_what_was_left_out_is_counted():
    record = pages_of(report_pdf(changed(very_long)))[0]
    assert re.search(r"\(19 more\)", record)
    assert "“more” is in full in the machine-" in record


MARKUP = '#let x = $a^2$ *b* _c_ `d` @e <f> [g] // h \\ "i" = j #panic("k")'
HOSTILE = f"{MARKUP} \u202eevil\u202c \x07 \u05e9\u05dc\u05d5\u05dd \u6f22 é"


def test_hostile_text_comes_out_as_it_stands():
    data = answer_data()
    data["client"] = '#panic("no") $x$ *b* \u202ez'
    data["ears"]["right"]["findings"] = [finding(text=HOSTILE, action="#set text(fill: red)")]
    data["ears"]["right"]["verdict"]["reasons"] = ["*bold* #strong[no] $y$"]
    record, family = pages_of(report_pdf(validated(data)))
    assert MARKUP in record
    assert "[U+202E]evil[U+202C] [U+0007]" in record
    assert "[U+6F22] é" in record
    assert "#set text(fill: red)" in record
    assert "*bold* #strong[no] $y$" in record
    assert '#panic("no") $x$ *b* [U+202E]z' in record
    assert '#panic("no") $x$ *b* [U+202E]z' in family
    assert "\u202e" not in record + family


def test_right_to_left_letters_are_printed_as_letters():
    data = answer_data()
    data["ears"]["right"]["verdict"]["reasons"] = ["\u05e9\u05dc\u05d5\u05dd and \u0645\u0631\u062d\u0628\u0627"]
    record = pages_of(report_pdf(validated(data)))[0]
    assert set("\u05e9\u05dc\u05d5\u05dd") <= set(record)
    assert "U+05" not in record
    assert "U+06" not in record


@pytest.mark.parametrize(
    ("change", "outcome"),
    [(unchanged, "pass"), (unchanged, "fail"), *((change, "cannot_tell") for change in (unchanged, *CHANGES))],
)
def test_words_stay_on_the_page_and_off_each_other(change, outcome):
    words = words_of(report_pdf(changed(change, outcome)))
    assert {word.page for word in words} == {1, 2}
    outside = [
        w
        for w in words
        if w.left < 30.0 or w.right > A4_WIDTH_PT - 30.0 or w.top < 20.0 or w.bottom > A4_HEIGHT_PT - 10.0
    ]
    assert outside == []
    covered = covered_words(words)
    assert covered == []


def test_letters_are_large_enough(two_ears):
    """Inter's boxes are 1.21 em high: 7 pt letters give boxes of 8.5 pt."""
    heights = [word.bottom - word.top for word in words_of(two_ears)]
    assert min(heights) >= 7.0 * 1.2


def test_an_answer_is_not_changed_by_printing():
    answer = validated(answer_data())
    before = copy.deepcopy(answer)
    report_pdf(answer)
    assert answer == before


def test_self_test_page():
    pdf = self_test_pdf()
    assert pdf == self_test_pdf()
    assert page_count(pdf) == 1
    assert b"<pdfuaid:part>1</pdfuaid:part>" in objects(pdf)
    assert pages_of(pdf)[0].startswith("The report engine works")
