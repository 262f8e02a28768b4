"""Neighbouring bands that one change serves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.core import BoolArray, FloatArray

__all__ = ["Region", "is_zigzag", "regions_of"]

#: A band between two that need a change goes along where its own deviation is at least this part of its tolerance
#: (engineering judgement). [1]
_GOES_ALONG = 0.5


@dataclass(frozen=True, slots=True)
class Region:
    """Bands in a row and the one change for all of them.

    Parameters
    ----------
    bands : tuple of int
        Indices, one after the other. [1]
    change_db : float
        What to add. [dB]
    """

    bands: tuple[int, ...]
    change_db: float


def is_zigzag(deviation_db: FloatArray, needs: BoolArray) -> BoolArray:
    """Single bands that need a change against the direction of a neighbour that needs one too.

    A hearing aid's band is wider than that; such a dip or peak is more likely the measurement's.

    Parameters
    ----------
    deviation_db : array (n,)
        Deviations. [dB]
    needs : array (n,), bool
        Bands that need a change.

    Returns
    -------
    array (n,), bool
        True for a band alone in its direction, next to one in the other.
    """
    sign = np.where(needs, np.sign(deviation_db), 0.0)
    before, after = np.append(0.0, sign[:-1]), np.append(sign[1:], 0.0)
    is_alone = (before != sign) & (after != sign)
    return np.asarray((sign != 0) & is_alone & ((before == -sign) | (after == -sign)))


def regions_of(
    deviation_db: FloatArray, tolerance_db: FloatArray, needs: BoolArray, may: BoolArray
) -> tuple[Region, ...]:
    """Group the bands that need a change into regions of one direction, and find one change for each.

    The change is minus the mean deviation of the region, at most twice the smallest of its deviations, so that no band
    ends further from its target than it began. Where one change cannot bring all bands within tolerance the region is
    split at its largest step.

    Parameters
    ----------
    deviation_db, tolerance_db : array (n,)
        Deviations and what is allowed. [dB]
    needs : array (n,), bool
        Bands that need a change.
    may : array (n,), bool
        Bands that may go along with their neighbours.

    Returns
    -------
    tuple of Region
        In ascending order, each with at least one band that needs it.
    """
    return tuple(
        region
        for run in _runs(deviation_db, np.where(may, _GOES_ALONG * tolerance_db, np.inf), needs)
        for region in _divided(deviation_db, tolerance_db, needs, run)
    )


def _runs(deviation_db: FloatArray, goes_from_db: FloatArray, needs: BoolArray) -> list[list[int]]:
    sign = np.sign(deviation_db)
    runs: list[list[int]] = []
    for i in np.flatnonzero(needs):
        if runs and sign[i] == sign[runs[-1][-1]]:
            between = range(runs[-1][-1] + 1, i)
            if len(between) <= 1 and all(sign[i] * deviation_db[j] >= goes_from_db[j] for j in between):
                runs[-1] += [*between, int(i)]
                continue
        runs.append([int(i)])
    return runs


def _divided(deviation_db: FloatArray, tolerance_db: FloatArray, needs: BoolArray, run: Sequence[int]) -> list[Region]:
    bands = list(run)
    if not needs[bands].any():
        return []
    d = deviation_db[bands]
    change = -float(np.sign(d[0]) * min(np.abs(d).mean(), 2 * np.abs(d).min()))
    if len(bands) == 1 or np.all(np.abs(d + change) <= tolerance_db[bands]):
        return [Region(tuple(bands), change)]
    at = int(np.argmax(np.abs(np.diff(d)))) + 1
    return [part for half in (bands[:at], bands[at:]) for part in _divided(deviation_db, tolerance_db, needs, half)]
