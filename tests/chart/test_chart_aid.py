"""Charts of an aid by itself: output, gain against its data sheet, output over input."""

import numpy as np
import pytest
from chart_reading import SVG, parse

from umbo.chart import (
    COUPLER_LEVEL,
    GAIN,
    MAXIMUM_OUTPUT,
    NOMINAL,
    AidOutput,
    Chart,
    FrequencyAxis,
    InputAxis,
    LevelAxis,
    Line,
    Series,
    Texts,
    Trace,
    gain_chart,
    input_output_chart,
    output_chart,
    render_svg,
)
from umbo.errors import InputError

HZ = np.array([250.0, 500, 1000, 2000, 4000, 8000, 12000])
OUTPUT = np.array([100.0, 110, 120, 115, 112, 105, 60])
STATES = ["ok"] * 6 + ["outside_coupler"]


def texts(chart):
    return " ".join(e.text for e in parse(render_svg(chart)).iter(f"{SVG}text") if e.text)


def test_a_loud_input_draws_the_maximum_output():
    loud, soft = Trace("OSPL90", HZ, OUTPUT, state=STATES), Trace("response", HZ, OUTPUT - 30)
    chart = output_chart("out", [AidOutput(loud, 90.0), AidOutput(soft, 60.0)])
    assert [one.quantity for one in chart.series] == [MAXIMUM_OUTPUT, COUPLER_LEVEL]
    assert [one.input_level_db for one in chart.series] == [90.0, 60.0]
    assert "OSPL90: 60 to 120 dB SPL" in chart.alt
    assert chart.level.low_db <= 70 and chart.level.high_db >= 120  # noqa: PT018


def test_what_may_not_be_believed_does_not_set_the_axis():
    chart = output_chart("out", [AidOutput(Trace("OSPL90", HZ, OUTPUT, state=STATES), 90.0)])
    assert chart.level.low_db == 90.0  # 60 dB beyond the coupler's range runs off the scale
    nothing = output_chart("out", [AidOutput(Trace("OSPL90", HZ, OUTPUT, state="clipped"), 90.0)])
    assert nothing.level.low_db <= 60.0


def test_gain_with_its_nominal_response_and_tolerance():
    nominal = Trace("nominal", HZ[:5], OUTPUT[:5] - 80)
    chart = gain_chart(
        "gain",
        [AidOutput(Trace("full-on", HZ, OUTPUT - 60), 50.0), AidOutput(Trace("reference", HZ, OUTPUT - 80), 60.0)],
        Texts(title="Gain of the right aid"),
        nominal=nominal,
        allowed=(OUTPUT[:5] - 84, OUTPUT[:5] - 76),
    )
    assert [one.quantity for one in chart.series] == [GAIN, GAIN, NOMINAL]
    assert NOMINAL.line is Line.DASHED
    (band,) = chart.bands
    assert band.lower_db == tuple(OUTPUT[:5] - 84)
    assert {one.symbol for one in chart.series[:2]} == {"dot", "square"}  # two curves of one quantity
    assert "nominal value of the data sheet" in texts(chart)


def test_output_over_input_stands_on_an_axis_of_levels():
    levels = np.arange(50.0, 91.0, 10.0)
    chart = input_output_chart(
        "steps", [Trace("2 kHz", levels, 80 + levels / 2, 0.3)], knees=[(70.0, 115.0, "compression ratio 2.0")]
    )
    assert (chart.frequency.low_db, chart.frequency.high_db) == (50.0, 90.0)
    assert "2 kHz: 105 dB SPL at 50 dB SPL in, 125 at 90." in chart.alt
    svg = render_svg(chart)
    assert "70 dB SPL in: 115.0 dB SPL, u 0.3, ok" in svg
    plot = next(e for e in parse(svg).iter() if e.get("id") == "steps-plot")
    assert float(plot.get("data-low-input-db")) == 48.0
    assert plot.get("data-low-hz") is None
    assert "Input (dB SPL)" in texts(chart)


def test_a_frequency_axis_still_states_its_edges():
    chart = output_chart("out", [AidOutput(Trace("OSPL90", HZ, OUTPUT), 90.0)])
    plot = next(e for e in parse(render_svg(chart)).iter() if e.get("id") == "out-plot")
    assert float(plot.get("data-low-hz")) == pytest.approx(FrequencyAxis().frequency_at(0.0), rel=1e-5)


def test_an_axis_of_levels_goes_there_and_back():
    axis = InputAxis(50.0, 90.0)
    levels = np.array([48.0, 50.0, 70.0, 92.0])
    assert axis.frequency_at(axis.fraction(levels)) == pytest.approx(levels)
    assert axis.fraction([48.0, 92.0]) == pytest.approx([0.0, 1.0])
    assert axis.covers([47.9, 48.0, 92.0, 92.1]).tolist() == [False, True, True, False]
    assert [text for _, text in axis.ticks()] == ["50", "60", "70", "80", "90"]
    assert [text for _, text in InputAxis(-10.0, 10.0).ticks()] == ["−10", "0", "10"]


@pytest.mark.parametrize("wrong", [(90.0, 50.0), (np.nan, 90.0), (50.0, np.inf)])
def test_an_axis_that_cannot_be(wrong):
    with pytest.raises(InputError, match="draw an axis of input levels"):
        InputAxis(*wrong)


def test_a_level_beyond_its_axis_is_refused_in_its_unit():
    line = Series("a line", GAIN, (40.0, 90.0), (1.0, 2.0))
    with pytest.raises(InputError, match="40 dB SPL in lies beyond the axis, 50 to 90 dB SPL"):
        Chart("c", "t", "a", LevelAxis(0.0, 10.0, "dB", "dB"), frequency=InputAxis(50.0, 90.0), series=(line,))
