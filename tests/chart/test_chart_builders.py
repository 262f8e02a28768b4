"""umbo's own charts: what they must show."""

import numpy as np
import pytest
from chart_reading import SVG, drawn_runs, find, frame_of, parse

from umbo.chart import (
    AidedSound,
    AidedSpeech,
    CouplerRun,
    Deviation,
    Figure,
    Symbol,
    Texts,
    Thresholds,
    Trace,
    audiogram,
    coupler_comparison,
    deviation_chart,
    eardrum_view,
    recd_chart,
    render_svg,
)
from umbo.errors import InputError

# Adult RECD re HA-1: occluded-ear-simulator RETSPL less HA-1 RETSPL (ISO 389-2 values, from memory).
HZ = np.array([250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000.0])
RECD_2CC = np.array([3.0, 3.5, 4.0, 5.5, 9.5, 9.0, 10.5, 15.0, 18.5, 19.0])
THRESHOLDS = Thresholds([500, 1000, 4000], [40.0, 45.0, 90.0], (False, False, True))


def trace(label, level, **changes):
    return Trace(label, HZ, level, **changes)


def texts(root):
    return [e.text for e in root.iter(f"{SVG}text")]


def test_one_recd_ends_at_its_limit_and_says_which_rule_set_it():
    chart = recd_chart("r", [trace("right", RECD_2CC, u_db=0.8, trusted_max_hz=7100, trusted_limit="probe")])
    root = parse(render_svg(chart))
    assert "trusted to 7.1 kHz (probe)" in texts(root)
    assert chart.limits[0].hatched
    assert chart.level.low_db <= 0.0 <= chart.level.high_db
    assert "right: 3.0 to 19.0 dB from 250 Hz to 8 kHz, trusted to 7.1 kHz." in chart.alt
    runs = drawn_runs(root, "r-s0")
    assert [(t, len(v)) for t, v in runs] == [("none", 2), ("full", 9)]


def test_two_recds_differ_by_symbol_and_only_the_higher_limit_is_hatched_through():
    two = [
        trace("re 2 cc", RECD_2CC, trusted_max_hz=7100),
        trace("re 0.4 cc", RECD_2CC - 14, trusted_max_hz=12600),
    ]
    chart = recd_chart("r", two)
    assert chart.series[0].symbol is not chart.series[1].symbol
    root = parse(render_svg(chart))
    region = next(e for e in root.iter() if e.get("data-region"))
    assert float(region.get("x")) == pytest.approx(float(frame_of(root, "r").x_px(12600)), abs=0.01)
    assert {"re 2 cc trusted to 7.1 kHz", "re 0.4 cc trusted to 12.6 kHz"} <= set(texts(root))
    one_open = recd_chart("r", [two[0], trace("no limit", RECD_2CC)])
    assert [limit.hatched for limit in one_open.limits] == [False]


def test_a_typical_value_does_not_look_like_a_measured_one():
    chart = recd_chart("r", [trace("right", RECD_2CC)], typical=trace("average", RECD_2CC - 1))
    assert chart.series[0].quantity.line is not chart.series[1].quantity.line


def comparison():
    ear = trace("right ear", 75.0 + 0 * HZ, u_db=0.5)
    runs = [
        CouplerRun("2 cc", trace("2 cc", 75 - RECD_2CC), trace("re 2 cc", RECD_2CC, trusted_max_hz=7100)),
        CouplerRun(
            "0.4 cc",
            trace("0.4 cc", 89 - RECD_2CC),
            trace("re 0.4 cc", RECD_2CC - 14),
            trace("noise", 20 + 0 * HZ),
        ),
    ]
    return coupler_comparison("cmp", ear, runs, ear_noise=trace("noise, ear", 15 + 0 * HZ))


def test_coupler_panels_share_ear_curve_and_axis_and_the_recds_stand_below():
    figure = comparison()
    (left, right), (below,) = figure.rows
    assert left.series[0] == right.series[0]
    assert left.level == right.level
    assert [s.label for s in left.series] == ["right ear", "2 cc", "noise, ear"]
    assert [s.label for s in right.series] == ["right ear", "0.4 cc", "noise, ear", "noise"]
    assert [s.label for s in below.series] == ["re 2 cc", "re 0.4 cc"]
    assert left.series[1].trusted_max_hz == 7100
    np.testing.assert_allclose(np.subtract(left.series[0].level_db, left.series[1].level_db), below.series[0].level_db)
    parse(render_svg(figure))


