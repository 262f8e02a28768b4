"""Drawing one chart into its cell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from umbo.chart._draw_axes import draw_axes, draw_grid, draw_limits
from umbo.chart._draw_curves import draw_band, draw_curve, draw_ribbon, draw_visible_points
from umbo.chart._draw_key import draw_key
from umbo.chart._draw_points import draw_marks, draw_off_scale, draw_readouts
from umbo.chart._language import FRAME, INK, MUTED, PAPER
from umbo.chart._layers import Series
from umbo.chart._layout import (
    LEADER_PX,
    LINE_PX,
    SMALL_LINE_PX,
    SMALL_PX,
    TEXT_PX,
    TITLE_LINE_PX,
    TITLE_PX,
    EndLabel,
    Parts,
)  # fmt: skip
from umbo.chart._paint import layer_colour
from umbo.chart._svg import node, path_data, pixels
from umbo.chart._symbols import draw_symbol

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET

    from umbo.chart._frame import Frame

__all__ = ["Options", "draw_chart", "draw_lines"]

_NOTE_PX = 18.0


@dataclass(frozen=True, slots=True)
class Options:
    """What is the same for all charts of one drawing."""

    hatch: str
    interactive: bool
    every_point_is_a_stop: bool


def draw_chart(
    parent: ET.Element,
    parts: Parts,
    left_px: float,
    top_px: float,
    header_px: float,
    strip_px: float,
    options: Options,
) -> Frame:
    """Draw one chart whose cell starts at left and top; header and strip are no less than its own. [px]"""
    chart = parts.chart
    frame = parts.frame(left_px, top_px + header_px + strip_px)
    draw_lines(parent, parts.title, left_px, top_px + TITLE_PX, TITLE_PX, TITLE_LINE_PX, INK, bold=True)
    below_title_px = top_px + TITLE_LINE_PX * len(parts.title) + TEXT_PX
    draw_lines(parent, parts.subtitle, left_px, below_title_px, TEXT_PX, LINE_PX, MUTED)
    _draw_plot(parent, frame, parts, options)
    draw_axes(parent, frame, parts, left_px)
    draw_limits(parent, frame, parts, left_px, options.hatch)
    _draw_marks(parent, frame, parts, options)
    _draw_end_labels(parent, frame, parts)
    _draw_notes(parent, frame, parts)
    if options.interactive:
        for layer in chart.points:
            draw_readouts(parent, frame, layer, every_point_is_a_stop=options.every_point_is_a_stop)
    key_top_px = frame.bottom_px + parts.key_top_px
    draw_key(parent, parts.key, left_px, key_top_px, options.hatch)
    text_top_px = key_top_px + parts.key_px + 14.0
    draw_lines(parent, parts.remarks, left_px, text_top_px, SMALL_PX, SMALL_LINE_PX, MUTED)
    return frame


def draw_lines(
    parent: ET.Element,
    lines: tuple[str, ...],
    x_px: float,
    y_px: float,
    size_px: float,
    line_px: float,
    fill: str,
    *,
    bold: bool = False,
) -> None:
    """Draw lines of text, the first with its baseline at y. [px]"""
    for n, line in enumerate(lines):
        weight = "bold" if bold else None
        node(
            parent,
            "text",
            line,
            x=x_px,
            y=y_px + line_px * n,
            font_size=size_px,
            font_weight=weight,
            fill=fill,
        )


def _draw_plot(parent: ET.Element, frame: Frame, parts: Parts, options: Options) -> None:
    chart = parts.chart
    clip = f"{chart.id}-clip"
    defs = node(parent, "clipPath", id=clip)
    node(defs, "rect", x=frame.left_px, y=frame.top_px, width=frame.width_px, height=frame.height_px)
    plot = node(
        parent, "g", id=f"{chart.id}-plot", clip_path=f"url(#{clip})", aria_hidden="true", **_axis_data(frame)
    )  # fmt: skip
    for band in chart.bands:
        draw_band(plot, frame, band, options.hatch)
    draw_grid(plot, frame, chart.reference_db)
    for series in chart.series:
        draw_ribbon(plot, frame, series, chart.coverage_k, options.hatch)
    for n, series in enumerate(chart.series):
        group = node(plot, "g", id=f"{chart.id}-s{n}", data_label=series.label)
        draw_curve(group, frame, series, group.attrib["id"])
        draw_off_scale(group, frame, series)
    for series in chart.series:
        draw_visible_points(node(plot, "g"), frame, series)


def _draw_marks(parent: ET.Element, frame: Frame, parts: Parts, options: Options) -> None:
    """Marks stand above everything in the plot, limits too: an arrow on the line of a limit can still be seen."""
    top = node(parent, "g", aria_hidden="true")
    for n, marks in enumerate(parts.chart.marks):
        group = node(top, "g", id=f"{parts.chart.id}-m{n}", data_label=marks.label)
        draw_marks(group, frame, marks, parts.chart.coverage_k, options.hatch)
        draw_off_scale(group, frame, marks)


def _axis_data(frame: Frame) -> dict[str, str]:
    """State the axes as attributes, so that a page can turn a pointer position into numbers."""
    values = {
        "data_left": frame.left_px, "data_top": frame.top_px,
        "data_width": frame.width_px, "data_height": frame.height_px,
        **{f"data_{name}": value for name, value in frame.frequency.edges().items()},
        "data_low_db": frame.level.low_db, "data_high_db": frame.level.high_db,
    }  # fmt: skip
    return {key: f"{value:.6g}" for key, value in values.items()} | {"data_inverted": str(frame.level.inverted).lower()}


def _draw_end_labels(parent: ET.Element, frame: Frame, parts: Parts) -> None:
    group = node(parent, "g", font_size=SMALL_PX, data_part="labels", aria_hidden="true")
    for label, centre_px in zip(parts.labels, parts.label_centres_px(frame), strict=True):
        end_x, end_y = float(frame.x_px(label.frequency_hz)), float(frame.y_inside_px(label.level_db))
        bend_px = frame.right_px + 2.0
        start_px = min(end_x + 6.0, bend_px)
        sample_px = frame.right_px + LEADER_PX
        leader = path_data([start_px, bend_px, sample_px - 2.0], [end_y, end_y, centre_px])
        node(group, "path", d=leader, fill="none", stroke=FRAME, stroke_width=0.8, stroke_dasharray="1.5 2.5")
        _draw_sample(group, label, sample_px, centre_px)
        first_px = centre_px - SMALL_LINE_PX * (len(label.lines) - 1) / 2.0
        draw_lines(group, label.lines, sample_px + label.sample_px, first_px + 4.0, SMALL_PX, SMALL_LINE_PX, INK)


def _draw_sample(parent: ET.Element, label: EndLabel, x_px: float, y_px: float) -> None:
    """Draw a short piece of the curve, or its symbol, so that the text beside it can be dark and legible."""
    layer, room_px = label.layer, label.sample_px - 5.0
    colour = layer_colour(layer)
    if isinstance(layer, Series):
        line, width_px = f"M{pixels(x_px + 1)},{pixels(y_px)}h{pixels(room_px - 2)}", layer.quantity.width_px
        dash = layer.quantity.line.dash
        node(
            parent,
            "path",
            d=line,
            fill="none",
            stroke=colour,
            stroke_width=width_px,
            stroke_dasharray=dash,
            stroke_linecap="round",
        )
    if layer.symbol is not None:
        draw_symbol(parent, layer.symbol, x_px + room_px / 2.0, y_px, colour, size_px=3.9)


def _draw_notes(parent: ET.Element, frame: Frame, parts: Parts) -> None:
    """Draw the numbers of the notes; one that would cover another moves aside."""
    taken: list[tuple[float, float]] = []
    for n, note in enumerate(parts.chart.notes, 1):
        if note.frequency_hz is None or note.level_db is None:
            continue
        x_px, y_px = float(frame.x_px(note.frequency_hz)), float(frame.y_inside_px(note.level_db))
        while any(abs(x_px - x) < _NOTE_PX and abs(y_px - y) < _NOTE_PX for x, y in taken):
            x_px += _NOTE_PX
        taken.append((x_px, y_px))
        node(parent, "circle", cx=x_px, cy=y_px, r=7.5, fill=PAPER, stroke=INK, stroke_width=1)
        node(parent, "text", f"{n}", x=x_px, y=y_px + 3.8, font_size=10.5, text_anchor="middle", fill=INK)
