"""How a sentence shows what came from outside: on one line, short, with nothing unprintable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

__all__ = ["listed", "plain", "shown"]

LONGEST = 60


def plain(text: str) -> str:
    """Text from outside on one line: unprintable characters escaped, a long middle left out."""
    clean = "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)
    half = LONGEST // 2
    return clean if len(clean) <= LONGEST else f"{clean[:half]}...{clean[-half:]}"


def shown(value: object) -> str:
    """A value the way case.toml writes it, short enough for a sentence."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f"'{plain(value)}'"
    if isinstance(value, int) and abs(value) >= 10**15:
        return f"a whole number of {value.bit_length()} bits"
    if isinstance(value, (int, float)):
        return f"{value:.10g}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, Sequence):
        return f"an array of {len(value)} values"
    return f"a {type(value).__name__}"


def listed(words: Sequence[str]) -> str:
    """Words as a list in a sentence."""
    return ", ".join(plain(word) for word in words) or "none"
