"""How wide a text will be, and how to break it into lines, without asking a font.

The widths are those of DejaVu Sans 2.37, read from its horizontal metrics table, rounded up to a few steps.
It is among the widest of the usual screen fonts, so that a text laid out by them fits in the others too.
"""

from __future__ import annotations

from umbo.chart._svg import clean

__all__ = ["text_width_px", "wrap"]

_WIDTHS_EM = {
    0.30: "'ijlIJ", 0.34: " ,.’·/:;\\|", 0.37: "f-", 0.42: "()[]t!²r", 0.46: '"', 0.50: "*_`°–",
    0.54: "sz“”?", 0.58: "cLFk", 0.60: "vxy", 0.64: "PTYaoeESbdghnpqu$0123456789{}µ",
    0.70: "KAVBRXZC", 0.78: "UHNΩDG", 0.79: "&OQ", 0.84: "w#+<=>^~×−±≤≥→", 0.99: "Mm%W", 1.00: "@—…",
}  # fmt: skip
_WIDTH_OF = {letter: width for width, letters in _WIDTHS_EM.items() for letter in letters}
_BOLD = 1.15  # the bold cut of the same font sets English text about 1.12 times as wide; taken a little wider
_OTHER_EM = 1.0


def text_width_px(text: str, size_px: float, *, bold: bool = False) -> float:
    """Largest width the text is expected to take. [px]"""
    width = size_px * sum(_WIDTH_OF.get(letter, _OTHER_EM) for letter in text)
    return width * _BOLD if bold else width


def wrap(text: str, room_px: float, size_px: float, *, bold: bool = False, max_lines: int = 0) -> tuple[str, ...]:
    """Break a text into lines no wider than the room; cut long words; end in "…" what does not fit."""
    lines: list[str] = []
    line = ""
    for word in _pieces(clean(text), room_px, size_px, bold=bold):
        longer = f"{line} {word}" if line else word
        if line and text_width_px(longer, size_px, bold=bold) > room_px:
            lines.append(line)
            line = word
        else:
            line = longer
    if line:
        lines.append(line)
    if max_lines and len(lines) > max_lines:
        lines = lines[:max_lines]
        while len(lines[-1]) > 1 and text_width_px(lines[-1] + "…", size_px, bold=bold) > room_px:
            lines[-1] = lines[-1][:-1]
        lines[-1] = lines[-1].rstrip() + "…"
    return tuple(lines)


def _pieces(text: str, room_px: float, size_px: float, *, bold: bool) -> list[str]:
    """Words, the over-long ones cut to the room."""
    pieces: list[str] = []
    for word in text.split():
        piece = ""
        for letter in word:
            if piece and text_width_px(piece + letter, size_px, bold=bold) > room_px:
                pieces.append(piece)
                piece = ""
            piece += letter
        pieces.append(piece)
    return pieces
