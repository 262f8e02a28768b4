"""Drawing one chart into its cell."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import dataclass

from umbo.chart._draw_axes import draw_axes, draw_grid, draw_limits
from umbo.chart._draw_curves import draw_band, draw_curve, draw_ribbon, draw_visible_points
from umbo.chart._draw_key import draw_key
from umbo.chart._draw_points import draw_marks, draw_off_scale, draw_readouts
from umbo.chart._frame import Frame
from umbo.chart._language import FRAME, INK, MUTED, PAPER
from umbo.chart._layout import LINE_PX, SMALL_LINE_PX, SMALL_PX, TEXT_PX, TITLE_LINE_PX, TITLE_PX, Parts
from umbo.chart._svg import node, path_data
from umbo.chart._symbols import draw_symbol

__all__ = ["Options", "draw_chart"]


@dataclass(frozen=True, slots=True)
class Options:
    """What is the same for all charts of one drawing."""

    hatch: str
    interactive: bool
    every_point_is_a_stop: bool


def draw_chart(
    parent: ET.Element, parts: Parts, left_px: float, top_px: float, header_px: float, strip_px: float, options: Options
) -> Frame:
    """Draw one chart whose cell starts at left and top; header and strip are at least the chart's own. [px]"""
    chart = parts.chart
    frame = parts.frame(left_px, top_px + header_px + strip_px)
    draw_lines(parent, parts.title, left_px, top_px + TITLE_PX, TITLE_PX, TITLE_LINE_PX, INK, bold=True)
    below_title_px = top_px + TITLE_LINE_PX * len(parts.title) + TEXT_PX
    draw_lines(parent, parts.subtitle, left_px, below_title_px, TEXT_PX, LINE_PX, MUTED)
    _draw_plot(parent, frame, parts, options)
    draw_axes(parent, frame, parts, left_px)
    draw_limits(parent, frame, parts, options.hatch)
    _draw_end_labels(parent, frame, parts)
    _draw_notes(parent, frame, parts)
    if options.interactive:
        for layer in (*chart.series, *chart.marks):
            draw_readouts(parent, frame, layer, every_point_is_a_stop=options.every_point_is_a_stop)
    key_top_px = frame.bottom_px + parts.key_top_px
    draw_key(parent, parts.key, left_px, key_top_px, options.hatch)
    text_top_px = key_top_px + parts.key_px + 14.0
    remarks = tuple(line for lines in parts.notes for line in lines)
    draw_lines(parent, (*remarks, *parts.caption), left_px, text_top_px, SMALL_PX, SMALL_LINE_PX, MUTED)
    return frame


def draw_lines(
    parent: ET.Element, lines: tuple[str, ...], x_px: float, y_px: float, size_px: float, line_px: float, fill: str, *, bold: bool = False
) -> None:
    """Draw lines of text, the first with its baseline at y. [px]"""
    for n, line in enumerate(lines):
        weight = "bold" if bold else None
        node(parent, "text", line, x=x_px, y=y_px + line_px * n, font_size=size_px, font_weight=weight, fill=fill)


def _draw_plot(parent: ET.Element, frame: Frame, parts: Parts, options: Options) -> None:
    chart = parts.chart
    clip = f"{chart.id}-clip"
    defs = node(parent, "clipPath", id=clip)
    node(defs, "rect", x=frame.left_px, y=frame.top_px, width=frame.width_px, height=frame.height_px)
    plot = node(
        parent, "g", id=f"{chart.id}-plot", clip_path=f"url(#{clip})", aria_hidden="true", **_axis_data(frame),
    )  # fmt: skip
    for band in chart.bands:
        draw_band(plot, frame, band)
    draw_grid(plot, frame, chart.reference_db)
    groups = [node(plot, "g", id=f"{chart.id}-s{n}", data_label=s.label) for n, s in enumerate(chart.series)]
    for group, series in zip(groups, chart.series, strict=True):
        draw_ribbon(group, frame, series, chart.coverage_k, options.hatch)
    for group, series in zip(groups, chart.series, strict=True):
        draw_curve(group, frame, series, group.attrib["id"])
        draw_off_scale(group, frame, series)
    top = node(parent, "g", aria_hidden="true")
    for series in chart.series:
        draw_visible_points(node(plot, "g"), frame, series)
    for n, marks in enumerate(chart.marks):
        group = node(top, "g", id=f"{chart.id}-m{n}", data_label=marks.label)
        draw_marks(group, frame, marks, chart.coverage_k)
        draw_off_scale(group, frame, marks)


def _axis_data(frame: Frame) -> dict[str, str]:
    """The axes as attributes, so that a page can turn a pointer position into numbers without a second source of truth."""
    margin = 2.0**frame.frequency.margin_octaves
    values = {
        "data_left": frame.left_px, "data_top": frame.top_px, "data_width": frame.width_px, "data_height": frame.height_px,
        "data_low_hz": frame.frequency.low_hz / margin, "data_high_hz": frame.frequency.high_hz * margin,
        "data_low_db": frame.level.low_db, "data_high_db": frame.level.high_db,
    }  # fmt: skip
    return {key: f"{value:.6g}" for key, value in values.items()} | {"data_inverted": str(frame.level.inverted).lower()}


def _draw_end_labels(parent: ET.Element, frame: Frame, parts: Parts) -> None:
    group = node(parent, "g", font_size=SMALL_PX, data_part="labels")
    for label, centre_px in zip(parts.labels, parts.label_centres_px(frame), strict=True):
        end_x, end_y = float(frame.x_px(label.frequency_hz)), float(frame.y_inside_px(label.level_db))
        leader = path_data([end_x + 5.0, frame.right_px + 3.0, frame.right_px + 11.0], [end_y, end_y, centre_px])
        node(group, "path", d=leader, fill="none", stroke=FRAME, stroke_width=0.8, stroke_dasharray="1.5 2.5")
        x_px = frame.right_px + 15.0
        first_px = centre_px - SMALL_LINE_PX * (len(label.lines) - 1) / 2.0
        if label.symbol is not None:
            draw_symbol(group, label.symbol, x_px + 4.5, first_px, label.colour, size_px=3.8)
            x_px += 14.0
        draw_lines(group, label.lines, x_px, first_px + 4.0, SMALL_PX, SMALL_LINE_PX, label.colour)


def _draw_notes(parent: ET.Element, frame: Frame, parts: Parts) -> None:
    for n, note in enumerate(parts.chart.notes, 1):
        if note.frequency_hz is None or note.level_db is None:
            continue
        x_px, y_px = float(frame.x_px(note.frequency_hz)), float(frame.y_inside_px(note.level_db))
        node(parent, "circle", cx=x_px, cy=y_px, r=7.5, fill=PAPER, stroke=INK, stroke_width=1)
        node(parent, "text", f"{n}", x=x_px, y=y_px + 3.8, font_size=10.5, text_anchor="middle", fill=INK)
