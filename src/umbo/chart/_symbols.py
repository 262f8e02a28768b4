"""Point symbols. Each tells its meaning by shape, so that it works without colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.chart._language import PAPER, UNTRUSTED, Symbol, Trust
from umbo.chart._svg import node, pixels

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET

__all__ = ["draw_arrow", "draw_symbol"]

_OUTLINES = {
    Symbol.SQUARE: ((-1, -1), (1, -1), (1, 1), (-1, 1)),
    Symbol.DIAMOND: ((0, -1.3), (1.3, 0), (0, 1.3), (-1.3, 0)),
    Symbol.TRIANGLE: ((0, -1.25), (1.2, 0.9), (-1.2, 0.9)),
    Symbol.TRIANGLE_DOWN: ((0, 1.25), (1.2, -0.9), (-1.2, -0.9)),
    Symbol.HOURGLASS: ((-1.05, -1.3), (1.05, -1.3), (-1.05, 1.3), (1.05, 1.3)),
    Symbol.PLUS: (
        (-0.4, -1.35), (0.4, -1.35), (0.4, -0.4), (1.35, -0.4), (1.35, 0.4), (0.4, 0.4),
        (0.4, 1.35), (-0.4, 1.35), (-0.4, 0.4), (-1.35, 0.4), (-1.35, -0.4), (-0.4, -0.4),
    ),
    Symbol.POST: ((-0.45, -1.6), (0.45, -1.6), (0.45, 1.6), (-0.45, 1.6)),
    Symbol.BOW: ((-1.3, -1.05), (-1.3, 1.05), (1.3, -1.05), (1.3, 1.05)),
}  # fmt: skip


def draw_symbol(
    parent: ET.Element,
    symbol: Symbol,
    x_px: float,
    y_px: float,
    colour: str,
    *,
    trust: Trust = Trust.FULL,
    size_px: float = 4.2,
) -> None:
    """Draw one symbol about a point: filled when trusted, open with caution, grey when not trusted."""
    stroke = UNTRUSTED if trust is Trust.NONE else colour
    fill = colour if trust is Trust.FULL else PAPER
    r = size_px
    if symbol is Symbol.LEFT:
        side = pixels(2 * r)
        cross = f"M{pixels(x_px - r)},{pixels(y_px - r)}l{side},{side}m0,-{side}l-{side},{side}"
        node(parent, "path", d=cross, fill="none", stroke=stroke, stroke_width=2, stroke_linecap="round")
    elif symbol in (Symbol.CEILING, Symbol.CEILING_PREDICTED):
        flat = f"h{pixels(3 * r)}" if symbol is Symbol.CEILING else f"h{pixels(r)}m{pixels(r)},0h{pixels(r)}"
        bar = f"M{pixels(x_px - 1.5 * r)},{pixels(y_px + r)}v{pixels(-r)}{flat}v{pixels(r)}"
        node(parent, "path", d=bar, fill="none", stroke=PAPER, stroke_width=4.4)
        node(parent, "path", d=bar, fill="none", stroke=stroke, stroke_width=2)
    elif symbol in (Symbol.RIGHT, Symbol.RING, Symbol.DOT):
        fill = fill if symbol is Symbol.DOT else PAPER
        radius = r * (1.1 if symbol is Symbol.RIGHT else 0.8)
        node(parent, "circle", cx=x_px, cy=y_px, r=radius, fill=fill, stroke=stroke, stroke_width=1.8)
    else:
        points = " ".join(
            f"{pixels(x_px + 0.85 * r * dx)},{pixels(y_px + 0.85 * r * dy)}" for dx, dy in _OUTLINES[symbol]
        )
        node(
            parent,
            "polygon",
            points=points,
            fill=fill,
            stroke=stroke,
            stroke_width=1.4,
            stroke_linejoin="round",
        )


def draw_arrow(parent: ET.Element, x_px: float, y_px: float, colour: str, *, up: bool) -> None:
    """Draw an arrow that starts at a point: the value lies beyond, on that side."""
    way = -1.0 if up else 1.0
    shaft = f"M{pixels(x_px - 4)},{pixels(y_px)}h8m-4,0v{pixels(way * 15)}"
    head = f"m-4,{pixels(-way * 5)}l4,{pixels(way * 5)}l4,{pixels(-way * 5)}"
    node(parent, "path", d=shaft + head, fill="none", stroke=PAPER, stroke_width=4.4, stroke_linejoin="round")
    node(
        parent,
        "path",
        d=shaft + head,
        fill="none",
        stroke=colour,
        stroke_width=1.8,
        stroke_linejoin="round",
        stroke_linecap="round",
    )
