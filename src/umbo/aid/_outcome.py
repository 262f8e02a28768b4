"""The one rule by which a number of the aid passes or fails."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

__all__ = ["COVERAGE_FACTOR", "AidOutcome", "judge_between", "worst_outcome"]

#: Coverage factor for about 95 % (JCGM 100 clause 6.2.2). [1]
COVERAGE_FACTOR = 2.0

#: Rounding that does not count as a deviation. [1]
_ROUNDING = 1e-9


class AidOutcome(StrEnum):
    """What can be said of one number; the words of a verdict."""

    PASS = "pass"  # noqa: S105  (the word of the trade, not a password)
    CANNOT_TELL = "cannot_tell"
    FAIL = "fail"


_ORDER = (AidOutcome.PASS, AidOutcome.CANNOT_TELL, AidOutcome.FAIL)


def worst_outcome(outcomes: Iterable[AidOutcome]) -> AidOutcome:
    """Outcome of a group: fail if one fails, else cannot tell if one cannot; nothing judged is cannot tell."""
    return max(outcomes, key=_ORDER.index, default=AidOutcome.CANNOT_TELL)


def judge_between(deviation: float, u: float, low: float | None, high: float | None) -> AidOutcome:
    """Judge a deviation against bounds: the rule a fitting is judged by.

    Parameters
    ----------
    deviation : float
        Measured minus nominal. [any]
    u : float
        Its standard uncertainty. [as the deviation]
    low, high : float or None
        Lowest and highest deviation that is allowed; none where there is no such bound. [as the deviation]

    Returns
    -------
    AidOutcome
        Pass inside the bounds; outside by at most two standard uncertainties it cannot be told, by more it fails.
    """
    below = 0.0 if low is None else low - deviation
    above = 0.0 if high is None else deviation - high
    excess = max(below, above)
    if excess <= _ROUNDING * max(1.0, abs(deviation)):
        return AidOutcome.PASS
    return AidOutcome.CANNOT_TELL if excess <= COVERAGE_FACTOR * u else AidOutcome.FAIL
