"""The drawing as a document: readable by machines and by everyone, the same every time, and harmless."""

import re
import subprocess
import sys

import numpy as np
import pytest
from chart_reading import SVG, curve, find, frame_of, parse, small_chart, text_boxes
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.chart import (
    Band,
    Figure,
    FrequencyAxis,
    LevelAxis,
    Limit,
    Marks,
    Note,
    Quantity,
    Series,
    Symbol,
    Tone,
    render_svg,
)
from umbo.errors import InputError

HOSTILE = '</text><script>alert(1)</script> & "quotes" \x00\x1b \u202e \ud800 <![CDATA[ ]]> &amp; {{x}}'


def full_figure():
    marks = Marks("thresholds", Symbol.LEFT, [500, 1000], [40, 150], 1.0, ("ok", "noisy"), tone=Tone.LEFT)
    chart = small_chart(
        [
            curve(30, u_db=1.0, state="noisy"),
            curve(8, trusted_max_hz=3000, symbol=Symbol.SQUARE, input_level_db=65),
        ],
        marks=(marks,),
        bands=(Band("b", [500, 900], 20, 30, Tone.HUE),),
        limits=(Limit(3000, "limit"),),
        notes=(Note("here", 1000, 20), Note("also here", 1000, 20)),
        subtitle="sub",
        caption="cap",
    )
    return Figure("f", ((chart, small_chart(id="d")),), "Figure", "words", "sub", "caption")


def test_every_point_can_be_focused_and_says_its_numbers():
    series = Series("ear", Quantity("level"), [1000, 4000], [70, 86], u_db=[0.5, 1.2], trusted_max_hz=3000)
    root = parse(render_svg(small_chart([series])))
    points = [e for e in root.iter() if e.get("tabindex")]
    assert [p.get("aria-label") for p in points] == [
        "1000 Hz: 70.0 dB SPL, u 0.5, ok",
        "4000 Hz: 86.0 dB SPL, u 1.2, ok, above the trusted limit",
    ]
    for point in points:
        assert (point.tag, point.get("role")) == (f"{SVG}g", "img")
        assert point.find(f"{SVG}title").text == point.get("aria-label")
    assert [p.get("tabindex") for p in points] == ["0", "0"]
    by_series = parse(render_svg(small_chart([series]), tab_stops="series"))
    assert [e.get("tabindex") for e in by_series.iter() if e.get("tabindex")] == ["0", "-1"]
    frame = frame_of(root, "c")
    circle = points[1].find(f"{SVG}circle")
    assert float(circle.get("cx")) == pytest.approx(float(frame.x_px(4000)), abs=0.01)
    assert float(circle.get("cy")) == pytest.approx(float(frame.y_px(86)), abs=0.01)


def test_chart_and_panels_have_role_title_and_description():
    panels = (
        small_chart(id="a", title="Left", alt="left words"),
        small_chart(id="b", title="Right", alt="right words"),
    )
    figure = Figure("f", (panels,), "Both", "both words")
    root = parse(render_svg(figure))
    for element, title, words, role in (
        (root, "Both", "both words", "figure"),
        (find(root, "a"), "Left", "left words", "group"),
        (find(root, "b"), "Right", "right words", "group"),
    ):
        assert element.get("role") == role
        assert find(root, element.get("aria-labelledby")).text == title
        assert find(root, element.get("aria-describedby")).text == words
    assert parse(render_svg(figure, interactive=False)).get("role") == "img"


def test_drawing_stands_alone_without_script_style_or_reference():
    root = parse(render_svg(full_figure()))
    for element in root.iter():
        assert element.tag.removeprefix(SVG) in {
            "svg",
            "g",
            "title",
            "desc",
            "defs",
            "pattern",
            "clipPath",
            "path",
            "rect",
            "circle",
            "polygon",
            "text",
        }
        for name, value in element.attrib.items():
            assert not name.lower().startswith(("on", "href", "style", "class", "{"))
            assert "http" not in value
            for target in re.findall(r"url\(([^)]*)\)", value):
                find(root, target.removeprefix("#"))
    identities = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(identities) == len(set(identities))


