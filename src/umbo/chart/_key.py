"""The key under a chart: one entry per meaning (line style, lightness, symbol, fill), not one per curve."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from umbo.chart._language import Quantity, Symbol, Tone, Trust
from umbo.chart._text import text_width_px, wrap

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.chart._figure import Chart
    from umbo.chart._layers import Marks, Series

__all__ = ["KEY_GAP_PX", "KeyEntry", "PlacedKey", "flow", "key_entries"]

KEY_GAP_PX = 6.0
_BETWEEN_PX = 20.0

Kind = Literal[
    "line", "symbol", "arrow_up", "arrow_down", "band", "ribbon", "bars", "ramp",
    "caution_line", "caution_mark", "untrusted",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """One meaning and the sample drawn for it."""

    kind: Kind
    text: str
    swatch_px: float = 30.0
    quantity: Quantity | None = None
    symbol: Symbol | None = None
    tone: Tone = Tone.HUE
    input_level_db: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class PlacedKey:
    """An entry and where it stands: left edge, row, and the lines of its text."""

    entry: KeyEntry
    x_px: float
    row: int
    lines: tuple[str, ...]


def key_entries(*charts: Chart) -> tuple[KeyEntry, ...]:
    """List what a reader of these charts needs explained, each meaning once."""
    series = [one for chart in charts for one in chart.series]
    marks = [one for chart in charts for one in chart.marks]
    entries = (
        *_lines(series),
        *_ramp(series),
        *_points(charts),
        *_fills(charts),
        *_trust(charts, series, marks),
    )
    return tuple({(e.kind, e.text, e.tone): e for e in entries}.values())


def _lines(series: Sequence[Series]) -> list[KeyEntry]:
    levels = {one.input_level_db for one in series}
    found: dict[Quantity, KeyEntry] = {}
    for one in series:
        shown = (one.input_level_db,) if one.input_level_db is not None and len(levels) == 1 else ()
        found.setdefault(
            one.quantity,
            KeyEntry("line", one.quantity.name, quantity=one.quantity, tone=one.quantity.tone, input_level_db=shown),
        )
    return list(found.values())


def _ramp(series: Sequence[Series]) -> list[KeyEntry]:
    levels = {one.input_level_db for one in series if one.quantity.tone is Tone.HUE}
    known = tuple(sorted(level for level in levels if level is not None))
    if len(known) < 2:
        return []
    text = f"input {', '.join(f'{level:g}' for level in known)} dB: softer is lighter, louder is darker"
    return [KeyEntry("ramp", text, swatch_px=14.0 * len(known), input_level_db=known)]


def _points(charts: Sequence[Chart]) -> list[KeyEntry]:
    """Symbols that no label beside the plot explains, and the arrow."""
    entries = []
    for chart in charts:
        entries += [
            KeyEntry("symbol", one.label, 18.0, symbol=one.symbol, tone=one.tone)
            for one in chart.marks
            if not one.show_label
        ]
    for chart in charts:
        silent = [one.tone for one in chart.marks if any(one.no_response)]
        way: Kind = "arrow_down" if chart.level.inverted else "arrow_up"
        entries += [KeyEntry(way, "no response up to this level", 18.0, tone=tone) for tone in silent[:1]]
    return entries


def _fills(charts: Sequence[Chart]) -> list[KeyEntry]:
    entries = []
    for chart in charts:
        for band in chart.bands:
            level = () if band.input_level_db is None else (band.input_level_db,)
            entries.append(KeyEntry("band", band.label, 22.0, tone=band.tone, input_level_db=level))
        word = f"uncertainty ±{chart.coverage_k:g} u (k = {chart.coverage_k:g})"
        if any(one.u_db is not None for one in chart.series):
            entries.append(KeyEntry("ribbon", word, 22.0))
        if any(one.u_db is not None for one in chart.marks):
            entries.append(KeyEntry("bars", word, 14.0))
    return entries


def _trust(charts: Sequence[Chart], series: Sequence[Series], marks: Sequence[Marks]) -> list[KeyEntry]:
    entries = []
    if any(Trust.CAUTION in one.trust for one in series):
        entries.append(KeyEntry("caution_line", "thin: interpolated or noisy"))
    elif any(Trust.CAUTION in one.trust for one in marks):
        entries.append(KeyEntry("caution_mark", "open symbol: interpolated or noisy", 14.0))
    points: tuple[Series | Marks, ...] = (*series, *marks)
    bands = [band for chart in charts for band in chart.bands]
    untrusted = any(Trust.NONE in one.trust for one in (*points, *bands))
    if untrusted or any(limit.hatched for chart in charts for limit in chart.limits):
        entries.append(KeyEntry("untrusted", "hatched: not trusted"))
    return entries


def flow(entries: tuple[KeyEntry, ...], room_px: float, size_px: float) -> tuple[tuple[PlacedKey, ...], int]:
    """Set the entries side by side into rows; returns them with the number of text rows used."""
    placed: list[PlacedKey] = []
    x_px, row, tall = 0.0, 0, 1
    for entry in entries:
        lines = wrap(entry.text, room_px - entry.swatch_px - KEY_GAP_PX, size_px)
        width = entry.swatch_px + KEY_GAP_PX + max(text_width_px(line, size_px) for line in lines)
        if placed and x_px + width > room_px:
            x_px, row, tall = 0.0, row + tall, 1
        placed.append(PlacedKey(entry, x_px, row, lines))
        tall = max(tall, len(lines))
        x_px += width + _BETWEEN_PX
    return tuple(placed), (row + tall if placed else 0)
