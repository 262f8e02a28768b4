"""The key under a chart: one entry per meaning (line style, lightness, symbol, fill), not one per curve."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from umbo.chart._figure import Chart
from umbo.chart._language import Quantity, Symbol, Tone, Trust
from umbo.chart._layers import Marks
from umbo.chart._text import text_width_px, wrap

__all__ = ["KEY_GAP_PX", "KeyEntry", "PlacedKey", "flow", "key_entries"]

KEY_GAP_PX = 6.0
_BETWEEN_PX = 20.0

Kind = Literal["line", "symbol", "arrow", "band", "ribbon", "bars", "caution", "untrusted", "ramp"]


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


def key_entries(chart: Chart) -> tuple[KeyEntry, ...]:
    """What a reader of this chart needs explained, in the order it is explained."""
    return (*_lines(chart), *_ramp(chart), *_points(chart), *_fills(chart), *_trust(chart))


def _lines(chart: Chart) -> list[KeyEntry]:
    levels = sorted({s.input_level_db for s in chart.series if s.input_level_db is not None})
    found: dict[Quantity, KeyEntry] = {}
    for series in chart.series:
        shown = (series.input_level_db,) if series.input_level_db is not None and len(levels) == 1 else ()
        found.setdefault(
            series.quantity, KeyEntry("line", series.quantity.name, quantity=series.quantity, tone=series.quantity.tone, input_level_db=shown)
        )
    return list(found.values())


def _ramp(chart: Chart) -> list[KeyEntry]:
    levels = tuple(sorted({s.input_level_db for s in chart.series if s.input_level_db is not None and s.quantity.tone is Tone.HUE}))
    if len(levels) < 2:
        return []
    text = f"input {', '.join(f'{level:g}' for level in levels)} dB: softer is lighter, louder is darker"
    return [KeyEntry("ramp", text, swatch_px=14.0 * len(levels), input_level_db=levels)]


def _points(chart: Chart) -> list[KeyEntry]:
    entries = [KeyEntry("symbol", m.label, 18.0, symbol=m.symbol, tone=m.tone) for m in chart.marks if not all(m.no_response)]
    silent = [m for m in chart.marks if any(m.no_response)]
    if silent:
        entries.append(KeyEntry("arrow", "no response up to this level", 18.0, tone=silent[0].tone))
    return list(dict.fromkeys(entries))


def _fills(chart: Chart) -> list[KeyEntry]:
    entries = [
        KeyEntry("band", b.label, 22.0, tone=b.tone, input_level_db=() if b.input_level_db is None else (b.input_level_db,))
        for b in chart.bands
    ]
    word = f"±{chart.coverage_k:g} u (k = {chart.coverage_k:g})"
    if any(s.u_db is not None for s in chart.series):
        entries.append(KeyEntry("ribbon", f"uncertainty {word}", 22.0))
    if any(m.u_db is not None for m in chart.marks):
        entries.append(KeyEntry("bars", f"uncertainty {word}", 14.0))
    return list({(e.kind, e.text, e.tone): e for e in entries}.values())


def _trust(chart: Chart) -> list[KeyEntry]:
    points: tuple[Trust, ...] = sum((layer.trust for layer in (*chart.series, *chart.marks)), ())
    only_marks = all(isinstance(layer, Marks) for layer in (*chart.series, *chart.marks) if Trust.CAUTION in layer.trust)
    entries = []
    if Trust.CAUTION in points and not only_marks:
        entries.append(KeyEntry("caution", "thin line: interpolated or noisy"))
    if Trust.CAUTION in points and only_marks:
        entries.append(KeyEntry("caution", "open symbol: interpolated or noisy", 14.0))
    if Trust.NONE in points or any(limit.hatched for limit in chart.limits):
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
