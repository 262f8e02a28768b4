"""Averaging repeated insertions or placements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from umbo.core import Component, Level, Origin, Uncertainty

__all__ = ["average_levels"]


def average_levels(levels: Sequence[Level], name: str) -> Level:
    """Mean of repeated readings of one place in decibels.

    Parameters
    ----------
    levels : sequence of Level
        Readings at one plane, on one grid, alike in every tag.
    name : str
        Identity of the placement error that remains.

    Returns
    -------
    Level
        Mean; every cause enters with its share, and the scatter between placements as type A with n - 1 degrees of
        freedom (JCGM 100 clause 4.2.3).
    """
    first = levels[0]
    if len(levels) == 1:
        return first
    n = len(levels)
    values = np.mean([level.level_db for level in levels], axis=0)
    uncertainty = Uncertainty.none(first.grid.size)
    states = first.states
    for level in levels:
        uncertainty = uncertainty.plus(level.uncertainty, 1 / n)
        states = states.joined(level.states)
    scatter = np.std([level.level_db for level in levels], axis=0, ddof=1) / np.sqrt(n)
    component = Component(
        f"placement:{name}",
        f"placement, {n} insertions",
        scatter,
        "none",
        "A",
        "scatter between insertions",
        n - 1,
    )
    label = f"mean of {n} readings, {first.tags.quantity} {first.plane.phrase}"
    parts = tuple((1, level.origin) for level in levels)
    return replace(
        first,
        level_db=values,
        states=states,
        uncertainty=uncertainty.with_component(component),
        origin=Origin(label, "arithmetic mean in decibels", first.unit, first.frequency_hz, values, parts),
    )
