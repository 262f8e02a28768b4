"""How a sentence shows what came from outside: on one line, short, with nothing unprintable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

__all__ = ["counted", "listed", "plain", "shown"]

LONGEST = 60


def plain(text: str) -> str:
    """Text from outside on one line: unprintable characters escaped, a long middle left out."""
    clean = "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)
    half = LONGEST // 2
    return clean if len(clean) <= LONGEST else f"{clean[:half]}...{clean[-half:]}"


def shown(value: object) -> str:
    """Show a value the way case.toml writes it, short enough for a sentence."""
    match value:
        case bool():
            text = str(value).lower()
        case str():
            text = f"'{plain(value)}'"
        case int() if abs(value) >= 10**15:
            text = f"a whole number of {value.bit_length()} bits"
        case int() | float():
            text = f"{value:.10g}"
        case date():
            text = value.isoformat()
        case Mapping():
            text = "a table"
        case Sequence():
            text = f"an array of {counted(len(value), 'value')}"
        case _:
            text = f"a {type(value).__name__}"
    return text


def counted(number: int, one: str, many: str = "") -> str:
    """Count things: "1 value", "3 values"."""
    return f"{number} {one}" if number == 1 else f"{number} {many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """Words as a list in a sentence."""
    return ", ".join(plain(word) for word in words) or "none"
