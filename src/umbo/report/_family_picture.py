"""The plain picture of the family page: speech standing on the floor of what an ear can hear."""

from __future__ import annotations

import xml.etree.ElementTree as ET  # building only; nothing is parsed here
from collections.abc import Sequence

from umbo.chart import hue
from umbo.report._reach import Bar, Pitch, Reach, loudness_word

__all__ = ["family_picture", "picture_words"]

_WIDTH_PX, _HEIGHT_PX = 400.0, 212.0
_TOP_PX, _BOTTOM_PX, _LEFT_PX = 8.0, 180.0, 52.0
_LOW_DB, _HIGH_DB = 20.0, 130.0
_BAR_PX, _GAP_PX = 22.0, 8.0
_INK, _MUTED, _GROUND, _FRAME = "#1d2226", "#4d555b", "#e3e6e8", "#878f96"
_PITCH_WORDS = {"low": "low pitch", "middle": "middle pitch", "high": "high pitch"}
_REACH_WORDS: dict[Reach, str] = {
    "heard": "loud enough to hear",
    "partly": "partly loud enough",
    "not_heard": "too soft to hear",
    "unknown": "could not be told",
}


def family_picture(pitches: Sequence[Pitch], identity: str) -> str:
    """Draw one ear: grey ground up to the softest sound heard, a bar for soft, everyday and loud speech.

    Parameters
    ----------
    pitches : sequence of Pitch
        Low, middle and high.
    identity : str
        Id of the drawing.

    Returns
    -------
    str
        One ``<svg>`` element.
    """
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "id": identity,
            "width": f"{_WIDTH_PX:g}",
            "height": f"{_HEIGHT_PX:g}",
            "viewBox": f"0 0 {_WIDTH_PX:g} {_HEIGHT_PX:g}",
            "font-family": "Inter",
            "font-size": "13",
            "fill": _INK,
        },
    )
    _axis(root)
    column_px = (_WIDTH_PX - _LEFT_PX) / len(pitches)
    for n, pitch in enumerate(pitches):
        _column(root, pitch, _LEFT_PX + n * column_px, column_px)
    return ET.tostring(root, encoding="unicode")


def picture_words(side: str, pitches: Sequence[Pitch]) -> str:
    """Say what the picture shows, for a reader who does not see it."""
    parts = [
        f"{_PITCH_WORDS[pitch.name]}: "
        + (
            ", ".join(f"{loudness_word(bar.input_db_spl)} speech {_REACH_WORDS[bar.reach]}" for bar in pitch.bars)
            or "no speech measured"
        )
        for pitch in pitches
    ]
    return f"Speech and hearing of the {side} ear. {'. '.join(parts).capitalize()}."


def _axis(root: ET.Element) -> None:
    x = _LEFT_PX - 12.0
    head = f"M{x:g},{_BOTTOM_PX:g}V{_TOP_PX + 4:g}m-4,7l4,-7l4,7"
    ET.SubElement(root, "path", {"d": head, "fill": "none", "stroke": _MUTED, "stroke-width": "1.4"})
    for y, word in ((_TOP_PX + 14.0, "loud"), (_BOTTOM_PX - 2.0, "soft")):
        _text(root, word, x - 8.0, y, "end", _MUTED)


def _column(root: ET.Element, pitch: Pitch, left_px: float, width_px: float) -> None:
    inner_px, wide_px = left_px + 4.0, width_px - 8.0
    if pitch.floor_db is not None:
        y = _y(pitch.floor_db)
        _rect(root, inner_px, y, wide_px, _BOTTOM_PX - y, _GROUND)
    middle = left_px + width_px / 2.0
    total = len(pitch.bars) * _BAR_PX + max(len(pitch.bars) - 1, 0) * _GAP_PX
    for n, bar in enumerate(pitch.bars):
        _bar(root, bar, pitch.floor_db, middle - total / 2.0 + n * (_BAR_PX + _GAP_PX))
    if pitch.floor_db is not None:
        _line(root, inner_px, _y(pitch.floor_db), wide_px, _INK, "2")
    if pitch.loudest_db is not None:
        _line(root, inner_px + 14.0, _y(pitch.loudest_db), wide_px - 28.0, hue(90.0), "4.5")
    if pitch.ceiling_db is not None:
        _line(root, inner_px, _y(pitch.ceiling_db), wide_px, _INK, "1.6", "6 4")
    _line(root, inner_px, _BOTTOM_PX, wide_px, _FRAME, "1")
    _text(root, _PITCH_WORDS[pitch.name], middle, _BOTTOM_PX + 18.0, "middle", _INK)
    if not pitch.bars:
        _text(root, "not measured", middle, _BOTTOM_PX - 80.0, "middle", _MUTED)


def _bar(root: ET.Element, bar: Bar, floor_db: float | None, x: float) -> None:
    """Fill what rises above the ground; leave what lies in it, or is not known, an outline."""
    colour = hue(bar.input_db_spl)
    top, bottom = _y(bar.high_db), _y(bar.low_db)
    height = max(bottom - top, 3.0)
    outline = {"stroke": colour, "stroke-width": "1.4"}
    if bar.reach == "unknown":
        _rect(root, x, top, _BAR_PX, height, "#ffffff", outline | {"stroke-dasharray": "3 3"})
        _text(root, "?", x + _BAR_PX / 2.0, top + height / 2.0 + 5.0, "middle", _INK)
        return
    _rect(root, x, top, _BAR_PX, height, "#ffffff", outline)
    edge = bottom if floor_db is None else min(_y(floor_db), top + height)
    if edge > top:
        _rect(root, x, top, _BAR_PX, edge - top, colour, outline)


def _y(level_db: float) -> float:
    held = min(max(level_db, _LOW_DB), _HIGH_DB)
    return _BOTTOM_PX - (_BOTTOM_PX - _TOP_PX) * (held - _LOW_DB) / (_HIGH_DB - _LOW_DB)


def _rect(
    root: ET.Element, x: float, y: float, width: float, height: float, fill: str, more: dict[str, str] | None = None
) -> None:
    size = {"x": f"{x:.2f}", "y": f"{y:.2f}", "width": f"{width:.2f}", "height": f"{height:.2f}", "fill": fill}
    ET.SubElement(root, "rect", size | (more or {}))


def _line(root: ET.Element, x: float, y: float, width: float, stroke: str, thick: str, dash: str = "") -> None:
    style = {"d": f"M{x:.2f},{y:.2f}h{width:.2f}", "fill": "none", "stroke": stroke, "stroke-width": thick}
    ET.SubElement(root, "path", style | ({"stroke-dasharray": dash} if dash else {}))


def _text(root: ET.Element, words: str, x: float, y: float, anchor: str, fill: str) -> None:
    ET.SubElement(root, "text", {"x": f"{x:.2f}", "y": f"{y:.2f}", "text-anchor": anchor, "fill": fill}).text = words
