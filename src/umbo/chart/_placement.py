"""Placing texts so that none overlaps: in a column beside the plot, and in rows above it."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["pack_rows", "stack_column"]


def stack_column(wanted_px: Sequence[float], heights_px: Sequence[float], top_px: float, bottom_px: float) -> list[float]:
    """Centres of boxes in a column, as near to the wanted centres as can be without overlap.

    The sum of squared shifts is least (pool adjacent violators on the centres less the room taken by the boxes above).
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


def pack_rows(spans_px: Sequence[tuple[float, float]], gap_px: float) -> list[int]:
    """Row of each span (left, right), 0 first, so that spans of one row keep the gap between them. [px]"""
    rows: list[list[tuple[float, float]]] = []
    chosen: list[int] = []
    for left, right in spans_px:
        free = (n for n, row in enumerate(rows) if all(right + gap_px <= a or b + gap_px <= left for a, b in row))
        row_number = next(free, len(rows))
        if row_number == len(rows):
            rows.append([])
        rows[row_number].append((left, right))
        chosen.append(row_number)
    return chosen
