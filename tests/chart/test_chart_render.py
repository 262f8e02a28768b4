"""What stands in the SVG: the data, the states, the trust."""

import re

import numpy as np
import pytest
from chart_reading import SVG, curve, drawn_runs, find, frame_of, parse, small_chart, vertices
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.chart import (
    Band,
    LevelAxis,
    Limit,
    Line,
    Marks,
    Quantity,
    Symbol,
    Tone,
    render_svg,
)
from umbo.chart._language import LEFT_BLUE, RIGHT_RED, UNTRUSTED


@given(
    st.integers(2, 85).flatmap(
        lambda n: st.tuples(
            st.lists(st.floats(-20, 120), min_size=n, max_size=n),
            st.lists(st.sampled_from(["ok", "noisy", "clipped"]), min_size=n, max_size=n),
        )
    )
)
@settings(max_examples=40, deadline=None)
def test_data_read_back_from_the_paths_equals_the_specification(levels_and_states):
    levels, states = levels_and_states
    series = curve(len(levels), level_db=levels, state=states)
    root = parse(render_svg(small_chart([series])))
    frame = frame_of(root, "c")
    drawn = np.concatenate([v for _, v in drawn_runs(root, "c-s0")])
    wanted = np.column_stack([frame.x_px(series.frequency_hz), frame.y_px(series.level_db)])
    unique = np.unique(np.round(drawn, 2), axis=0)
    for point in wanted:
        assert np.abs(unique - point).max(axis=1).min() < 0.1
    for point in unique:
        assert np.abs(wanted - point).max(axis=1).min() < 0.1
    np.testing.assert_allclose(frame.frequency_at(wanted[:, 0]), series.frequency_hz, rtol=1e-3)
    np.testing.assert_allclose(frame.level_at(wanted[:, 1]), series.level_db, atol=1e-6)


def test_plot_rectangle_read_from_the_drawing_agrees_with_its_frame_line():
    root = parse(render_svg(small_chart([curve()])))
    frame = frame_of(root, "c")
    clip = find(root, "c-clip")[0]
    assert float(clip.get("x")) == pytest.approx(frame.left_px, abs=0.01)
    assert float(clip.get("width")) == pytest.approx(frame.width_px, abs=0.01)
    assert float(clip.get("height")) == pytest.approx(frame.height_px, abs=0.01)
    texts = {e.text: e for e in root.iter(f"{SVG}text")}
    for hz, text in ((125, "125"), (1000, "1k"), (16000, "16k")):
        assert float(texts[text].get("x")) == pytest.approx(float(frame.x_px(hz)), abs=0.1)


def test_each_run_of_a_curve_is_drawn_by_its_trust():
    series = curve(6, state=["ok", "ok", "noisy", "ok", "below_noise", "ok"])
    runs = drawn_runs(parse(render_svg(small_chart([series]))), "c-s0")
    lengths = {trust: sorted(len(v) for t, v in runs if t == trust) for trust in ("full", "caution", "none")}
    assert lengths == {"full": [2], "caution": [3], "none": [3]}


def test_a_segment_is_no_better_than_its_worse_end_and_not_trusted_is_grey_thin_and_hatched():
    series = curve(4, state=["ok", "ok", "clipped", "clipped"])
    root = parse(render_svg(small_chart([series])))
    full, none = find(root, "c-s0-full"), find(root, "c-s0-none")
    assert none.get("stroke") == UNTRUSTED
    assert full.get("stroke") not in (UNTRUSTED, None)
    assert float(none.get("stroke-width")) < float(full.get("stroke-width"))
    assert len(vertices(none.get("d"))[0]) == 3
    tubes = [e for e in root.iter() if e.get("data-tube") == "none"]
    assert [e.get("stroke") for e in tubes] == ["url(#c-hatch)"]
    assert vertices(tubes[0].get("d"))[0].shape == (3, 2)


def test_uncertainty_is_a_ribbon_of_k_times_u_hatched_where_not_trusted():
    series = curve(5, u_db=[1, 2, 3, 4, 5], state=["ok", "ok", "ok", "ok", "withdrawn"])
    root = parse(render_svg(small_chart([series], coverage_k=2.0)))
    frame = frame_of(root, "c")
    ribbons = {e.get("data-ribbon"): e for e in root.iter() if e.get("data-ribbon")}
    assert ribbons["none"].get("fill") == "url(#c-hatch)"
    assert ribbons["full"].get("fill").startswith("#")
    outline = vertices(ribbons["full"].get("d"))[0]
    upper, lower = outline[:4], outline[4:][::-1]
    np.testing.assert_allclose(frame.level_at(upper[:, 1]) - frame.level_at(lower[:, 1]), [4, 8, 12, 16], atol=0.1)
    words = [e.text for e in root.iter(f"{SVG}text")]
    assert "uncertainty ±2 u (k = 2)" in words


