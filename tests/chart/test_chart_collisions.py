"""No text runs into another, nor out of the drawing."""

import itertools

import numpy as np
import pytest
from chart_reading import SVG, curve, find, parse, small_chart, text_boxes

from umbo.chart import Band, Figure, Limit, Marks, Note, Quantity, Symbol, Tone, render_svg


def crowded(identity="c", **changes):
    """Twelve curves that end at one level, with long names, four limits and every kind of key entry."""
    names = [
        "maximum output",
        "target 75 dB",
        "speech 65 dB, measured with a very long name that must be broken",
        "n",
    ]
    series = [
        curve(
            30,
            label=f"{names[n % 4]} {n}",
            level_db=np.linspace(20 + n, 70.0, 30),
            u_db=1.0,
            state="noisy",
            input_level_db=50 + 4 * n,
            quantity=Quantity(f"quantity {n % 5}"),
        )
        for n in range(12)
    ]
    limits = [
        Limit(hz, f"curve {n} trusted to {hz:g} Hz (noise)") for n, hz in enumerate((130, 6000, 6300, 7100, 15000))
    ]
    marks = [Marks(f"mark {n}", Symbol.RIGHT, [500, 8000], [30, 70], 1.0, no_response=(True, False)) for n in range(3)]
    notes = [Note(f"remark {n} " * 12, 1000, 40) for n in range(4)]
    return small_chart(
        series,
        id=identity,
        title="A long title " * 8,
        subtitle="and a subtitle " * 12,
        caption="and a caption " * 20,
        limits=tuple(limits),
        marks=tuple(marks),
        notes=tuple(notes),
        bands=(Band("a band", [500, 900], 1, 2, Tone.HUE),),
        **changes,
    )


SCENES = {
    "crowded": (crowded(), 720.0),
    "narrow": (crowded(), 400.0),
    "two columns": (
        Figure(
            "f",
            ((crowded("a"), crowded("b")), (crowded("d", height_px=60.0),)),
            "Title " * 30,
            "w",
            "s " * 99,
            "c " * 99,
        ),
        720.0,
    ),
}

# A long text is kept out of the first row by the axis label; a short one under it must not go there alone.
SCENES["short under long"] = (
    small_chart(limits=(Limit(9000.0, "a limit with so long a reason " * 3), Limit(4000.0, "short"))),
    720.0,
)


@pytest.mark.parametrize("scene", SCENES)
def test_no_two_texts_overlap_and_none_leaves_the_drawing(scene):
    spec, width = SCENES[scene]
    root = parse(render_svg(spec, width_px=width))
    boxes = text_boxes(root)
    assert len(boxes) > 15
    assert [(a.text, b.text) for a, b in itertools.combinations(boxes, 2) if a.overlaps(b)] == []
    height = float(root.get("height"))
    outside = [b.text for b in boxes if b.left < -0.5 or b.right > width + 0.5 or b.top < 0 or b.bottom > height]
    assert outside == []


@pytest.mark.parametrize("scene", SCENES)
def test_no_limit_line_runs_through_the_text_of_another_limit(scene):
    spec, width = SCENES[scene]
    root = parse(render_svg(spec, width_px=width))
    parts = [e for e in root.iter() if e.get("data-part") == "limits"]
    assert parts
    for part in parts:
        boxes = text_boxes(part)
        for line in part.iter(f"{SVG}path"):
            x, rest = line.get("d")[1:].split(",")
            top = float(rest.split("V")[0])
            crossed = [b.text for b in boxes if b.left < float(x) < b.right and b.bottom > top]
            assert crossed == []


def test_every_curve_keeps_its_label_even_when_the_plot_must_grow():
    root = parse(render_svg(crowded(height_px=60.0)))
    labels = next(e for e in root.iter() if e.get("data-part") == "labels")
    words = " ".join(t.text for t in labels.iter(f"{SVG}text"))
    assert all(f" {n}" in words for n in (0, 1, 3, 4, 5, 7, 8, 9, 11))
    assert float(find(root, "c-plot").get("data-height")) > 60.0
