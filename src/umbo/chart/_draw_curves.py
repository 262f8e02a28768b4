"""Drawing bands, ribbons and curves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.chart._language import PAPER, UNTRUSTED, WASH, Symbol, Tone, Trust
from umbo.chart._paint import layer_colour, tone_colour
from umbo.chart._runs import runs_by_trust
from umbo.chart._svg import node, path_data
from umbo.chart._symbols import draw_symbol

if TYPE_CHECKING:
    import xml.etree.ElementTree as ET

    from umbo.chart._frame import Frame
    from umbo.chart._layers import Band, Series

__all__ = [
    "BAND_OPACITY",
    "RIBBON_OPACITY",
    "draw_band",
    "draw_curve",
    "draw_ribbon",
    "draw_visible_points",
    "visible_points",
]

RIBBON_OPACITY, BAND_OPACITY = 0.18, 0.16
_FEW_POINTS = 12
_TUBE_PX = 9.0


def draw_band(parent: ET.Element, frame: Frame, band: Band, hatch: str) -> None:
    """Fill the area between two curves, or between a curve and the edge of the plot; hatch what is not trusted."""
    x_px = frame.x_px(band.frequency_hz)
    ends = sorted((frame.level.low_db, frame.level.high_db))
    lower_px = frame.y_px(np.full(x_px.size, ends[0]) if band.lower_db is None else band.lower_db)
    upper_px = frame.y_px(np.full(x_px.size, ends[1]) if band.upper_db is None else band.upper_db)
    if band.tone is Tone.NEUTRAL:
        paint: dict[str, str | float] = {"fill": WASH}
    else:
        paint = {"fill": tone_colour(band.tone, band.input_level_db), "fill_opacity": BAND_OPACITY}
    for trust, runs in runs_by_trust(band.trust).items():
        for run in runs:
            outline = path_data(
                np.concatenate([x_px[run], x_px[run][::-1]]),
                np.concatenate([upper_px[run], lower_px[run][::-1]]),
                closed=True,
            )
            fill = {"fill": hatch} if trust is Trust.NONE else paint
            node(parent, "path", d=outline, data_band=band.label, data_trust=trust, **fill)


def draw_ribbon(parent: ET.Element, frame: Frame, series: Series, coverage_k: float, hatch: str) -> None:
    """Draw the uncertainty about a curve, hatched where not trusted; without u, hatch about the line."""
    x_px, y_px = frame.x_px(series.frequency_hz), frame.y_px(series.level_db)
    spread_db = None if series.u_db is None else coverage_k * np.asarray(series.u_db)
    for trust, runs in runs_by_trust(series.trust).items():
        for run in runs:
            if spread_db is None:
                if trust is Trust.NONE:
                    line = path_data(x_px[run], y_px[run])
                    node(
                        parent,
                        "path",
                        d=line,
                        fill="none",
                        stroke=hatch,
                        stroke_width=_TUBE_PX,
                        data_tube=trust,
                    )
                continue
            upper = frame.y_px(np.asarray(series.level_db)[run] + spread_db[run])
            lower = frame.y_px(np.asarray(series.level_db)[run] - spread_db[run])
            area = path_data(
                np.concatenate([x_px[run], x_px[run][::-1]]),
                np.concatenate([upper, lower[::-1]]),
                closed=True,
            )
            if trust is Trust.NONE:
                node(parent, "path", d=area, fill=hatch, data_ribbon=trust)
            else:
                node(
                    parent,
                    "path",
                    d=area,
                    fill=layer_colour(series),
                    fill_opacity=RIBBON_OPACITY,
                    data_ribbon=trust,
                )


def draw_curve(parent: ET.Element, frame: Frame, series: Series, identity: str) -> None:
    """Draw the line, one path for each degree of trust, in the line style of the quantity."""
    x_px, y_px = frame.x_px(series.frequency_hz), frame.y_px(series.level_db)
    width_px = series.quantity.width_px
    paint = {
        Trust.FULL: (layer_colour(series), width_px),
        Trust.CAUTION: (layer_colour(series), 0.55 * width_px),
        Trust.NONE: (UNTRUSTED, 0.65 * width_px),
    }
    for trust, runs in sorted(runs_by_trust(series.trust).items(), reverse=True):
        stroke, stroke_width = paint[trust]
        node(
            parent,
            "path",
            id=f"{identity}-{trust}",
            d="".join(path_data(x_px[run], y_px[run]) for run in runs),
            fill="none",
            stroke=stroke,
            stroke_width=stroke_width,
            stroke_dasharray=series.quantity.line.dash,
            stroke_linecap="round",
            stroke_linejoin="round",
            data_trust=trust,
        )


def draw_visible_points(parent: ET.Element, frame: Frame, series: Series) -> None:
    """Draw small dots where there are few points, and the symbol of the curve along it."""
    colour = layer_colour(series)
    x_px, y_px = frame.x_px(series.frequency_hz).tolist(), frame.y_px(series.level_db).tolist()
    for i in visible_points(frame, series):
        if series.symbol is not None:
            draw_symbol(parent, series.symbol, x_px[i], y_px[i], colour, trust=series.trust[i])
            continue
        stroke = UNTRUSTED if series.trust[i] is Trust.NONE else colour
        fill = colour if series.trust[i] is Trust.FULL else PAPER
        node(parent, "circle", cx=x_px[i], cy=y_px[i], r=2.3, fill=fill, stroke=stroke, stroke_width=1.1)


def visible_points(frame: Frame, series: Series) -> list[int]:
    """Which points carry a dot or symbol: all when few; else, for a symbol, those nearest the ticks."""
    count = len(series.frequency_hz)
    if count <= _FEW_POINTS:
        return list(range(count))
    if series.symbol in (None, Symbol.CEILING):
        return []
    octave = np.log2(series.frequency_hz)
    ticks = [
        np.log2(hz)
        for hz, text in frame.frequency.ticks()
        if text and octave[0] <= np.log2(hz) + 0.1 <= octave[-1] + 0.2
    ]
    return sorted({int(np.argmin(np.abs(octave - tick))) for tick in ticks})