def test_trusted_limit_is_a_line_at_its_frequency_with_hatching_beyond_and_its_label():
    limit = Limit(7100.0, "trusted to 7.1 kHz (probe)")
    root = parse(render_svg(small_chart([curve(40, trusted_max_hz=7100.0)], limits=(limit,))))
    frame = frame_of(root, "c")
    region = next(e for e in root.iter() if e.get("data-region") == "untrusted")
    assert region.get("fill") == "url(#c-hatch)"
    assert float(region.get("x")) == pytest.approx(float(frame.x_px(7100.0)), abs=0.01)
    assert float(region.get("x")) + float(region.get("width")) == pytest.approx(frame.right_px, abs=0.02)
    assert limit.label in [e.text for e in root.iter(f"{SVG}text")]
    trusted = np.concatenate([v for t, v in drawn_runs(root, "c-s0") if t == "full"])
    assert frame.frequency_at(trusted[:, 0]).max() <= 7100.0 * 1.001


def test_line_style_says_the_quantity_and_the_key_explains_each_once():
    dashed = Quantity("target", Line.DASHED)
    layers = [curve(label="a"), curve(label="b"), curve(label="c", quantity=dashed)]
    root = parse(render_svg(small_chart(layers)))
    assert find(root, "c-s0-full").get("stroke-dasharray") is None
    assert find(root, "c-s2-full").get("stroke-dasharray") == Line.DASHED.dash
    key = next(e for e in root.iter() if e.get("data-part") == "key")
    assert [t.text for t in key.iter(f"{SVG}text")] == ["level", "target"]
    labels = next(e for e in root.iter() if e.get("data-part") == "labels")
    assert [t.text for t in labels.iter(f"{SVG}text")] == ["a", "b", "c"]


@pytest.mark.parametrize(("inverted", "way"), [(False, -1), (True, 1)])
def test_no_response_is_an_arrow_towards_higher_levels_and_never_a_symbol(inverted, way):
    axis = LevelAxis(0.0, 120.0, "dB HL", "dB HL", inverted=inverted)
    marks = Marks(
        "right",
        Symbol.RIGHT,
        [500, 1000, 2000],
        [40, 50, 90],
        no_response=(False, False, True),
        joined=Line.SOLID,
        tone=Tone.RIGHT,
    )
    root = parse(render_svg(small_chart(level=axis, marks=(marks,)), interactive=False))
    frame = frame_of(root, "c")
    group = find(root, "c-m0")
    circles = [float(e.get("cx")) for e in group.iter(f"{SVG}circle")]
    np.testing.assert_allclose(circles, frame.x_px([500, 1000]), atol=0.01)
    shafts = [e.get("d") for e in group if re.search(r"v-?15", e.get("d", ""))]
    assert len(shafts) == 2  # the arrow and the paper under it
    assert all((f"v{way * 15}m") in d for d in shafts)
    joins = [e for e in group if e.get("stroke-width") == "1.4"]
    assert len(joins) == 1  # 500 to 1000 Hz only
    assert "2000 Hz: no response up to 90.0 dB HL, ok" in render_svg(small_chart(level=axis, marks=(marks,)))


@pytest.mark.parametrize(
    ("symbol", "tone", "colour", "tag"),
    [(Symbol.RIGHT, Tone.RIGHT, RIGHT_RED, "circle"), (Symbol.LEFT, Tone.LEFT, LEFT_BLUE, "path")],
)
def test_ears_differ_by_shape_and_by_colour(symbol, tone, colour, tag):
    marks = Marks("ear", symbol, [1000], [50], tone=tone)
    group = find(parse(render_svg(small_chart(marks=(marks,)))), "c-m0")
    assert [(e.tag, e.get("stroke")) for e in group] == [(f"{SVG}{tag}", colour)]


def test_an_untrusted_mark_is_grey_on_hatching():
    marks = Marks("m", Symbol.DIAMOND, [1000], [50], u_db=2.0, state="clipped")
    halo, bar, symbol = find(parse(render_svg(small_chart(marks=(marks,)))), "c-m0")
    assert halo.get("fill") == "url(#c-hatch)"
    assert bar.get("stroke") == symbol.get("stroke") == UNTRUSTED


def test_a_band_without_an_edge_reaches_the_end_of_the_axis():
    root = parse(render_svg(small_chart(bands=(Band("not heard", [500, 2000], None, [40, 60]),))))
    frame = frame_of(root, "c")
    outline = next(vertices(e.get("d"))[0] for e in root.iter() if e.get("data-band"))
    np.testing.assert_allclose(outline[:2, 1], frame.y_px([40, 60]), atol=0.01)
    np.testing.assert_allclose(outline[2:, 1], frame.bottom_px, atol=0.01)


def test_points_beyond_the_level_axis_are_flagged_at_the_edge_and_read_out():
    svg = render_svg(small_chart([curve(3, level_db=[50, 130, -20])]))
    root = parse(svg)
    assert [e.get("data-off-scale") for e in root.iter() if e.get("data-off-scale")] == ["above", "below"]
    assert "130.0 dB SPL, ok, off the scale" in svg
    marks = Marks("t", Symbol.RIGHT, [500, 1000], [120, 130], tone=Tone.RIGHT)
    group = find(parse(render_svg(small_chart(marks=(marks,)))), "c-m0")
    assert [e.get("data-off-scale") for e in group] == [
        "above",
        "above",
    ]  # no symbol at a level it does not have
