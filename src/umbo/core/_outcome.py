"""What can be said of a number against its bounds: the same three words for a fitting and for an aid."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["COVERAGE_FACTOR", "Outcome", "worst"]

#: Coverage factor for about 95 % (JCGM 100 clause 6.2.2). [1]
COVERAGE_FACTOR = 2.0


class Outcome(StrEnum):
    """What can be said."""

    PASS = "pass"  # noqa: S105  (the word of the trade, not a password)
    CANNOT_TELL = "cannot_tell"
    FAIL = "fail"


_ORDER = {Outcome.PASS: 0, Outcome.CANNOT_TELL: 1, Outcome.FAIL: 2}


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """The outcome a group has: fail if one fails, else cannot tell if one cannot; nothing judged is cannot tell."""
    return max(outcomes, key=_ORDER.__getitem__, default=Outcome.CANNOT_TELL)
