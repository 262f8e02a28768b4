"""Placing texts in a column so that none overlaps."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["stack_column"]


def stack_column(
    wanted_px: Sequence[float], heights_px: Sequence[float], top_px: float, bottom_px: float
) -> list[float]:
    """Centres of boxes in a column, as near to the wanted centres as can be without overlap.

    The sum of squared shifts is least: pool adjacent violators on the centres less the room above each.
    Boxes keep inside top and bottom as long as they fit; the caller makes the column tall enough.

    Parameters
    ----------
    wanted_px : sequence of float (n,)
        Wanted centres. [px]
    heights_px : sequence of float (n,)
        Heights of the boxes. [px]
    top_px, bottom_px : float
        Ends of the column. [px]

    Returns
    -------
    list of float (n,)
        Centres in the order given. [px]
    """
    order = sorted(range(len(wanted_px)), key=lambda i: (wanted_px[i], i))
    taken = 0.0
    offsets: list[float] = []
    pools: list[list[float]] = []  # [sum of wanted less offset, number of boxes]
    for i in order:
        offset = taken + heights_px[i] / 2.0
        taken += heights_px[i]
        offsets.append(offset)
        pools.append([wanted_px[i] - offset, 1.0])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            total, count = pools.pop()
            pools[-1][0] += total
            pools[-1][1] += count
    starts = [total / count for total, count in pools for _ in range(int(count))]
    placed = [0.0] * len(order)
    for i, start, offset in zip(order, starts, offsets, strict=True):
        placed[i] = max(min(start, bottom_px - taken), top_px) + offset
    return placed
