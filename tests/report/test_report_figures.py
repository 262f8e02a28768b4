"""Figures made from records hold the record's own numbers."""

import numpy as np
import pytest
from invented_answer import (
    LEVELS_DB,
    THIRD_HZ,
    TONE_HZ,
    TWELFTH_HZ,
    answer_data,
    recds_answer,
    response_answer,
    validated,
)

from umbo.chart import Chart, Figure, FrequencyAxis, render_svg
from umbo.errors import InputError
from umbo.report import coupler_comparison_figure, eardrum_chart, recd_figure, response_figure
from umbo.report._record_figure import recds_chart, record_figure


@pytest.fixture
def data():
    return answer_data()


@pytest.fixture
def ear(data):
    return validated(data).ears["right"]


def series_named(chart, name, level_db=None):
    return next(
        one
        for one in chart.series
        if one.quantity.name == name and (level_db is None or one.input_level_db == level_db)
    )


def test_eardrum_chart_holds_the_record(ear):
    chart = eardrum_chart("right", ear)
    for run in ear.speech:
        drawn = series_named(chart, "level at the eardrum", run.input_db_spl)
        assert list(drawn.frequency_hz) == run.at_eardrum.frequency_hz == THIRD_HZ
        assert list(drawn.level_db) == run.at_eardrum.level_db
        assert list(drawn.u_db) == run.at_eardrum.u_db
        assert list(drawn.state) == run.at_eardrum.state
        assert drawn.trusted_max_hz == 8000.0  # of the RECD of the coupler the run was measured in
    for target in ear.targets:
        drawn = series_named(chart, "target", target.input_db_spl)
        assert list(drawn.level_db) == target.at_eardrum.level_db
    assert list(series_named(chart, "maximum output").level_db) == ear.maximum_output.at_eardrum.level_db
    assert list(series_named(chart, "noise").level_db) == ear.speech[0].noise_at_eardrum_db
    thresholds, discomfort = chart.marks
    assert list(thresholds.frequency_hz) == TONE_HZ
    assert list(thresholds.level_db) == ear.thresholds.at_eardrum.level_db
    assert list(discomfort.level_db) == ear.discomfort.at_eardrum.level_db


def test_percentiles_of_the_middle_level_bound_the_band(ear):
    bands = [band for band in eardrum_chart("right", ear).bands if band.input_level_db is not None]
    assert [band.input_level_db for band in bands] == [65.0]
    assert list(bands[0].lower_db) == ear.speech[1].percentiles["30"].level_db
    assert list(bands[0].upper_db) == ear.speech[1].percentiles["99"].level_db


def test_no_response_stays_no_response(data):
    data["ears"]["right"]["thresholds"]["no_response"] = [False, False, False, False, False, True]
    chart = eardrum_chart("right", validated(data).ears["right"])
    assert chart.marks[0].no_response == (False, False, False, False, False, True)


def test_eardrum_chart_without_thresholds(data):
    data["ears"]["right"].update(thresholds=None, discomfort=None)
    chart = eardrum_chart("right", validated(data).ears["right"])
    assert chart.marks == ()
    assert {one.input_level_db for one in chart.series if one.quantity.name == "level at the eardrum"} == set(LEVELS_DB)
    assert "no thresholds" in chart.alt


def test_nothing_at_the_eardrum_is_no_chart(data):
    data["ears"]["right"].update(thresholds=None, discomfort=None, speech=[], maximum_output=None, targets=[])
    assert eardrum_chart("right", validated(data).ears["right"]) is None


def test_unknown_noise_is_left_out_and_not_drawn_as_zero(data):
    for run in data["ears"]["right"]["speech"]:
        run["noise_at_eardrum_db"][:3] = [None] * 3
    noise = series_named(eardrum_chart("right", validated(data).ears["right"]), "noise")
    assert list(noise.frequency_hz) == THIRD_HZ[3:]


def test_couplers_that_share_an_ear_curve_are_compared(data):
    figure = recd_figure(recds_answer(data))
    assert [len(row) for row in figure.rows] == [2, 1, 2, 1]
    recds = recds_answer(data).ears["right"]
    upper, below = figure.rows[0], figure.rows[1][0]
    for panel, recd in zip(upper, recds, strict=True):
        assert panel.title.startswith("right ear")
        assert list(panel.series[0].level_db) == recd.ear_curve_db
        assert list(panel.series[1].level_db) == recd.coupler_curve_db
        assert panel.limits[0].frequency_hz == recd.trusted_max_hz
    for one, recd in zip(below.series, recds, strict=True):
        assert list(one.level_db) == recd.level_db
        assert list(one.u_db) == recd.u_db
        assert list(one.state) == recd.state
        assert one.trusted_max_hz == recd.trusted_max_hz


def test_couplers_with_different_ear_curves_stand_alone(data):
    data["ears"].pop("left")
    second = data["ears"]["right"]["recds"][1]
    second["ear_curve_db"] = [v + 1.0 for v in second["ear_curve_db"]]
    figure = recd_figure(recds_answer(data))
    assert [len(row) for row in figure.rows] == [1, 1]
    with pytest.raises(InputError, match="different ear curves"):
        coupler_comparison_figure(recds_answer(data).ears["right"])


