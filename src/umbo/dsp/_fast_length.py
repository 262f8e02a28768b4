"""Lengths a fast Fourier transform likes."""

from __future__ import annotations

from bisect import bisect_left
from functools import lru_cache

__all__ = ["fast_length"]


def fast_length(least: int) -> int:
    """Smallest length of at least ``least`` that has no prime factor above 5.

    Parameters
    ----------
    least : int
        Wanted length, at least 1. [samples]

    Returns
    -------
    int
        As ``scipy.fft.next_fast_len(least, real=True)``, whose import takes longer than reading ten recordings
        (decision 10). [samples]
    """
    lengths = _lengths_up_to(1 << (max(least, 1) - 1).bit_length())
    return lengths[bisect_left(lengths, least)]


@lru_cache(maxsize=64)
def _lengths_up_to(power_of_two: int) -> tuple[int, ...]:
    """All products of powers of 2, 3 and 5 from half a power of two up to it: there is always one."""
    found = []
    fives = 1
    while fives <= power_of_two:
        odd = fives
        while odd <= power_of_two:
            whole = odd
            while whole <= power_of_two:
                if 2 * whole >= power_of_two:
                    found.append(whole)
                whole *= 2
            odd *= 3
        fives *= 5
    return tuple(sorted(found))