def test_comparison_without_a_coupler_is_refused():
    with pytest.raises(InputError, match="at least one"):
        coupler_comparison("x", trace("ear", HZ), [])


def test_eardrum_view_is_a_room_between_threshold_and_discomfort_with_levels_upwards():
    speech = AidedSpeech(65, trace("speech 65", 70 + 0 * HZ), trace("target 65", 72 + 0 * HZ), 57 + 0 * HZ, 82 + 0 * HZ)
    sound = AidedSound([speech], maximum_output=trace("maximum", 110 + 0 * HZ), noise=trace("noise", 20 + 0 * HZ))
    chart = eardrum_view("e", "right", THRESHOLDS, sound, discomfort=Thresholds([500, 4000], [110.0, 112.0]))
    assert not chart.level.inverted
    assert chart.level.label == "dB SPL at the eardrum"
    floor, ceiling, percentiles = chart.bands
    assert (floor.lower_db, floor.upper_db) == (None, (40.0, 45.0, 90.0))
    assert (ceiling.lower_db, ceiling.upper_db) == ((110.0, 112.0), None)
    assert percentiles.label == "30th to 99th percentile of speech at 65 dB"
    assert "no response at 1 of 3 frequencies" in chart.alt
    dash = {s.label: s.quantity.line for s in chart.series}
    assert len({dash["speech 65"], dash["target 65"], dash["noise"]}) == 3
    by_level = {s.label: s.input_level_db for s in chart.series}
    assert by_level == {"speech 65": 65, "target 65": 65, "maximum": 90.0, "noise": None}
    frame = frame_of(root := parse(render_svg(chart)), "e")
    circles = [e for e in find(root, "e-m0") if e.tag == f"{SVG}circle"]
    np.testing.assert_allclose([float(c.get("cy")) for c in circles], frame.y_px([40, 45]), atol=0.01)
    assert float(circles[0].get("cy")) > float(circles[1].get("cy"))  # the poorer threshold stands higher


def test_left_ear_is_a_cross():
    chart = eardrum_view("e", "left", THRESHOLDS, AidedSound())
    assert chart.marks[0].symbol is Symbol.LEFT


def test_deviation_panels_show_tolerance_bars_and_verdicts():
    hz = [500, 1000, 2000]
    one = Deviation(
        "speech at 65 dB", hz, [1.0, 6.0, -9.0], 5.0, [1.0, 1.0, 1.5], verdict=["pass", "cannot_tell", "fail"]
    )
    figure = deviation_chart("d", [one, Deviation("speech at 75 dB", hz, [0, 0, 1], [5, 5, 8])])
    assert isinstance(figure, Figure)
    first, second = figure.charts
    assert first.level == second.level
    assert first.level.low_db == -first.level.high_db <= -12.0
    assert {m.label: m.frequency_hz for m in first.marks} == {
        "within tolerance": (500.0,),
        "cannot tell": (1000.0,),
        "out of tolerance": (2000.0,),
    }
    assert len({m.symbol for m in first.marks}) == 3
    assert first.bands[0].upper_db == (5.0,) * 5
    np.testing.assert_allclose(second.bands[0].upper_db, (5, 5, 5, 8, 8))
    assert "−9.0 dB at 2000 Hz" in first.alt
    root = parse(render_svg(figure))
    frame = frame_of(root, "d-1")
    bar = next(e for e in find(root, "d-1-m0") if e.get("data-bar"))
    top, bottom = (float(v) for v in bar.get("d").split("M")[1].split(",")[1].split("V"))
    np.testing.assert_allclose(frame.level_at([top, bottom]), [3.0, -1.0], atol=0.05)
    assert texts(root).count("Frequency (Hz)") == 1


def test_unknown_verdicts_are_refused():
    with pytest.raises(InputError, match="pass, fail or cannot_tell"):
        deviation_chart("d", [Deviation("s", [500], [1.0], 5.0, verdict=["perhaps"])])
    with pytest.raises(InputError, match="each input level"):
        deviation_chart("d", [])


def test_audiogram_grows_downwards_and_tells_the_ears_apart():
    chart = audiogram("a", THRESHOLDS, Thresholds([500], [30.0]), Texts("Invented"))
    assert chart.level.inverted
    assert [m.symbol for m in chart.marks] == [Symbol.RIGHT, Symbol.LEFT]
    assert chart.title == "Invented"
    assert "4000 Hz no response at 90" in chart.alt
    frame = frame_of(parse(render_svg(chart)), "a")
    assert frame.y_px(90.0) > frame.y_px(40.0)
    with pytest.raises(InputError, match="right or the left"):
        audiogram("a")
