"""Drawings for paper: without the margin of a page on a screen, and without what the printed page says itself."""

from __future__ import annotations

import re
from typing import Any

from umbo.chart import Chart, Figure, render_svg
from umbo.errors import InputError

__all__ = ["PT_A_PX", "drawn"]

#: One unit of a drawing on paper: the smallest letters, 11 units high, are 7 pt. [pt]
PT_A_PX = 7.04 / 11.0
#: Margin of a drawing, and where the charts of a figure start below its title. [px]
_EDGE_PX, _FIGURE_TOP_PX = 8.0, 43.0
_TITLE = re.compile(r'<text [^>]*font-size="17"[^>]*>[^<]*</text>')
#: The key of a small chart is that of the figure above it; its first letters stand so far below its upper edge. [px]
_KEY_RISE_PX = 12.0
_KEY = re.compile(r'<g [^>]*data-part="key"[^>]*>.*?<text [^>]*y="([0-9.]+)".*?</g>', re.DOTALL)
_SIZE = re.compile(r'width="[0-9.]+" height="([0-9.]+)" viewBox="0 0 [0-9.]+ [0-9.]+"')


def drawn(spec: Chart | Figure | None, width_pt: float) -> dict[str, Any] | None:
    """Draw without the margin, the title of a figure and the key of a single chart, which the page has elsewhere.

    Parameters
    ----------
    spec : Chart or Figure or None
        What to draw.
    width_pt : float
        Width on paper. [pt]

    Returns
    -------
    dict or None
        ``svg``, ``alt`` and ``height_pt``; None if there is nothing to draw.

    Raises
    ------
    InputError
        If the drawing does not state its size.
    """
    if spec is None:
        return None
    width_px = width_pt / PT_A_PX
    svg = render_svg(spec, width_px=width_px + 2.0 * _EDGE_PX, interactive=False)
    found = _SIZE.search(svg)
    if found is None:
        raise InputError(
            f"print the chart '{spec.id}'", "its drawing states no size", "report this as an error of umbo"
        )
    bottom_px = float(found[1]) - _EDGE_PX
    if isinstance(spec, Figure):
        top_px, svg = _FIGURE_TOP_PX, _TITLE.sub("", svg)
    else:
        top_px, key = _EDGE_PX, _KEY.search(svg)
        if key is not None:
            bottom_px, svg = float(key[1]) - _KEY_RISE_PX, svg.replace(key[0], "", 1)
    height_px = bottom_px - top_px
    size = f'width="{width_px:g}" height="{height_px:g}" viewBox="{_EDGE_PX:g} {top_px:g} {width_px:g} {height_px:g}"'
    return {"svg": svg.replace(found[0], size, 1), "alt": spec.alt, "height_pt": height_px * PT_A_PX}
