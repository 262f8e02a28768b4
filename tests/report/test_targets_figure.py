"""The figure of compared prescriptions: every point of the answer, with its state, and no line where there is none."""

import pytest
from threshold_case import imported, threshold_case

from umbo.chart import Figure, render_svg
from umbo.interchange import open_case
from umbo.record import targets_answer
from umbo.report import targets_figure
from umbo.session import compare_prescriptions

SILENT = "no_response = [false, false, false, true, false, false, false]"  # at 2 kHz
METHODS = ("pogo", "half_gain", "nal_r")


@pytest.fixture(scope="module")
def answer(tmp_path_factory):
    folder = threshold_case(
        tmp_path_factory.mktemp("figure") / "case",
        keys=SILENT,
        extra=imported((66, 71, 79, 82)),
        ears=("right", "left"),
    )
    case = open_case(folder, needs_measurement=False)
    found = compare_prescriptions(case.plan, case, methods=METHODS, inputs_db_spl=(55.0, 65.0))
    return targets_answer(found, METHODS)


def test_two_charts_for_each_ear_and_input(answer):
    figure = targets_figure(answer)
    assert isinstance(figure, Figure)
    assert [chart.id for chart in figure.charts] == [
        f"targets-{side}-{level}{part}"
        for side in ("right", "left")
        for level in (55, 65)
        for part in ("", "-differences")
    ]
    assert render_svg(figure).startswith("<svg")


def test_curves_are_the_numbers_of_the_answer_with_their_states(answer):
    wanted = next(chart for chart in targets_figure(answer).charts if chart.id == "targets-right-65")
    curves = {one.label: one for one in wanted.series}
    for entry in answer.ears["right"].inputs[1].methods[:2]:
        curve = curves[answer.prescriptions[entry.method].name]
        assert list(curve.frequency_hz) == entry.wanted.frequency_hz
        assert list(curve.level_db) == entry.wanted.aided_db_spl
        assert list(curve.state) == entry.wanted.state
        assert curve.state[curve.frequency_hz.index(2000.0)] == "withdrawn"
    assert list(curves["invented rule"].level_db) == [66, 71, 79, 82]
    assert wanted.marks[0].no_response == (False, False, False, True, False, False, False)
    assert wanted.subtitle == "imported: invented rule, 5.1, adult, quiet; not computed: NAL-R"


def test_differences_stop_where_there_is_no_response_and_keep_their_states(answer):
    below = next(chart for chart in targets_figure(answer).charts if chart.id == "targets-right-65-differences")
    parts = [one for one in below.series if one.label == "Half-gain rule"]
    assert [one.frequency_hz for one in parts] == [(250.0, 500.0, 1000.0), (3000.0, 4000.0, 6000.0)]
    half_gain = answer.ears["right"].inputs[1].methods[1].wanted
    known = [db for db in half_gain.from_median_db if db is not None]
    assert [db for one in parts for db in one.level_db] == known
    # the speech is tabulated in third-octaves: 3 and 6 kHz lie between them
    assert parts[1].state == ("interpolated", "ok", "interpolated")


def test_the_caption_names_methods_from_memory(answer):
    caption = targets_figure(answer).caption
    assert "constants from memory: POGO, Half-gain rule, NAL-R" in caption
    assert "not the truth" in caption
