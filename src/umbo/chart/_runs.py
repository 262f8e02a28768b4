"""Cutting a curve where its trust changes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from umbo.chart._language import Trust

__all__ = ["runs_by_trust"]

_WORST_LAST = (Trust.FULL, Trust.CAUTION, Trust.NONE)


def runs_by_trust(trust: Sequence[Trust]) -> dict[Trust, list[slice]]:
    """Runs of points joined by segments of one trust; a segment is no better than the worse of its two ends.

    Neighbouring runs share the point at which they meet, so that the drawn line has no gap.
    """
    segments = [max(pair, key=_WORST_LAST.index) for pair in zip(trust[:-1], trust[1:], strict=True)]
    runs: dict[Trust, list[slice]] = {}
    start = 0
    for kind, members in groupby(segments):
        count = sum(1 for _ in members)
        runs.setdefault(kind, []).append(slice(start, start + count + 1))
        start += count
    return runs
