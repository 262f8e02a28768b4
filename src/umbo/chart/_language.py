"""The visual language: what lightness, line style, symbol and hatching mean (docs/visual-language.md).

Colours are computed from OKLCH (B. Ottosson, "A perceptual color space for image processing", 2020; matrices
from memory of that publication); contrast ratios from WCAG 2.2, "relative luminance" and "contrast ratio".
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

__all__ = [
    "FONT", "FONT_FOLDER", "FRAME", "GRID", "HATCH", "INK", "LEFT_BLUE", "MUTED", "PAPER", "RIGHT_RED", "STATE_WORDS",
    "UNTRUSTED", "WASH", "Line", "Quantity", "Symbol", "Tone", "Trust", "contrast", "hue",
    "level_lightness", "trust_of",
]  # fmt: skip

FONT = "Inter, Noto Sans, Segoe UI, Helvetica Neue, Arial, DejaVu Sans, sans-serif"

#: Folder of the first font of the stack, carried along so that a printed page is the same on every machine.
FONT_FOLDER = Path(__file__).with_name("fonts")

PAPER = "#ffffff"
INK = "#1d2226"
MUTED = "#4d555b"
FRAME = "#878f96"
GRID = "#e3e6e8"
WASH = "#edf0f1"
HATCH = "#7f878e"
UNTRUSTED = "#6f777e"
RIGHT_RED = "#b3202c"
LEFT_BLUE = "#1c4fb0"

_HUE_DEG = 190.0
_SOFT_DB, _LOUD_DB = 50.0, 90.0
_SOFT_LIGHTNESS, _LOUD_LIGHTNESS = 0.605, 0.22
_PLAIN_LIGHTNESS = 0.42


class Line(StrEnum):
    """Line styles."""

    SOLID = "solid"
    DASHED = "dashed"
    DOTTED = "dotted"
    DASH_DOT = "dash_dot"
    LONG_DASHED = "long_dashed"
    SHORT_DASHED = "short_dashed"
    DASH_TWO_DOTS = "dash_two_dots"
    LONG_SHORT = "long_short"

    @property
    def dash(self) -> str | None:
        """The dash pattern, for lines with round ends. [px]"""
        return _DASHES[self]


_DASHES = {
    Line.SOLID: None,
    Line.DASHED: "7 5",
    Line.DOTTED: "0.1 4.6",
    Line.DASH_DOT: "8 4.5 0.1 4.5",
    Line.LONG_DASHED: "15 5",
    Line.SHORT_DASHED: "3.5 4.5",
    Line.DASH_TWO_DOTS: "9 4.5 0.1 4.5 0.1 4.5",
    Line.LONG_SHORT: "16 5 4 5",
}


class Tone(StrEnum):
    """Where a colour comes from: the one hue, neutral grey, or the ear of an audiogram."""

    HUE = "hue"
    NEUTRAL = "neutral"
    RIGHT = "right"
    LEFT = "left"


class Symbol(StrEnum):
    """Point symbols. The circle and the cross belong to the right and left ear of an audiogram."""

    RIGHT = "right"
    LEFT = "left"
    DOT = "dot"
    RING = "ring"
    SQUARE = "square"
    DIAMOND = "diamond"
    TRIANGLE = "triangle"
    TRIANGLE_DOWN = "triangle_down"
    HOURGLASS = "hourglass"
    BOW = "bow"
    PLUS = "plus"
    POST = "post"
    CEILING = "ceiling"
    CEILING_PREDICTED = "ceiling_predicted"


class Trust(StrEnum):
    """How far a point may be believed."""

    FULL = "full"
    CAUTION = "caution"
    NONE = "none"


_TRUST = {
    "ok": Trust.FULL,
    "interpolated": Trust.CAUTION,
    "noisy": Trust.CAUTION,
    "nonlinear": Trust.NONE,
    "standing_wave": Trust.NONE,
    "extrapolated": Trust.NONE,
    "clipped": Trust.NONE,
    "below_noise": Trust.NONE,
    "outside_coupler": Trust.NONE,
    "withdrawn": Trust.NONE,
}
STATE_WORDS = tuple(_TRUST)


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a curve shows, and the line style that says so.

    Parameters
    ----------
    name : str
        Words in the key, for example "level at the eardrum".
    line : Line
        The line style of every curve of this quantity.
    width_px : float
        Line width. [px]
    tone : Tone
        Colour family.
    """

    name: str
    line: Line = Line.SOLID
    width_px: float = 2.2
    tone: Tone = Tone.HUE


def trust_of(state: str) -> Trust:
    """How far a point in a state may be believed.

    Parameters
    ----------
    state : str
        One of the state words.
    """
    return _TRUST[state]


def level_lightness(input_level_db: float | None) -> float:
    """OKLCH lightness for an input level: light at 50 dB and softer, dark at 90 dB and louder. [dB] to [1]"""
    if input_level_db is None:
        return _PLAIN_LIGHTNESS
    loudness = min(max((input_level_db - _SOFT_DB) / (_LOUD_DB - _SOFT_DB), 0.0), 1.0)
    return _SOFT_LIGHTNESS + loudness * (_LOUD_LIGHTNESS - _SOFT_LIGHTNESS)


def hue(input_level_db: float | None = None) -> str:
    """Give the one hue at the lightness of an input level.

    Parameters
    ----------
    input_level_db : float, optional
        Level at the input; without it, the plain shade of curves that have none. [dB]

    Returns
    -------
    str
        Hexadecimal colour.
    """
    lightness = level_lightness(input_level_db)
    return _srgb(lightness, min(0.105, 0.18 * lightness), _HUE_DEG)


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.2). [1]

    Parameters
    ----------
    first, second : str
        Hexadecimal colours.
    """
    light, dark = sorted((_luminance(first), _luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _srgb(lightness: float, chroma: float, hue_deg: float) -> str:
    a, b = chroma * math.cos(math.radians(hue_deg)), chroma * math.sin(math.radians(hue_deg))
    long = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3
    medium = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3
    short = (lightness - 0.0894841775 * a - 1.2914855480 * b) ** 3
    linear = (
        4.0767416621 * long - 3.3077115913 * medium + 0.2309699292 * short,
        -1.2684380046 * long + 2.6097574011 * medium - 0.3413193965 * short,
        -0.0041960863 * long - 0.7034186147 * medium + 1.7076147010 * short,
    )
    return "#" + "".join(f"{round(255.0 * _encoded(min(max(value, 0.0), 1.0))):02x}" for value in linear)


def _encoded(linear: float) -> float:
    return 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1.0 / 2.4) - 0.055


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
