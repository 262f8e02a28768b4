"""The printed report and the figure of an aid by itself."""

import json

import pytest
from aid_port import FULL_ON, REFERENCE, AidCase
from pdf_reading import page_count, pages_of

from umbo.aid import DataSheet, Item, NominalCurve
from umbo.chart import Chart, Figure
from umbo.core import CouplerKind, Ear, Plane
from umbo.errors import InputError
from umbo.record import AidAnswer, aid_answer
from umbo.report import aid_figure, aid_report_pdf
from umbo.session import AidTestPlan, EnteredReadings, run_aid


def answer_of(ears=(Ear.RIGHT, Ear.LEFT), couplers=(CouplerKind.HA1,), **more):
    sheet = DataSheet(
        name="sheet", plane=Plane.coupler("ha1"), standard="ANSI S3.22",
        nominal={Item.HFA_OSPL90: 119.0, Item.BATTERY_CURRENT: 1.0},
        response=NominalCurve([500.0, 1000.0, 2000.0, 4000.0], [30.0, 30.0, 30.0, 22.0]),
    )  # fmt: skip
    entered = {
        ear: EnteredReadings(battery_current_ma=1.5, battery_current_u_ma=None, settings=REFERENCE) for ear in ears
    }
    case = AidCase(AidTestPlan(data_sheet=sheet, entered=entered))
    for ear in ears:
        for coupler in couplers:
            gain_db = 30.0 if coupler is CouplerKind.HA1 else 44.0
            case.swept("output_90", 90.0, gain_db, set_to=FULL_ON, ear=ear, coupler=coupler)
            case.swept("full_on_gain", 50.0, gain_db, set_to=FULL_ON, ear=ear, coupler=coupler)
            case.swept("reference_response", 60.0, gain_db, ear=ear, coupler=coupler)
        case.sounded("front", 30.0, ear=ear).sounded("back", 26.0, ear=ear)
        case.sounded("speech", 25.0, kind="speech", level_db_spl=55.0, ear=ear)
        case.sounded("speech", 20.0, kind="speech", ear=ear)
    return aid_answer(run_aid(case.plan(), case, **more))


@pytest.fixture(scope="module")
def answer():
    return answer_of()


@pytest.fixture(scope="module")
def printed(answer):
    return aid_report_pdf(answer)


def test_a_page_for_each_aid_and_the_same_bytes(answer, printed):
    assert page_count(printed) == 2
    assert aid_report_pdf(AidAnswer.model_validate_json(answer.model_dump_json(by_alias=True))) == printed


def test_it_says_what_failed_and_what_that_means(printed):
    words = " ".join(pages_of(printed))
    for text in ("Right hearing aid by itself", "Left hearing aid by itself", "HFA-OSPL90", "Battery current", "fail"):
        assert text in words
    assert "Response, worst of" in words
    assert "compression of speech from 55 to 65 dB SPL" in words
    assert "never test so with the aid in an ear" in words
    assert "omnidirectional" in words  # the sentence of the check that failed


def test_one_aid_alone_and_one_without_a_sheet():
    one = answer_of(ears=(Ear.LEFT,))
    assert "Right hearing aid" not in " ".join(pages_of(aid_report_pdf(one)))
    bare = AidCase().sounded("front", 30.0).sounded("back", 30.0)
    words = " ".join(pages_of(aid_report_pdf(aid_answer(run_aid(bare.plan(), bare)))))
    assert "Right hearing aid by itself" in words
    assert "nominal" not in words


def test_text_from_outside_stays_text(answer):
    """A case name is data: no markup, no sign without a glyph."""
    data = json.loads(answer.model_dump_json(by_alias=True)) | {"case": "#panic[x] \u202e *case*"}
    words = " ".join(pages_of(aid_report_pdf(AidAnswer.model_validate(data))))
    assert "#panic[x] [U+202E] *case*" in words


def charts(figure):
    return [figure] if isinstance(figure, Chart) else list(figure.charts)


def test_the_figure_holds_every_aid(answer):
    figure = aid_figure(answer)
    assert isinstance(figure, Figure)
    titles = [chart.title for chart in charts(figure)]
    for side in ("Right", "Left"):
        for what in ("output", "gain", "gain of speech"):
            assert f"{side} aid, 2 cc coupler HA-1: {what}" in titles
    gain = next(chart for chart in charts(figure) if chart.title.endswith("HA-1: gain"))
    assert [series.label for series in gain.series] == ["full-on", "reference", "nominal"]
    assert gain.bands[0].lower_db[0] == 26.0  # 30 dB less the 4 dB of the low band


def test_two_couplers_stand_side_by_side_and_are_not_joined():
    figure = aid_figure(answer_of(ears=(Ear.RIGHT,), couplers=(CouplerKind.HA1, CouplerKind.CC04)))
    pair = next(chart for chart in charts(figure) if "two couplers" in chart.title)
    large, small = pair.series
    assert (large.label, small.label) == ("2 cc", "0.4 cc")
    assert large.state[-1] == "outside_coupler"
    assert small.state[-2] != "outside_coupler"


def test_nothing_to_draw_is_said():
    case = AidCase().sounded("front", 30.0).sounded("back", 30.0)
    with pytest.raises(InputError, match="it holds no curve"):
        aid_figure(aid_answer(run_aid(case.plan(), case)))
