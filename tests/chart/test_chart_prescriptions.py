"""Prescriptions side by side: what the charts must show."""

import numpy as np
import pytest
from chart_reading import SVG, drawn_runs, frame_of, parse, text_boxes

from umbo.chart import (
    Figure,
    Line,
    Prescribed,
    PrescribedKind,
    Symbol,
    Thresholds,
    Trace,
    prescription_chart,
    prescription_differences,
    render_svg,
)
from umbo.errors import InputError

HZ = [500.0, 1000.0, 2000.0, 4000.0]
KINDS = {
    "first": PrescribedKind.GAIN,
    "second": PrescribedKind.GAIN,
    "third": PrescribedKind.GAIN_BY_INPUT,
    "fourth": PrescribedKind.LEVEL_BY_INPUT,
    "ours": PrescribedKind.IMPORTED,
}


def method(name, level, *, place=0, off=(), state="ok", kind=None):
    stretches = [Trace(name, [hz for hz, _ in run], [db for _, db in run]) for run in off]
    return Prescribed(kind or KINDS[name], place, Trace(name, HZ, level, state=state), stretches)


def everything():
    levels = {name: [60.0 + 4 * n, 65.0 + 3 * n, 72.0 + 2 * n, 75.0 - n] for n, name in enumerate(KINDS)}
    return [method(name, level, place=n) for n, (name, level) in enumerate(levels.items())]


def chart(prescribed, **changes):
    return prescription_chart("p", "right", prescribed, **({"input_level_db": 65.0} | changes))


def test_every_kind_has_a_line_of_its_own_and_every_method_a_symbol():
    found = chart(everything(), median=Trace("median", HZ, [66, 70, 76, 74]))
    lines = {one.label: one.quantity.line for one in found.series}
    assert lines["first"] is lines["second"]
    assert len({lines[name] for name in ("first", "third", "fourth", "ours", "median")}) == 5
    assert lines["ours"] is Line.DASHED  # an imported target looks like a target anywhere
    assert Line.SOLID not in lines.values()  # solid is what was measured
    symbols = [one.symbol for one in found.series if one.label not in ("ours", "median")]
    assert len(set(symbols)) == 4
    assert not {Symbol.RIGHT, Symbol.LEFT, Symbol.RING, Symbol.CEILING} & set(symbols)
    assert {one.input_level_db for one in found.series} == {65.0, None}
    assert "first: 60 to 75 dB SPL." in found.alt
    parse(render_svg(found))


def test_equal_methods_are_one_curve_with_both_names():
    same = [60.0, 65.0, 70.0, 75.0]
    two = [method("first", same), method("second", [db + 0.04 for db in same], place=1)]
    assert [one.label for one in chart(two).series] == ["first, second"]
    apart = [method("first", same), method("second", [*same[:3], 75.06], place=1)]
    assert [one.label for one in chart(apart).series] == ["first", "second"]
    withdrawn = [method("first", same), method("second", same, place=1, state=["ok"] * 3 + ["withdrawn"])]
    assert len(chart(withdrawn).series) == 2
    other_kind = [method("first", same), method("second", same, place=1, kind=PrescribedKind.GAIN_BY_INPUT)]
    assert len(chart(other_kind).series) == 2


def test_a_method_keeps_its_symbol_whichever_others_are_there():
    full = {one.label: one.symbol for one in chart(everything()).series}
    fewer = {one.label: one.symbol for one in chart(everything()[2:]).series}
    assert fewer.items() <= full.items()


def test_levels_stand_where_they_were_wanted_and_untrusted_points_are_shown():
    state = ["ok", "ok", "interpolated", "withdrawn"]
    found = chart([method("first", [60, 65, 70, 75], state=state)])
    root = parse(render_svg(found))
    frame = frame_of(root, "p")
    runs = dict(drawn_runs(root, "p-s0"))
    assert set(runs) == {"full", "caution", "none"}
    np.testing.assert_allclose(frame.level_at(runs["none"][:, 1]), [70, 75], atol=0.05)
    np.testing.assert_allclose(frame.frequency_at(runs["none"][:, 0]), [2000, 4000], rtol=1e-3)


def test_the_room_between_threshold_and_discomfort():
    heard = Thresholds(HZ, [40.0, 45.0, 60.0, 110.0], (False, False, False, True))
    found = chart(everything(), thresholds=heard, discomfort=Thresholds(HZ[:2], [105.0, 107.0]))
    floor, ceiling = found.bands
    assert (floor.lower_db, floor.upper_db) == (None, (40.0, 45.0, 60.0, 110.0))
    assert (ceiling.lower_db, ceiling.upper_db) == ((105.0, 107.0), None)
    assert found.marks[0].no_response == (False, False, False, True)
    assert found.level.low_db <= 37.0
    assert found.level.high_db >= 113.0
    left = prescription_chart("p", "left", everything(), input_level_db=65.0, thresholds=heard)
    assert left.marks[0].symbol is Symbol.LEFT
    assert chart(everything()).bands == ()


def test_the_axis_opens_for_points_beyond_it():
    assert (chart(everything()).frequency.low_hz, chart(everything()).frequency.high_hz) == (250.0, 8000.0)
    wide = Prescribed(PrescribedKind.IMPORTED, 0, Trace("ours", [125.0, 10000.0], [60, 70]))
    assert (chart([wide]).frequency.low_hz, chart([wide]).frequency.high_hz) == (125.0, 10000.0)


def test_differences_have_no_line_where_there_is_none():
    runs = [[(500.0, 2.0), (1000.0, 1.0)], [(4000.0, -3.0)]]
    found = prescription_differences("d", [method("first", [60] * 4, off=runs)], input_level_db=65.0)
    assert [one.frequency_hz for one in found.series] == [(500.0, 1000.0), (4000.0,)]
    assert [one.show_label for one in found.series] == [False, True]
    assert found.series[0].symbol is found.series[1].symbol
    assert found.reference_db == 0.0
    assert found.level.low_db <= -3.0
    assert found.level.high_db >= 2.0
    assert "first: −3.0 to +2.0 dB." in found.alt
    root = parse(render_svg(found))
    assert len(drawn_runs(root, "d-s0")) == 1


def test_no_difference_is_no_chart_and_no_method_is_refused():
    assert prescription_differences("d", everything(), input_level_db=65.0) is None
    with pytest.raises(InputError, match="at least one"):
        chart([])


def test_nine_methods_have_nine_shapes():
    shapes = set()
    for n in range(9):
        root = parse(render_svg(chart([method("first", [60, 61, 62, 63], place=n)])))
        drawn = [e.get("points") for e in root.iter(f"{SVG}polygon")]
        assert bool(drawn) == (n > 0)  # the first one is a dot
        points = [[float(v) for v in pair.split(",")] for pair in drawn[0].split()] if drawn else [[0, 0]]
        shapes.add(tuple(np.round(np.subtract(points, points[0]), 1).ravel()))
    assert len(shapes) == 9


def test_texts_do_not_collide():
    found = chart(
        everything(), median=Trace("median", HZ, [66, 70, 76, 74]), thresholds=Thresholds(HZ, [40, 45, 60, 70])
    )
    figure = Figure("f", ((found,),), title="Prescriptions", alt="words")
    boxes = text_boxes(parse(render_svg(figure)))
    clashes = [(a.text, b.text) for i, a in enumerate(boxes) for b in boxes[i + 1 :] if a.overlaps(b)]
    assert clashes == []
