"""How much room each part of a chart takes, and where it goes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.chart._figure import Chart
from umbo.chart._frame import Frame
from umbo.chart._key import PlacedKey, flow, key_entries
from umbo.chart._language import Symbol
from umbo.chart._layers import Marks, Series
from umbo.chart._paint import layer_colour
from umbo.chart._placement import pack_rows, stack_column
from umbo.chart._text import text_width_px, wrap

__all__ = ["LINE_PX", "SMALL_LINE_PX", "SMALL_PX", "TEXT_PX", "TITLE_LINE_PX", "TITLE_PX", "EndLabel", "LimitLabel", "Parts", "measure"]

TEXT_PX, LINE_PX = 12.0, 16.0
SMALL_PX, SMALL_LINE_PX = 11.0, 15.0
TITLE_PX, TITLE_LINE_PX = 15.0, 20.0
_LEADER_PX = 16.0
_BELOW_AXIS_PX = 44.0
_KEY_ROW_PX = 18.0


@dataclass(frozen=True, slots=True)
class EndLabel:
    """The name of a curve, beside the plot."""

    text: str
    lines: tuple[str, ...]
    frequency_hz: float
    level_db: float
    colour: str
    symbol: Symbol | None

    @property
    def height_px(self) -> float:
        """Room in the column of labels. [px]"""
        return SMALL_LINE_PX * len(self.lines) + 2.0


@dataclass(frozen=True, slots=True)
class LimitLabel:
    """The text of a limit, above the plot."""

    lines: tuple[str, ...]
    anchor: str
    row: int


@dataclass(frozen=True, slots=True)
class Parts:
    """Everything of one chart that has a size."""

    chart: Chart
    width_px: float
    title: tuple[str, ...]
    subtitle: tuple[str, ...]
    labels: tuple[EndLabel, ...]
    left_px: float
    gutter_px: float
    limits: tuple[LimitLabel, ...]
    strip_rows: int
    key: tuple[PlacedKey, ...]
    key_rows: int
    notes: tuple[tuple[str, ...], ...]
    caption: tuple[str, ...]

    @property
    def header_px(self) -> float:
        """Height of title and subtitle. [px]"""
        return TITLE_LINE_PX * len(self.title) + LINE_PX * len(self.subtitle) + 8.0

    @property
    def strip_px(self) -> float:
        """Height of the strip above the plot that holds the axis label and the limits. [px]"""
        return LINE_PX * self.strip_rows + 6.0

    @property
    def plot_px(self) -> float:
        """Height of the plot: as asked, or what the column of labels needs. [px]"""
        return max(self.chart.height_px, sum(label.height_px for label in self.labels) + 4.0)

    @property
    def foot_px(self) -> float:
        """Height of everything below the plot. [px]"""
        text_lines = sum(len(lines) for lines in self.notes) + len(self.caption)
        return _BELOW_AXIS_PX + self.key_px + SMALL_LINE_PX * text_lines + (6.0 if text_lines else 0.0)

    @property
    def key_px(self) -> float:
        """Height of the key. [px]"""
        return _KEY_ROW_PX * self.key_rows

    @property
    def key_top_px(self) -> float:
        """Distance from the bottom of the plot to the key. [px]"""
        return _BELOW_AXIS_PX

    def frame(self, left_px: float, top_px: float) -> Frame:
        """The plot rectangle when the cell starts at left and the plot at top. [px]"""
        width = self.width_px - self.left_px - self.gutter_px
        return Frame(left_px + self.left_px, top_px, width, self.plot_px, self.chart.frequency, self.chart.level)

    def label_centres_px(self, frame: Frame) -> list[float]:
        """Vertical centre of every end label. [px]"""
        wanted = [float(frame.y_inside_px(label.level_db)) for label in self.labels]
        return stack_column(wanted, [label.height_px for label in self.labels], frame.top_px, frame.bottom_px)


def measure(chart: Chart, width_px: float) -> Parts:
    """Break all texts of a chart into lines for a cell of this width. [px]"""
    labels = _end_labels(chart, room_px=min(150.0, 0.3 * width_px))
    label_px = max((text_width_px(line, SMALL_PX) + 14.0 * (label.symbol is not None) for label in labels for line in label.lines), default=0.0)
    gutter = _LEADER_PX + label_px + 2.0 if labels else 8.0
    left = max(text_width_px(text, TEXT_PX) for _, text in chart.level.ticks()) + 12.0
    limits, strip_rows = _limit_labels(chart, width_px, left, gutter)
    key, key_rows = flow(key_entries(chart), width_px - 4.0, SMALL_PX)
    notes = tuple(wrap(f"{n}  {note.text}", width_px - 4.0, SMALL_PX) for n, note in enumerate(chart.notes, 1))
    return Parts(
        chart=chart,
        width_px=width_px,
        title=wrap(chart.title, width_px - 4.0, TITLE_PX, bold=True),
        subtitle=wrap(chart.subtitle, width_px - 4.0, TEXT_PX),
        labels=labels,
        left_px=left,
        gutter_px=gutter,
        limits=limits,
        strip_rows=strip_rows,
        key=key,
        key_rows=key_rows,
        notes=notes,
        caption=wrap(chart.caption, width_px - 4.0, SMALL_PX),
    )


def _end_labels(chart: Chart, room_px: float) -> tuple[EndLabel, ...]:
    labels = []
    for layer in (*chart.series, *chart.marks):
        if not layer.show_label:
            continue
        lines = wrap(layer.label, room_px - 14.0 * (layer.symbol is not None), SMALL_PX, max_lines=3)
        last = _last_shown(layer)
        labels.append(
            EndLabel(layer.label, lines, layer.frequency_hz[last], layer.level_db[last], layer_colour(layer), layer.symbol)
        )
    return tuple(labels)


def _last_shown(layer: Series | Marks) -> int:
    """Index of the last point; of marks, the last one with a response, if any."""
    if isinstance(layer, Marks) and not all(layer.no_response):
        return int(np.flatnonzero(~np.asarray(layer.no_response))[-1])
    return len(layer.frequency_hz) - 1


def _limit_labels(chart: Chart, width_px: float, left_px: float, gutter_px: float) -> tuple[tuple[LimitLabel, ...], int]:
    """Rows for the axis label and the limits: the axis label takes the start of the first row."""
    frame = Frame(left_px, 0.0, width_px - left_px - gutter_px, 1.0, chart.frequency, chart.level)
    axis_label = wrap(chart.level.label, width_px, TEXT_PX, max_lines=1)[0]
    spans = [(0.0, text_width_px(axis_label, TEXT_PX))]
    texts, anchors = [], []
    for limit in chart.limits:
        x_px = float(frame.x_px(limit.frequency_hz))
        lines = wrap(limit.label, width_px - 8.0, SMALL_PX, max_lines=1)
        width = text_width_px(lines[0], SMALL_PX)
        ends_at_line = x_px - width - 5.0 >= 0.0
        starts_at_line = x_px + width + 5.0 <= width_px
        anchor = "end" if ends_at_line else "start" if starts_at_line else "middle"
        texts.append(lines)
        anchors.append(anchor)
        middle = ((width_px - width) / 2.0, (width_px + width) / 2.0)
        spans.append({"end": (x_px - width - 5.0, x_px), "start": (x_px, x_px + width + 5.0), "middle": middle}[anchor])
    rows = pack_rows(spans, gap_px=14.0)
    labels = tuple(LimitLabel(t, a, r) for t, a, r in zip(texts, anchors, rows[1:], strict=True))
    return labels, max(rows) + 1
