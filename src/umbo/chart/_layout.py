"""How much room each part of a chart takes, and where it goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.chart._frame import Frame
from umbo.chart._key import PlacedKey, flow, key_entries
from umbo.chart._layers import Marks, Series
from umbo.chart._limits import LimitLabel, place_limits
from umbo.chart._placement import stack_column
from umbo.chart._text import text_width_px, wrap

if TYPE_CHECKING:
    from umbo.chart._figure import Chart

__all__ = [
    "KEY_ROW_PX", "LEADER_PX", "LINE_PX", "SMALL_LINE_PX", "SMALL_PX", "TEXT_PX", "TITLE_LINE_PX", "TITLE_PX",
    "EndLabel", "Parts", "measure",
]  # fmt: skip

TEXT_PX, LINE_PX = 12.0, 16.0
SMALL_PX, SMALL_LINE_PX = 11.0, 15.0
TITLE_PX, TITLE_LINE_PX = 14.0, 19.0
KEY_ROW_PX = 18.0
LEADER_PX = 12.0
_TICKS_PX, _AXIS_LABEL_PX = 26.0, 18.0
_LINE_SAMPLE_PX, _SYMBOL_SAMPLE_PX = 24.0, 16.0
_WIDEST_LABEL_PX = 160.0


@dataclass(frozen=True, slots=True)
class EndLabel:
    """The name of a curve, beside the plot, with a sample of its line or symbol."""

    layer: Series | Marks
    lines: tuple[str, ...]
    frequency_hz: float
    level_db: float

    @property
    def sample_px(self) -> float:
        """Room for the sample. [px]"""
        return _LINE_SAMPLE_PX if isinstance(self.layer, Series) else _SYMBOL_SAMPLE_PX

    @property
    def width_px(self) -> float:
        """Room for sample and text. [px]"""
        return self.sample_px + max(text_width_px(line, SMALL_PX) for line in self.lines)

    @property
    def height_px(self) -> float:
        """Room in the column of labels. [px]"""
        return SMALL_LINE_PX * len(self.lines) + 2.0


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
    key: tuple[PlacedKey, ...]
    key_rows: int
    remarks: tuple[str, ...]

    @property
    def header_px(self) -> float:
        """Height of title and subtitle. [px]"""
        return TITLE_LINE_PX * len(self.title) + LINE_PX * len(self.subtitle) + 6.0

    @property
    def strip_px(self) -> float:
        """Height of the strip above the plot that holds the axis label and the limits. [px]"""
        return LINE_PX * (1 + max((label.row for label in self.limits), default=0)) + 6.0

    @property
    def plot_px(self) -> float:
        """Height of the plot: as asked, or what the column of labels needs. [px]"""
        return max(self.chart.height_px, sum(label.height_px for label in self.labels) + 4.0)

    @property
    def key_top_px(self) -> float:
        """Distance from the bottom of the plot to the key. [px]"""
        return _TICKS_PX + (_AXIS_LABEL_PX if self.chart.frequency.label else 0.0)

    @property
    def key_px(self) -> float:
        """Height of the key. [px]"""
        return KEY_ROW_PX * self.key_rows

    @property
    def foot_px(self) -> float:
        """Height of everything below the plot. [px]"""
        return self.key_top_px + self.key_px + SMALL_LINE_PX * len(self.remarks) + (4.0 if self.remarks else 0.0)

    def frame(self, left_px: float, top_px: float) -> Frame:
        """Place the plot rectangle when the cell starts at left and the plot at top. [px]"""
        width = self.width_px - self.left_px - self.gutter_px
        return Frame(left_px + self.left_px, top_px, width, self.plot_px, self.chart.frequency, self.chart.level)

    def label_centres_px(self, frame: Frame) -> list[float]:
        """Vertical centre of every end label. [px]"""
        wanted = [float(frame.y_inside_px(label.level_db)) for label in self.labels]
        return stack_column(wanted, [label.height_px for label in self.labels], frame.top_px, frame.bottom_px)


def measure(chart: Chart, width_px: float, *, with_key: bool = True) -> Parts:
    """Break all texts of a chart into lines for a cell of this width. [px]"""
    labels = _end_labels(chart, room_px=min(_WIDEST_LABEL_PX, 0.3 * width_px))
    gutter = LEADER_PX + max(label.width_px for label in labels) + 2.0 if labels else 8.0
    left = max(text_width_px(text, TEXT_PX) for _, text in chart.level.ticks()) + 12.0
    frame = Frame(left, 0.0, width_px - left - gutter, 1.0, chart.frequency, chart.level)
    axis_label_px = text_width_px(chart.level.label, TEXT_PX)
    key, key_rows = flow(key_entries(chart), width_px, SMALL_PX) if with_key else ((), 0)
    remarks = [line for n, note in enumerate(chart.notes, 1) for line in wrap(f"{n}  {note.text}", width_px, SMALL_PX)]
    return Parts(
        chart=chart,
        width_px=width_px,
        title=wrap(chart.title, width_px, TITLE_PX, bold=True),
        subtitle=wrap(chart.subtitle, width_px, TEXT_PX),
        labels=labels,
        left_px=left,
        gutter_px=gutter,
        limits=place_limits(chart, frame, width_px, axis_label_px, SMALL_PX),
        key=key,
        key_rows=key_rows,
        remarks=(*remarks, *wrap(chart.caption, width_px, SMALL_PX)),
    )


def _end_labels(chart: Chart, room_px: float) -> tuple[EndLabel, ...]:
    labels = []
    for layer in chart.points:
        if layer.show_label:
            last = _last_shown(layer)
            sample_px = _LINE_SAMPLE_PX if isinstance(layer, Series) else _SYMBOL_SAMPLE_PX
            lines = wrap(layer.label, room_px - sample_px, SMALL_PX, max_lines=3)
            labels.append(EndLabel(layer, lines, layer.frequency_hz[last], layer.level_db[last]))
    return tuple(labels)


def _last_shown(layer: Series | Marks) -> int:
    """Index of the last point; of marks, the last one with a response, if any."""
    if isinstance(layer, Marks) and not all(layer.no_response):
        return int(np.flatnonzero(~np.asarray(layer.no_response))[-1])
    return len(layer.frequency_hz) - 1
