"""Where the texts of the limits stand above a plot, so that nothing runs through a text."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from umbo.chart._text import text_width_px, wrap

if TYPE_CHECKING:
    from umbo.chart._figure import Chart
    from umbo.chart._frame import Frame

__all__ = ["LIMIT_GAP_PX", "LimitLabel", "place_limits"]

LIMIT_GAP_PX = 5.0
_BETWEEN_PX = 14.0


@dataclass(frozen=True, slots=True)
class LimitLabel:
    """The text of a limit, whole and as shown, on which side of its line, and in which row, 0 at the top."""

    full_text: str
    text: str
    x_px: float
    span_px: tuple[float, float]
    anchor: str
    row: int


def place_limits(
    chart: Chart, frame: Frame, width_px: float, axis_label_px: float, size_px: float
) -> tuple[LimitLabel, ...]:
    """Place every limit of a chart whose cell starts at 0; the axis label starts the first row. [px]

    A line runs down from its text into the plot. Texts that end at their line are placed from the right, so
    that the line of a lower limit begins under the text of a higher one; texts that can only start at their
    line are placed first, from the left.
    """
    labels = _sided(chart, frame, width_px, size_px)
    from_left = sorted((i for i, label in enumerate(labels) if label.anchor == "start"), key=lambda i: labels[i].x_px)
    from_right = sorted((i for i, label in enumerate(labels) if label.anchor == "end"), key=lambda i: -labels[i].x_px)
    placed: dict[int, LimitLabel] = {}
    for i in (*from_left, *from_right):
        others = list(placed.values())
        lowest = 1 + max((other.row for other in others), default=0)
        row = next((r for r in range(lowest) if _is_free(labels[i], r, others, axis_label_px)), lowest)
        placed[i] = replace(labels[i], row=row)
    return tuple(placed[i] for i in range(len(labels)))


def _sided(chart: Chart, frame: Frame, width_px: float, size_px: float) -> list[LimitLabel]:
    """Choose the side of every text: left of its line, unless the line stands too far to the left for it.

    A text left of its line is cut where the line of a text right of its line runs down.
    """
    x_px = [float(frame.x_px(limit.frequency_hz)) for limit in chart.limits]
    room_px = [text_width_px(limit.label, size_px) + LIMIT_GAP_PX for limit in chart.limits]
    starts = [x < room and x < width_px / 2.0 for x, room in zip(x_px, room_px, strict=True)]
    labels = []
    for limit, x, is_start in zip(chart.limits, x_px, starts, strict=True):
        barrier = max((s for s, other in zip(x_px, starts, strict=True) if other and s < x), default=-LIMIT_GAP_PX)
        room = width_px - x - LIMIT_GAP_PX if is_start else x - barrier - 2.0 * LIMIT_GAP_PX
        text = wrap(limit.label, max(room, 0.0), size_px, max_lines=1)[0]
        reach = text_width_px(text, size_px) + LIMIT_GAP_PX
        span = (x, x + reach) if is_start else (x - reach, x)
        labels.append(LimitLabel(limit.label, text, x, span, "start" if is_start else "end", 0))
    return labels


def _is_free(label: LimitLabel, row: int, placed: list[LimitLabel], axis_label_px: float) -> bool:
    left, right = label.span_px
    if row == 0 and left < axis_label_px + _BETWEEN_PX:
        return False
    for other in placed:
        other_left, other_right = other.span_px
        overlaps = left < other_right + _BETWEEN_PX and other_left < right + _BETWEEN_PX
        crosses = other.row > row and other_left < label.x_px < other_right
        if (other.row == row and overlaps) or crosses:
            return False
    return True
