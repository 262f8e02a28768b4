"""How a share of draws is said: in a sentence, and in a column."""

from __future__ import annotations

__all__ = ["share_text", "share_words"]

#: Beyond this a rounded percentage would say "all" or "none". [1]
_NEARLY_ALL = 0.99


def share_words(share: float, n: int) -> str:
    """A share of draws, never more exact than the draws are.

    Parameters
    ----------
    share : float
        0 to 1. [1]
    n : int
        Number of draws. [1]

    Returns
    -------
    str
        "in 87 % of 10000 draws", "in more than 99 % of 10000 draws", "in none of 10000 draws".
    """
    if share in (0.0, 1.0):
        return f"in {'all' if share else 'none'} of {n} draws"
    if share > _NEARLY_ALL:
        return f"in more than 99 % of {n} draws"
    if share < 1 - _NEARLY_ALL:
        return f"in fewer than 1 % of {n} draws"
    return f"in {100 * share:.0f} % of {n} draws"


def share_text(share: float) -> str:
    """A share of draws in a column, never "all" or "none" by rounding.

    Parameters
    ----------
    share : float
        0 to 1. [1]

    Returns
    -------
    str
        "87 %", "> 99 %", "< 1 %", "100 %".
    """
    if 0 < share < 1 - _NEARLY_ALL:
        return "< 1 %"
    if _NEARLY_ALL < share < 1:
        return "> 99 %"
    return f"{100 * share:.0f} %"