def test_print_looks_the_same_it_only_lacks_the_points():
    def visible(svg):
        root = parse(svg)
        for parent in list(root.iter()):
            for child in list(parent):
                if child.get("pointer-events"):
                    parent.remove(child)
        root.attrib.pop("role")
        return [(e.tag, dict(e.attrib), e.text) for e in root.iter()]

    page, printed = render_svg(full_figure()), render_svg(full_figure(), interactive=False)
    assert visible(page) == visible(printed)
    assert "tabindex" in page
    assert "tabindex" not in printed


def test_coordinates_have_at_most_two_decimals_and_no_minus_zero():
    svg = render_svg(full_figure())
    for path in re.findall(r' d="([^"]*)"', svg):
        assert not re.search(r"\.\d{3}|(?<![\d.])-0(?![\d.])|e[-+]", path)


def test_the_same_specification_gives_the_same_bytes_in_another_process():
    program = (
        "import sys, hashlib; sys.path.insert(0, sys.argv[1]); import test_chart_document as t; "
        "print(hashlib.sha256(t.render_svg(t.full_figure()).encode()).hexdigest())"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", program, __file__.rpartition("/")[0]],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(found) == 1
    assert len(found.pop().strip()) == 64
    assert render_svg(full_figure()) == render_svg(full_figure())


def test_hostile_text_stays_text():
    axis = LevelAxis(0.0, 100.0, HOSTILE, HOSTILE)
    marks = Marks(HOSTILE, Symbol.DOT, [1000], [50], show_label=False)
    chart = small_chart(
        [curve(label=HOSTILE, quantity=Quantity(HOSTILE))],
        level=axis,
        frequency=FrequencyAxis(label=HOSTILE),
        title=HOSTILE,
        alt=HOSTILE,
        subtitle=HOSTILE,
        caption=HOSTILE,
        bands=(Band(HOSTILE, [500, 900], 1, 2),),
        marks=(marks,),
        limits=(Limit(500, HOSTILE),),
        notes=(Note(HOSTILE, 500, 50),),
    )
    svg = render_svg(Figure("f", ((chart,),), HOSTILE, HOSTILE, HOSTILE, HOSTILE))
    root = parse(svg)
    assert "script" not in {e.tag.removeprefix(SVG) for e in root.iter()}
    assert find(root, "f-title").text.startswith('</text><script>alert(1)</script> & "quotes"')
    assert not re.search("[\x00-\x08\x1b\u202e\ud800]", svg)
    svg.encode("utf-8")


@given(st.text(st.characters(), min_size=1, max_size=40).filter(str.strip))
@settings(max_examples=60, deadline=None)
def test_any_label_gives_valid_xml(label):
    svg = render_svg(small_chart([curve(2, label=label)], title=label, alt=label))
    parse(svg.encode("utf-8"))


def test_six_curves_of_85_points_stay_below_120_kb_and_print_far_below():
    six = [curve(85, label=f"curve {n}", level_db=np.linspace(20 + n, 90, 85), u_db=1.0) for n in range(6)]
    assert len(render_svg(small_chart(six)).encode()) < 120_000
    assert len(render_svg(small_chart(six), interactive=False).encode()) < 50_000


def test_charts_of_one_row_have_their_plots_at_one_height():
    low, high = small_chart(id="a"), small_chart(id="b", subtitle="more", title="a long title " * 9)
    root = parse(render_svg(Figure("f", ((low, high),), "t", "a")))
    assert frame_of(root, "a").top_px == pytest.approx(frame_of(root, "b").top_px)
    headers = [box.bottom for box in text_boxes(root) if "title" in box.text or box.text == "more"]
    assert len(headers) >= 4
    assert max(headers) < frame_of(root, "a").top_px - 15.0  # the axis label still fits between


def test_too_many_charts_in_a_row_are_refused():
    row = tuple(small_chart(id=f"c{n}") for n in range(4))
    with pytest.raises(InputError, match="fewer charts"):
        render_svg(Figure("f", (row,), "t", "a"))
