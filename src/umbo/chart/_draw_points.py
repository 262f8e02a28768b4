"""Drawing marks, and the elements by which every single point can be focused and read out."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from umbo.chart._language import UNTRUSTED, Trust
from umbo.chart._layers import Marks, Series
from umbo.chart._paint import layer_colour
from umbo.chart._svg import node, path_data, pixels
from umbo.chart._symbols import draw_arrow, draw_symbol

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET

    from umbo.chart._frame import FloatArray, Frame

__all__ = ["draw_marks", "draw_off_scale", "draw_readouts", "point_text"]

_HIT_PX = 5.0
_HALO_PX = 9.0


def draw_marks(parent: ET.Element, frame: Frame, marks: Marks, coverage_k: float, hatch: str) -> None:
    """Draw joining lines, uncertainty bars, symbols, and an arrow where there was no response."""
    x_px, y_px = frame.x_px(marks.frequency_hz), frame.y_inside_px(marks.level_db)
    colour = layer_colour(marks)
    _draw_joins(parent, marks, x_px, y_px, colour)
    for i, (x, y) in enumerate(zip(x_px.tolist(), y_px.tolist(), strict=True)):
        if marks.no_response[i]:
            draw_arrow(parent, x, y, colour, up=not frame.level.inverted)
            continue
        if not frame.level.low_db <= marks.level_db[i] <= frame.level.high_db:
            continue
        spread = 0.0 if marks.u_db is None else coverage_k * marks.u_db[i]
        ends = frame.y_inside_px([marks.level_db[i] + spread, marks.level_db[i] - spread]).tolist()
        if marks.trust[i] is Trust.NONE:
            _draw_halo(parent, frame, x, min(ends), max(ends), hatch)
        if spread > 0.0:
            caps = "".join(f"M{pixels(x - 3.5)},{pixels(end)}h7" for end in ends)
            bar = f"M{pixels(x)},{pixels(ends[0])}V{pixels(ends[1])}{caps}"
            stroke = UNTRUSTED if marks.trust[i] is Trust.NONE else colour
            node(parent, "path", d=bar, fill="none", stroke=stroke, stroke_width=1.3, data_bar="true")
        draw_symbol(parent, marks.symbol, x, y, colour, trust=marks.trust[i])


def _draw_joins(parent: ET.Element, marks: Marks, x_px: FloatArray, y_px: FloatArray, colour: str) -> None:
    """Join neighbours that both have a response."""
    if marks.joined is None:
        return
    for pair in pairwise(range(x_px.size)):
        if not any(marks.no_response[i] for i in pair):
            line = path_data(x_px[list(pair)], y_px[list(pair)])
            dash = marks.joined.dash
            node(parent, "path", d=line, fill="none", stroke=colour, stroke_width=1.4, stroke_dasharray=dash)


def _draw_halo(parent: ET.Element, frame: Frame, x_px: float, high_px: float, low_px: float, hatch: str) -> None:
    """Hatch about a mark that is not trusted, inside the plot."""
    top_px, bottom_px = max(high_px - _HALO_PX, frame.top_px), min(low_px + _HALO_PX, frame.bottom_px)
    size = {"x": x_px - _HALO_PX, "y": top_px, "width": 2.0 * _HALO_PX, "height": bottom_px - top_px}
    node(parent, "rect", fill=hatch, data_tube="none", **size)


def draw_off_scale(parent: ET.Element, frame: Frame, layer: Series | Marks) -> None:
    """Draw a triangle at the edge for every mark, and every run of a curve, beyond the axis: none is lost."""
    y_px = frame.y_px(layer.level_db)
    side = np.where(y_px < frame.top_px - 0.01, -1, np.where(y_px > frame.bottom_px + 0.01, 1, 0))
    is_cut = np.full(side.size - 1, fill_value=True) if isinstance(layer, Marks) else np.diff(side) != 0
    cuts = np.flatnonzero(is_cut) + 1
    for run in np.split(np.arange(side.size), cuts):
        way = int(side[run[0]])
        if way == 0:
            continue
        x = float(np.mean(frame.x_px(np.asarray(layer.frequency_hz)[run])))
        edge = frame.top_px + 1.0 if way < 0 else frame.bottom_px - 1.0
        triangle = f"M{pixels(x)},{pixels(edge)}l-5,{pixels(-way * 7)}h10Z"
        node(
            parent,
            "path",
            d=triangle,
            fill=layer_colour(layer),
            data_off_scale="above" if way < 0 else "below",
        )


def draw_readouts(parent: ET.Element, frame: Frame, layer: Series | Marks, *, every_point_is_a_stop: bool) -> None:
    """Add one focusable element per point with its numbers as text; nothing of it is visible."""
    group = node(parent, "g", role="group", aria_label=layer.label, fill="none", pointer_events="all")
    x_px, y_px = frame.x_px(layer.frequency_hz).tolist(), frame.y_inside_px(layer.level_db).tolist()
    for i, (x, y) in enumerate(zip(x_px, y_px, strict=True)):
        text = point_text(frame, layer, i)
        stop = "0" if every_point_is_a_stop or i == 0 else "-1"
        point = node(group, "g", tabindex=stop, role="img", aria_label=text)
        node(point, "title", text)
        node(point, "circle", cx=x, cy=y, r=_HIT_PX)


def point_text(frame: Frame, layer: Series | Marks, index: int) -> str:
    """Say one point in words: frequency or input, level with unit, uncertainty, state, and what is special."""
    level = layer.level_db[index]
    number = f"{level:.1f}".replace("-", "−")
    silent = isinstance(layer, Marks) and layer.no_response[index]
    prefix = "no response up to " if silent else ""
    parts = [f"{layer.frequency_hz[index]:.0f} {frame.frequency.unit}: {prefix}{number} {frame.level.unit}"]
    if layer.u_db is not None:
        parts.append(f"u {layer.u_db[index]:.1f}")
    parts.append(layer.state[index].replace("_", " "))
    if (
        isinstance(layer, Series)
        and layer.trusted_max_hz is not None
        and layer.frequency_hz[index] > layer.trusted_max_hz
    ):
        parts.append("above the trusted limit")
    if not frame.level.low_db <= level <= frame.level.high_db:
        parts.append("off the scale")
    return ", ".join(parts)
