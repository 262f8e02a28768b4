"""Drawing the grid, the frame, the ticks and the limits of one plot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.chart._language import FRAME, GRID, INK, MUTED
from umbo.chart._layout import LINE_PX, SMALL_PX, TEXT_PX, Parts
from umbo.chart._limits import LIMIT_GAP_PX
from umbo.chart._svg import node

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET

    from umbo.chart._frame import Frame

__all__ = ["draw_axes", "draw_grid", "draw_limits"]

_ROOM_FOR_LEVEL_TICK_PX = 22.0


def draw_grid(parent: ET.Element, frame: Frame, reference_db: float | None) -> None:
    """Light lines at every tick, and a firmer one at the reference level."""
    group = node(parent, "g", stroke=GRID, stroke_width=1, fill="none")
    for hz, text in frame.frequency.ticks():
        if text:
            node(group, "path", d=_line(frame, x_px=float(frame.x_px(hz))))
    for db, _ in frame.level.ticks(_step_db(frame)):
        node(group, "path", d=_line(frame, y_px=float(frame.y_px(db))))
    if reference_db is not None and frame.level.low_db <= reference_db <= frame.level.high_db:
        node(group, "path", d=_line(frame, y_px=float(frame.y_px(reference_db))), stroke=FRAME)


def draw_axes(parent: ET.Element, frame: Frame, parts: Parts, left_px: float) -> None:
    """Draw frame, ticks and axis labels; the level label stands above the axis, not turned."""
    group = node(parent, "g", aria_hidden="true", font_size=TEXT_PX, fill=MUTED)
    node(
        group,
        "rect",
        x=frame.left_px,
        y=frame.top_px,
        width=frame.width_px,
        height=frame.height_px,
        fill="none",
        stroke=FRAME,
    )
    for hz, text in frame.frequency.ticks():
        x_px = float(frame.x_px(hz))
        node(group, "path", d=f"M{x_px:.2f},{frame.bottom_px:.2f}v{5 if text else 3}", stroke=FRAME)
        if text:
            node(group, "text", text, x=x_px, y=frame.bottom_px + 18.0, text_anchor="middle")
    for db, text in frame.level.ticks(_step_db(frame)):
        node(group, "text", text, x=frame.left_px - 7.0, y=float(frame.y_px(db)) + 4.2, text_anchor="end")
    if frame.frequency.label:
        middle_px = frame.left_px + frame.width_px / 2.0
        node(group, "text", frame.frequency.label, x=middle_px, y=frame.bottom_px + 35.0, text_anchor="middle")
    first_row_px = frame.top_px - parts.strip_px + 12.0
    node(group, "text", frame.level.label, x=left_px, y=first_row_px, fill=INK)


def draw_limits(parent: ET.Element, frame: Frame, parts: Parts, left_px: float, hatch: str) -> None:
    """Vertical lines with their texts above the plot, and hatching above the highest hatched limit."""
    group = node(parent, "g", font_size=SMALL_PX, fill=INK, data_part="limits")
    hatched = [limit.frequency_hz for limit in parts.chart.limits if limit.hatched]
    start_px = max(float(frame.x_px(max(hatched))), frame.left_px) if hatched else frame.right_px
    if start_px < frame.right_px:
        width_px = frame.right_px - start_px
        node(
            group,
            "rect",
            x=start_px,
            y=frame.top_px,
            width=width_px,
            height=frame.height_px,
            fill=hatch,
            data_region="untrusted",
        )
    for label in parts.limits:
        x_px = left_px + label.x_px
        y_px = frame.top_px - parts.strip_px + 12.0 + LINE_PX * label.row
        flag = node(group, "g")
        node(flag, "title", label.full_text)
        line = f"M{x_px:.2f},{y_px - 9.0:.2f}V{frame.bottom_px:.2f}"
        node(flag, "path", d=line, stroke=INK, stroke_width=1.3)
        gap_px = -LIMIT_GAP_PX if label.anchor == "end" else LIMIT_GAP_PX
        node(flag, "text", label.text, x=x_px + gap_px, y=y_px, text_anchor=label.anchor)


def _step_db(frame: Frame) -> float:
    """Double the step of the axis until the texts have room. [dB]"""
    step = frame.level.step_db
    span = frame.level.high_db - frame.level.low_db
    while frame.height_px * step / span < _ROOM_FOR_LEVEL_TICK_PX and step < span:
        step *= 2.0
    return step


def _line(frame: Frame, *, x_px: float | None = None, y_px: float | None = None) -> str:
    if x_px is not None:
        return f"M{x_px:.2f},{frame.top_px:.2f}V{frame.bottom_px:.2f}"
    return f"M{frame.left_px:.2f},{y_px:.2f}H{frame.right_px:.2f}"
