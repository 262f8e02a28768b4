"""Cutting a curve where its trust changes."""

from __future__ import annotations

from itertools import groupby, pairwise
from typing import TYPE_CHECKING

from umbo.chart._language import Trust

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["runs_by_trust"]

_WORST_LAST = (Trust.FULL, Trust.CAUTION, Trust.NONE)


def runs_by_trust(trust: Sequence[Trust]) -> dict[Trust, list[slice]]:
    """Find the runs of one trust; a segment between two points is no better than the worse of the two.

    Neighbouring runs share the point at which they meet, so that the drawn line has no gap.
    """
    segments = [max(pair, key=_WORST_LAST.index) for pair in pairwise(trust)]
    runs: dict[Trust, list[slice]] = {}
    start = 0
    for kind, members in groupby(segments):
        count = sum(1 for _ in members)
        runs.setdefault(kind, []).append(slice(start, start + count + 1))
        start += count
    return runs
