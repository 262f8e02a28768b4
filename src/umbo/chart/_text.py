"""How wide a text will be, and how to break it into lines, without asking a font.

The widths are those of DejaVu Sans 2.37, read from its horizontal metrics table and rounded to 0.01 em. It is among the
widest of the usual screen fonts, so that a text laid out by them also fits in the others of the font stack.
"""

from __future__ import annotations

from umbo.chart._svg import clean

__all__ = ["text_width_px", "wrap"]

_WIDTHS_EM = {
    0.28: "'ijlIJ", 0.34: " ,.’·/:;\\|", 0.36: "f-", 0.40: "()[]t!²", 0.46: 'r"', 0.50: "*_`°–", 0.53: "sz“”?",
    0.56: "cLFk", 0.59: "vxy", 0.64: "PTYaoeESbdghnpqu$0123456789{}µ", 0.70: "KAVBRXZC", 0.76: "UHNΩ",
    0.79: "DG&OQ", 0.84: "w#+<=>^~×−±≤≥→", 0.97: "Mm%", 1.00: "W@—…",
}  # fmt: skip
_WIDTH_OF = {letter: width for width, letters in _WIDTHS_EM.items() for letter in letters}
_BOLD = 1.15  # the bold cut of the same font sets English text about 1.12 times as wide; taken a little wider
_OTHER_EM = 1.0


def text_width_px(text: str, size_px: float, *, bold: bool = False) -> float:
    """Largest width the text is expected to take. [px]"""
    width = size_px * sum(_WIDTH_OF.get(letter, _OTHER_EM) for letter in text)
    return width * _BOLD if bold else width


def wrap(text: str, room_px: float, size_px: float, *, bold: bool = False, max_lines: int = 0) -> tuple[str, ...]:
    """Lines no wider than the room; a word that is too long is cut, and a last line that is too full ends in "…"."""
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
