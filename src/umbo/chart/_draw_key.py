"""Drawing the key: a small sample and its text for every meaning."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.chart._draw_curves import BAND_OPACITY, RIBBON_OPACITY
from umbo.chart._key import KEY_GAP_PX, KeyEntry, PlacedKey
from umbo.chart._language import FRAME, INK, PAPER, UNTRUSTED, WASH, Tone, hue
from umbo.chart._layout import KEY_ROW_PX, SMALL_PX
from umbo.chart._paint import tone_colour
from umbo.chart._svg import node, pixels
from umbo.chart._symbols import draw_arrow, draw_symbol

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET

__all__ = ["draw_key"]


def draw_key(parent: ET.Element, placed: tuple[PlacedKey, ...], left_px: float, top_px: float, hatch: str) -> None:
    """Draw every entry at its place."""
    group = node(parent, "g", font_size=SMALL_PX, fill=INK, data_part="key")
    for item in placed:
        x, y = left_px + item.x_px, top_px + KEY_ROW_PX * item.row + 8.0
        _draw_sample(group, item.entry, x, y, hatch)
        for n, line in enumerate(item.lines):
            node(group, "text", line, x=x + item.entry.swatch_px + KEY_GAP_PX, y=y + 4.0 + KEY_ROW_PX * n)


def _draw_sample(parent: ET.Element, entry: KeyEntry, x: float, y: float, hatch: str) -> None:
    level = entry.input_level_db[0] if entry.input_level_db else None
    colour = tone_colour(entry.tone, level)
    middle = x + entry.swatch_px / 2.0
    if entry.kind == "symbol" and entry.symbol is not None:
        draw_symbol(parent, entry.symbol, middle, y, colour)
    elif entry.kind in ("arrow_up", "arrow_down"):
        up = entry.kind == "arrow_up"
        draw_arrow(parent, middle, y + (7.0 if up else -7.0), colour, up=up)
    elif entry.kind == "ramp":
        for n, shade in enumerate(entry.input_level_db):
            node(parent, "rect", x=x + 14.0 * n, y=y - 6.0, width=13, height=12, fill=hue(shade))
    elif entry.kind in ("band", "ribbon"):
        _draw_fill(parent, entry, x, y, colour)
    elif entry.kind == "bars":
        bar = f"M{pixels(middle)},{pixels(y - 6)}v12M{pixels(middle - 3.5)},{pixels(y - 6)}h7m-7,12h7"
        node(parent, "path", d=bar, fill="none", stroke=colour, stroke_width=1.3)
    else:
        _draw_line(parent, entry, x, y, hatch)


def _draw_fill(parent: ET.Element, entry: KeyEntry, x: float, y: float, colour: str) -> None:
    area: dict[str, str | float] = {"x": x, "y": y - 6.0, "width": entry.swatch_px, "height": 12.0}
    if entry.kind == "ribbon":
        node(parent, "rect", fill=colour, fill_opacity=RIBBON_OPACITY, **area)
        node(
            parent,
            "path",
            d=f"M{pixels(x)},{pixels(y)}h{pixels(entry.swatch_px)}",
            stroke=colour,
            stroke_width=1.8,
        )
    elif entry.tone is Tone.NEUTRAL:
        node(parent, "rect", fill=WASH, stroke=FRAME, stroke_width=0.6, **area)
    else:
        node(parent, "rect", fill=colour, fill_opacity=BAND_OPACITY, stroke=colour, stroke_width=0.6, **area)


def _draw_line(parent: ET.Element, entry: KeyEntry, x: float, y: float, hatch: str) -> None:
    line = f"M{pixels(x + 1)},{pixels(y)}h{pixels(entry.swatch_px - 2)}"
    colour = tone_colour(entry.tone, entry.input_level_db[0] if entry.input_level_db else None)
    if entry.kind == "untrusted":
        node(parent, "rect", x=x, y=y - 6.0, width=entry.swatch_px, height=12, fill=hatch)
        node(parent, "path", d=line, stroke=UNTRUSTED, stroke_width=1.2)
    elif entry.kind == "caution_mark":
        node(
            parent,
            "circle",
            cx=x + entry.swatch_px / 2.0,
            cy=y,
            r=3.4,
            fill=PAPER,
            stroke=colour,
            stroke_width=1.4,
        )
    elif entry.kind == "caution_line":
        node(parent, "path", d=line, stroke=colour, stroke_width=1.2)
        node(
            parent,
            "circle",
            cx=x + entry.swatch_px / 2.0,
            cy=y,
            r=2.3,
            fill=PAPER,
            stroke=colour,
            stroke_width=1.1,
        )
    elif entry.quantity is not None:
        quantity = entry.quantity
        node(
            parent, "path", d=line, stroke=colour, stroke_width=quantity.width_px,
            stroke_dasharray=quantity.line.dash, stroke_linecap="round", fill="none",
        )  # fmt: skip
