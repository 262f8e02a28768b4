"""Text widths, line breaking, and the column of labels."""

import itertools

import numpy as np
import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from umbo.chart._placement import stack_column
from umbo.chart._text import text_width_px, wrap

boxes = st.lists(st.tuples(st.floats(0, 300), st.floats(5, 40)), min_size=1, max_size=9)


@given(boxes)
def test_boxes_never_overlap_and_keep_inside_when_they_fit(wanted_and_height):
    wanted, heights = zip(*wanted_and_height, strict=True)
    bottom = max(300.0, sum(heights) + 1.0)
    placed = stack_column(wanted, heights, 0.0, bottom)
    spans = sorted((c - h / 2, c + h / 2) for c, h in zip(placed, heights, strict=True))
    assert all(a[1] <= b[0] + 1e-6 for a, b in itertools.pairwise(spans))
    assert spans[0][0] >= -1e-6
    assert spans[-1][1] <= bottom + 1e-6


def test_boxes_that_do_not_touch_stay_where_they_are_wanted():
    assert stack_column([200.0, 50.0], [20.0, 20.0], 0.0, 300.0) == [200.0, 50.0]


@pytest.mark.parametrize("seed", range(4))
def test_the_shifts_are_the_least_a_general_optimiser_finds(seed):
    rng = np.random.default_rng(seed)
    wanted, heights = np.sort(rng.uniform(100, 160, 5)), rng.uniform(10, 30, 5)
    gaps = (heights[1:] + heights[:-1]) / 2
    best = minimize(
        lambda c: np.sum((c - wanted) ** 2),
        np.linspace(0, 300, 5),
        method="SLSQP",
        constraints={"type": "ineq", "fun": lambda c: np.diff(c) - gaps},
    )
    placed = np.array(stack_column(wanted.tolist(), heights.tolist(), -1000.0, 1000.0))
    assert np.sum((placed - wanted) ** 2) <= best.fun + 1e-3
    np.testing.assert_allclose(placed, best.x, atol=0.05)


@given(st.text(max_size=200), st.floats(30, 300))
def test_lines_fit_their_room_and_lose_nothing(text, room):
    lines = wrap(text, room, 11.0)
    assert all(text_width_px(line, 11.0) <= room or len(line) == 1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(wrap_free(text).split())


def wrap_free(text):
    return " ".join(wrap(text, 1e9, 11.0))


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "RECD in dB (ear less coupler)",
        "trusted to 7.1 kHz (probe)",
        "threshold, right ear",
        "0123456789 −15.5",
        "WMmw@%",
    ],
)
def test_widths_are_those_a_typesetter_finds_for_dejavu_sans_or_a_little_more(text, bold):
    font = '#let it = text(font: "DejaVu Sans", size: 100pt, weight: "{}", kerning: false, fallback: false)'
    font += "[#sys.inputs.text]"
    source = font.format("bold" if bold else "regular") + ("\n#context [#metadata((measure(it).width / 1pt)) <width>]")
    try:
        found = typst.query(source.encode(), "<width>", field="value", one=True, sys_inputs={"text": text})
    except typst.TypstError:
        pytest.skip("DejaVu Sans is not installed: the widths of texts were not compared with the font")
    width = float(found)
    if width == 0.0:
        pytest.skip("DejaVu Sans is not installed: the widths of texts were not compared with the font")
    assert width <= text_width_px(text, 100.0, bold=bold) <= 1.15 * width


def test_a_text_that_does_not_fit_ends_in_an_ellipsis():
    lines = wrap("one two three four five six seven", 40.0, 11.0, max_lines=2)
    assert len(lines) == 2
    assert lines[-1].endswith("…")
    assert text_width_px(lines[-1], 11.0) <= 40.0
