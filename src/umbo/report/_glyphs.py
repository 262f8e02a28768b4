"""Text that can be printed: what a font cannot show or what turns the writing direction becomes its code point.

A printed page must show every character of a name or a file, or say which character it could not show. A page that
is to be read aloud (PDF/UA) may not hold a character without a glyph, and a control character that turns the writing
direction could make a text seem to say something else.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache
from typing import Any, TypeVar, cast

import typst

from umbo.report._engine import compile_template

__all__ = ["legible", "legible_data"]

#: Printable ASCII, Latin-1 and Latin Extended-A, and the signs umbo writes itself: all in the fonts carried along.
_KNOWN = frozenset(
    [chr(n) for n in (*range(0x20, 0x7F), *range(0xA0, 0xAD), *range(0xAE, 0x180))] + list("−–—‘’“”…→≤≥±×≈•₂·✓")
)
_HIDDEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")

T = TypeVar("T")


def legible(text: str) -> str:
    r"""Write a text on one line, characters that cannot be shown as their code point in brackets.

    Parameters
    ----------
    text : str
        Any text.

    Examples
    --------
    >>> legible("left\u202ethgir")
    'left[U+202E]thgir'
    """
    line = " ".join(text.split())
    unusual = "".join(sorted(set(line) - _KNOWN))
    shown = _KNOWN | _shown(unusual)
    written = "".join(letter if letter in shown else f"[U+{ord(letter):04X}]" for letter in line)
    # Letters that have glyphs one by one may have none where a mark of one writing stands on a letter of another.
    if not unusual or _has_glyphs(written):
        return written
    return "".join(letter if letter in _KNOWN else f"[U+{ord(letter):04X}]" for letter in line)


def legible_data(data: T) -> T:
    """Make every text inside plain data legible.

    Parameters
    ----------
    data : str, list, dict or other
        Plain data; keys stay as they are.
    """
    found: Any = data
    if isinstance(data, str):
        found = legible(data)
    elif isinstance(data, list | tuple):
        found = [legible_data(one) for one in data]
    elif isinstance(data, dict):
        found = {key: legible_data(value) for key, value in data.items()}
    return cast("T", found)


@lru_cache(maxsize=256)
def _shown(letters: str) -> frozenset[str]:
    """Those of some characters that are visible and have a glyph in a font carried along or in the typesetter."""
    visible = [letter for letter in letters if unicodedata.category(letter) not in _HIDDEN]
    if _has_glyphs(" ".join(visible)):
        return frozenset(visible)
    return frozenset(letter for letter in visible if _has_glyphs(letter))


@lru_cache(maxsize=4096)
def _has_glyphs(text: str) -> bool:
    try:
        compile_template("probe.typ", {"text": text})
    except typst.TypstError:
        return False
    return True
