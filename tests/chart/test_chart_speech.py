"""The eardrum view: what is not trusted, what bounds nothing, what was only predicted; speech by itself."""

import numpy as np
import pytest
from chart_reading import SVG, find, frame_of, parse, small_chart, vertices

from umbo.chart import (
    AidedSound,
    AidedSpeech,
    Band,
    LevelAxis,
    Limit,
    Line,
    Marks,
    Symbol,
    Texts,
    Thresholds,
    Trace,
    Trust,
    eardrum_view,
    render_svg,
    speech_panel,
)
from umbo.errors import InputError

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0])
LEVELS = np.array([60.0, 62.0, 66.0, 64.0, 55.0])
FLOOR = Thresholds([250, 1000, 4000], [30.0, 40.0, 70.0], (False, False, True))
AXIS = LevelAxis(0.0, 100.0, "dB SPL", "dB SPL")


def speech(**changes):
    known = {"soft_db": LEVELS - 12, "peak_db": LEVELS + 12} | changes
    return AidedSpeech(65.0, Trace("speech 65 dB", HZ, LEVELS, 1.0), **known)


def bands_of(root):
    return [e for e in root.iter(f"{SVG}path") if e.get("data-band")]


def test_a_band_is_hatched_where_it_is_not_trusted():
    state = ["withdrawn", "withdrawn", "ok", "noisy", "ok"]
    band = Band("percentiles", tuple(HZ), tuple(LEVELS - 12), tuple(LEVELS + 12), state=state)
    assert band.trust == (Trust.NONE, Trust.NONE, Trust.FULL, Trust.FULL, Trust.FULL)
    root = parse(render_svg(small_chart(bands=(band,))))
    none, full = sorted(bands_of(root), key=lambda e: e.get("data-trust"), reverse=True)
    assert (none.get("data-trust"), full.get("data-trust")) == ("none", "full")
    assert none.get("fill").startswith("url(#")
    assert full.get("fill").startswith("#")
    frame = frame_of(root, "c")
    reach = vertices(none.get("d").removesuffix("Z"))[0][:, 0]
    assert reach.max() == pytest.approx(float(frame.x_px(1000.0)), abs=0.01)  # no better than the worse of two points
    assert "hatched: not trusted" in [e.text for e in root.iter(f"{SVG}text")]


def test_an_unknown_state_of_a_band_is_refused():
    with pytest.raises(InputError, match="unknown state 'perhaps'"):
        Band("percentiles", (250.0, 500.0), state=("ok", "perhaps"))


def test_levels_not_yet_uncomfortable_bound_no_shade():
    """No discomfort up to 120 dB at 0.75 and 1 kHz: nothing above these is called too loud."""
    hz, silent = [250, 500, 750, 1000, 2000, 4000], (False, False, True, True, False, False)
    ceiling = Thresholds(hz, [110.0, 112.0, 120.0, 120.0, 115.0, 116.0], silent)
    chart = eardrum_view("e", "right", FLOOR, AidedSound(), discomfort=ceiling)
    assert [band.frequency_hz for band in chart.bands if band.upper_db is None] == [(250.0, 500.0), (2000.0, 4000.0)]
    assert chart.marks[1].no_response == silent
    alone = Thresholds([250, 500], [110.0, 112.0], (False, True))
    assert len(eardrum_view("e", "right", FLOOR, AidedSound(), discomfort=alone).bands) == 1


def test_predicted_discomfort_looks_and_is_called_otherwise():
    levels = [250, 500, 1000], [90.0, 92.0, 93.0]
    measured, predicted = (
        eardrum_view("e", "left", FLOOR, AidedSound(), discomfort=Thresholds(*levels, is_predicted=flag)).marks[1]
        for flag in (False, True)
    )
    assert (measured.label, predicted.label) == ("discomfort level", "predicted discomfort level")
    assert (measured.symbol, predicted.symbol) == (Symbol.CEILING, Symbol.CEILING_PREDICTED)
    assert (measured.joined, predicted.joined) == (Line.SOLID, Line.LONG_DASHED)  # long dashes: typical values
    drawn = []
    for marks in (measured, predicted):
        root = parse(render_svg(small_chart(marks=(marks,))))
        drawn.append(
            [e.get("d").count("h") for e in find(root, "c-m0").iter(f"{SVG}path") if not e.get("data-off-scale")]
        )
    assert drawn[0] != drawn[1]


def test_an_arrow_on_the_line_of_a_limit_stands_above_it():
    marks = Marks("threshold", Symbol.RIGHT, (1000.0, 4000.0), (50.0, 80.0), no_response=(False, True))
    root = parse(render_svg(small_chart(marks=(marks,), limits=(Limit(4000.0, "trusted to 4 kHz"),))))
    order = [
        e.get("data-part") or e.get("id")
        for e in root.iter()
        if e.get("data-part") == "limits" or e.get("id") == "c-m0"
    ]
    assert order == ["limits", "c-m0"]


def test_a_panel_holds_one_speech_level_and_names_nothing_beside_the_plot():
    target = Trace("target 65 dB", HZ, LEVELS + 2)
    chart = speech_panel(
        "p", "right", speech(target=target, edge_state="noisy"), AXIS, Texts(subtitle="index 0.5"), thresholds=FLOOR,
        noise=Trace("noise", HZ, 0 * HZ + 20),
    )  # fmt: skip
    assert [one.quantity.name for one in chart.series] == ["level at the eardrum", "target", "noise"]
    assert not any(one.show_label for one in (*chart.series, *chart.marks))
    assert chart.level is AXIS
    floor, percentiles = chart.bands
    assert floor.upper_db == (30.0, 40.0, 70.0)
    assert percentiles.lower_db == tuple(LEVELS - 12)
    assert percentiles.upper_db == tuple(LEVELS + 12)
    assert percentiles.state == ("noisy",) * 5
    assert chart.marks[0].no_response == (False, False, True)
    assert chart.title == "Speech at 65 dB, right ear"
    assert chart.alt.endswith("index 0.5.")


def test_a_panel_without_percentiles_thresholds_and_noise():
    chart = speech_panel("p", "left", speech(soft_db=None), AXIS)
    assert (chart.bands, chart.marks, chart.limits) == ((), (), ())
    assert len(chart.series) == 1
