"""The one rule by which a number of the aid passes or fails."""

from __future__ import annotations

from umbo.core import COVERAGE_FACTOR, Outcome

__all__ = ["judge_between"]

#: Rounding that does not count as a deviation. [1]
_ROUNDING = 1e-9


def judge_between(deviation: float, u: float, low: float | None, high: float | None) -> Outcome:
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
    Outcome
        Pass inside the bounds; outside by at most two standard uncertainties it cannot be told, by more it fails.
    """
    below = 0.0 if low is None else low - deviation
    above = 0.0 if high is None else deviation - high
    excess = max(below, above)
    if excess <= _ROUNDING * max(1.0, abs(deviation)):
        return Outcome.PASS
    return Outcome.CANNOT_TELL if excess <= COVERAGE_FACTOR * u else Outcome.FAIL
