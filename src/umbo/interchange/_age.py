"""Age in months between two dates."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

__all__ = ["age_in_months"]


def age_in_months(born: date, on: date) -> float:
    """Completed months of life and the fraction of the current one. [months]

    Parameters
    ----------
    born, on : date
        Birth and measurement, in this order.
    """
    whole = 12 * (on.year - born.year) + on.month - born.month
    if _anniversary(born, whole) > on:
        whole -= 1
    last, following = _anniversary(born, whole), _anniversary(born, whole + 1)
    return whole + (on - last).days / (following - last).days


def _anniversary(born: date, months: int) -> date:
    years, month = divmod(born.year * 12 + born.month - 1 + months, 12)
    return date(years, month + 1, min(born.day, monthrange(years, month + 1)[1]))
