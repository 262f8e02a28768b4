"""From a specification to SVG text: the one way a chart is drawn, wherever it is shown."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import TYPE_CHECKING, Literal

from umbo.chart._draw_chart import Options, draw_chart, draw_lines
from umbo.chart._draw_key import draw_key
from umbo.chart._figure import Chart, Figure
from umbo.chart._key import flow, key_entries
from umbo.chart._language import FONT, HATCH, INK, MUTED, PAPER
from umbo.chart._layout import KEY_ROW_PX, LINE_PX, SMALL_LINE_PX, SMALL_PX, TEXT_PX, Parts, measure
from umbo.chart._svg import node, pixels, serialise
from umbo.chart._text import wrap
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["render_svg"]

_EDGE_PX = 8.0
_COLUMN_GAP_PX = 26.0
_ROW_GAP_PX = 14.0
_HEAD_PX, _HEAD_LINE_PX = 17.0, 23.0
_NARROWEST_CELL_PX = 240.0


def render_svg(
    spec: Chart | Figure,
    *,
    width_px: float = 720.0,
    interactive: bool = True,
    tab_stops: Literal["points", "series"] = "points",
) -> str:
    """Draw a chart or a figure.

    The same specification always gives the same text, whatever the machine. The drawing has no script, no
    style sheet and no reference to anything outside itself.

    Parameters
    ----------
    spec : Chart or Figure
        What to draw.
    width_px : float
        Width of the drawing; at 720 the text is about 8 pt on a page with 17 cm of text width. [px]
    interactive : bool
        Whether every point is a focusable element with its numbers; False for print, which looks the same.
    tab_stops : {"points", "series"}
        Whether the tab key stops at every point, or at the first point of every curve; the second needs a
        page that moves the focus along the curve with the arrow keys.

    Returns
    -------
    str
        One ``<svg>`` element.

    Raises
    ------
    InputError
        If the charts of a row would be narrower than 240 px.
    """
    figure = spec if isinstance(spec, Figure) else None
    rows = spec.rows if isinstance(spec, Figure) else ((spec,),)
    options = Options(f"url(#{spec.id}-hatch)", interactive, tab_stops == "points")
    root = ET.Element("svg")
    _draw_head(root, spec, interactive=interactive)
    top_px = _EDGE_PX
    if figure is not None:
        top_px = _draw_figure_texts(root, figure, width_px, top_px)
    for row in rows:
        top_px = _draw_row(root, row, width_px, top_px, options, grouped=figure is not None)
    top_px -= _ROW_GAP_PX
    if figure is not None:
        top_px = _draw_figure_foot(root, figure, width_px, top_px, options.hatch)
    _set_size(root, width_px, top_px + _EDGE_PX)
    return serialise(root)


def _draw_head(root: ET.Element, spec: Chart | Figure, *, interactive: bool) -> None:
    attributes = {
        "xmlns": "http://www.w3.org/2000/svg", "id": spec.id, "role": "figure" if interactive else "img",
        "aria-labelledby": f"{spec.id}-title", "aria-describedby": f"{spec.id}-desc",
        "font-family": FONT, "fill": INK,
    }  # fmt: skip
    root.attrib.update(attributes)
    node(root, "title", spec.title, id=f"{spec.id}-title")
    node(root, "desc", spec.alt, id=f"{spec.id}-desc")
    pattern = node(
        node(root, "defs"), "pattern", id=f"{spec.id}-hatch", width=5, height=5,
        patternUnits="userSpaceOnUse", patternTransform="rotate(45)",
    )  # fmt: skip
    node(pattern, "path", d="M2.5,0V5", stroke=HATCH, stroke_width=0.9)
    node(root, "rect", width="100%", height="100%", fill=PAPER)


def _draw_figure_texts(root: ET.Element, figure: Figure, width_px: float, top_px: float) -> float:
    room_px = width_px - 2.0 * _EDGE_PX
    title, subtitle = (
        wrap(figure.title, room_px, _HEAD_PX, bold=True),
        wrap(figure.subtitle, room_px, TEXT_PX),
    )
    draw_lines(root, title, _EDGE_PX, top_px + _HEAD_PX, _HEAD_PX, _HEAD_LINE_PX, INK, bold=True)
    top_px += _HEAD_LINE_PX * len(title)
    draw_lines(root, subtitle, _EDGE_PX, top_px + TEXT_PX, TEXT_PX, LINE_PX, MUTED)
    return top_px + LINE_PX * len(subtitle) + 12.0


def _draw_figure_foot(root: ET.Element, figure: Figure, width_px: float, top_px: float, hatch: str) -> float:
    """One key for all charts, and the caption; returns the lower end. [px]"""
    room_px = width_px - 2.0 * _EDGE_PX
    key, rows = flow(key_entries(*figure.charts), room_px, SMALL_PX)
    draw_key(root, key, _EDGE_PX, top_px + 6.0, hatch)
    top_px += 6.0 + KEY_ROW_PX * rows
    caption = wrap(figure.caption, room_px, SMALL_PX)
    draw_lines(root, caption, _EDGE_PX, top_px + 14.0, SMALL_PX, SMALL_LINE_PX, MUTED)
    return top_px + SMALL_LINE_PX * len(caption) + (4.0 if caption else 0.0)


def _draw_row(
    root: ET.Element, row: Sequence[Chart], width_px: float, top_px: float, options: Options, *, grouped: bool
) -> float:
    """Draw the charts of one row, plots at one height; returns where the next row starts. [px]"""
    cell_px = (width_px - 2.0 * _EDGE_PX - _COLUMN_GAP_PX * (len(row) - 1)) / len(row)
    if cell_px < _NARROWEST_CELL_PX:
        raise InputError(
            f"draw {len(row)} chart(s) side by side on {width_px:g} px",
            f"each would be {cell_px:.0f} px wide and needs {_NARROWEST_CELL_PX:.0f} px",
            "draw wider, or put fewer charts in the row",
        )
    cells = [measure(chart, cell_px, with_key=not grouped) for chart in row]
    header_px, strip_px = max(cell.header_px for cell in cells), max(cell.strip_px for cell in cells)
    for n, cell in enumerate(cells):
        parent = _chart_group(root, cell) if grouped else root
        left_px = _EDGE_PX + n * (cell_px + _COLUMN_GAP_PX)
        draw_chart(parent, cell, left_px, top_px, header_px, strip_px, options)
    return top_px + header_px + strip_px + max(cell.plot_px + cell.foot_px for cell in cells) + _ROW_GAP_PX


def _chart_group(root: ET.Element, cell: Parts) -> ET.Element:
    identity = cell.chart.id
    group = node(
        root,
        "g",
        id=identity,
        role="group",
        aria_labelledby=f"{identity}-title",
        aria_describedby=f"{identity}-desc",
    )
    node(group, "title", cell.chart.title, id=f"{identity}-title")
    node(group, "desc", cell.chart.alt, id=f"{identity}-desc")
    return group


def _set_size(root: ET.Element, width_px: float, height_px: float) -> None:
    root.attrib.update(
        {
            "width": pixels(width_px),
            "height": pixels(height_px),
            "viewBox": f"0 0 {pixels(width_px)} {pixels(height_px)}",
        }
    )
