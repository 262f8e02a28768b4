"""How a share of draws is said."""

from __future__ import annotations

__all__ = ["share_words"]


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


#: Beyond this a rounded percentage would say "all". [1]
_NEARLY_ALL = 0.99