def test_one_recd_is_one_chart(data):
    data["ears"].pop("left")
    data["ears"]["right"]["recds"].pop()
    chart = recd_figure(recds_answer(data))
    assert isinstance(chart, Chart)
    assert "grade C" in chart.subtitle


def test_four_couplers_fit_the_page(data):
    recds = recds_answer(data).ears["right"]
    four = [recds[0].model_copy(update={"coupler": kind}) for kind in ("ha1", "ha2", "ha4", "oes")]
    figure = coupler_comparison_figure(four)
    assert [len(row) for row in figure.rows] == [2, 2, 1]
    assert render_svg(figure).startswith("<svg")


def test_a_case_without_recds_is_refused(data):
    for ear in data["ears"].values():
        ear["recds"] = []
    with pytest.raises(InputError, match="no coupler and probe-tip reading"):
        recd_figure(recds_answer(data))
    with pytest.raises(InputError, match="0 RECDs"):
        coupler_comparison_figure([])


def test_response_holds_the_record():
    answer = response_answer()
    figure = response_figure(answer)
    level, harmonics = (row[0] for row in figure.rows)
    assert list(level.series[0].level_db) == answer.response.level_db
    assert level.series[0].quantity.name == "coupler reading"
    assert list(level.series[1].frequency_hz) == TWELFTH_HZ[1:]
    assert "3 of 4 repeats" in level.subtitle
    assert [one.label for one in harmonics.series] == ["H2"]  # H3 was not measured anywhere
    assert list(harmonics.series[0].level_db) == answer.response.harmonics["2"].db_re_fundamental[1:]


def test_no_line_is_drawn_where_a_harmonic_was_not_measured():
    answer = response_answer()
    found = answer.response.harmonics["2"]
    gaps = [None if 20 <= n < 30 or n == 60 else -40.0 - n for n in range(len(TWELFTH_HZ))]
    harmonics = {"2": found.model_copy(update={"db_re_fundamental": gaps})}
    answer = answer.model_copy(update={"response": answer.response.model_copy(update={"harmonics": harmonics})})
    series = response_figure(answer).rows[1][0].series
    assert [list(one.frequency_hz) for one in series] == [TWELFTH_HZ[:20], TWELFTH_HZ[30:60], TWELFTH_HZ[61:]]
    assert [db for one in series for db in one.level_db] == [db for db in gaps if db is not None]
    assert [one.show_label for one in series] == [False, False, True]


def test_response_of_speech_has_its_percentiles():
    answer = response_answer(with_harmonics=False, with_speech=True)
    chart = response_figure(answer)
    assert isinstance(chart, Chart)
    assert list(chart.bands[0].lower_db) == answer.response.percentiles["30"]
    assert list(chart.bands[0].upper_db) == answer.response.percentiles["99"]


def test_points_beyond_the_axis_are_left_out():
    answer = response_answer(with_harmonics=False)
    response = answer.response
    wide = [20.0, *TWELFTH_HZ[1:-1], 22000.0]
    answer = answer.model_copy(update={"response": response.model_copy(update={"frequency_hz": wide})})
    drawn = response_figure(answer).series[0]
    assert list(drawn.frequency_hz) == TWELFTH_HZ[1:-1]
    outside = response.model_copy(update={"frequency_hz": [20.0 + 0.1 * n for n in range(len(wide))]})
    with pytest.raises(InputError, match="between 125 Hz and 16 kHz"):
        response_figure(answer.model_copy(update={"response": outside}))


def test_every_figure_can_be_drawn(data):
    for figure in (
        recd_figure(recds_answer(data)),
        response_figure(response_answer()),
        record_figure(validated(data), 150.0),
    ):
        assert isinstance(figure, Figure)
        assert figure.alt.strip()
        assert render_svg(figure, interactive=False).startswith("<svg")


def test_the_page_draws_the_levels_and_recds_of_the_record(data):
    answer = validated(data)
    figure, recds = record_figure(answer, 150.0), recds_chart(answer, 92.0)
    assert [[chart.id for chart in row] for row in figure.rows] == [["eardrum-right", "eardrum-left"]]
    for chart, ear in zip(figure.charts, answer.ears.values(), strict=True):
        for run in ear.speech:
            drawn = series_named(chart, "level at the eardrum", run.input_db_spl)
            assert list(drawn.level_db) == run.at_eardrum.level_db
    expected = [recd.level_db for ear in answer.ears.values() for recd in ear.recds]
    assert [list(one.level_db) for one in recds.series] == expected
    assert [one.label for one in recds.series] == ["right HA-1", "right 0.4 cc", "left HA-1", "left 0.4 cc"]


def test_axis_of_the_recd_shows_all_that_is_trusted(data):
    data["ears"].pop("left")
    chart = record_figure(validated(data), 150.0).rows[0][1]
    for recd in validated(data).ears["right"].recds:
        level, u = np.array(recd.level_db), np.array(recd.u_db)
        trusted = (np.array(recd.frequency_hz) <= recd.trusted_max_hz) & (np.array(recd.state) == "ok")
        assert chart.level.low_db <= (level - 2 * u)[trusted].min()
        assert chart.level.high_db >= (level + 2 * u)[trusted].max()
    assert all(FrequencyAxis().covers(one.frequency_hz).all() for one in chart.series)
