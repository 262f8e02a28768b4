"""At which frequencies a maximum output is compared with its limit: a peak between two limits is not overlooked."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import COVERAGE_FACTOR, Bandwidth, Grid

if TYPE_CHECKING:
    from umbo.core import BoolArray, FloatArray, Level

__all__ = ["maximum_hz"]

#: Relative difference up to which two frequencies are names of one band, as in ``Curve.on``. [1]
_SAME_BAND = 0.015

#: A point between two limits that is no worse than they are by this much says nothing new (engineering judgement). [dB]
_NEWS_DB = 0.5


def maximum_hz(output: Level, limit: Level, *, upper_edge: bool) -> FloatArray:
    """Frequencies at which a maximum output has to be judged.

    Parameters
    ----------
    output, limit : Level
        At the eardrum, each on its own frequencies; a sweep's output stands for single tones. [dB SPL]
    upper_edge : bool
        Whether the upper edge of the output's band counts.

    Returns
    -------
    array (n,)
        Every frequency of the limit; between two of them the worst point of the output if it is worse than both (the
        limit on a straight line over log frequency); beyond the ends, where no limit is known, the highest point of
        the output if it exceeds the limit at that end (engineering judgement). [Hz]
    """
    wide = Grid(output.frequency_hz, Bandwidth.TONE)
    tones = output.on(wide, method="log_frequency", outside="refuse")
    excess = tones.above(limit.on(wide, method="log_frequency", outside="hold"), quantity="output above the limit")
    edge_db = excess.level_db + (COVERAGE_FACTOR * excess.u_db if upper_edge else 0.0)
    known = limit.states.is_usable
    hz, ends = output.frequency_hz, limit.frequency_hz
    usable = output.states.is_usable
    found = [_between(ends[i : i + 2], hz, edge_db, usable) for i in range(len(ends) - 1) if known[i : i + 2].all()]
    if known[0]:
        found.append(_beyond(hz < ends[0] / (1 + _SAME_BAND), hz, excess.level_db, usable))
    if known[-1]:
        found.append(_beyond(hz > ends[-1] * (1 + _SAME_BAND), hz, excess.level_db, usable))
    return np.union1d(ends, np.concatenate([np.empty(0), *found]))


def _between(ends_hz: FloatArray, hz: FloatArray, edge_db: FloatArray, usable: BoolArray) -> FloatArray:
    """Worst usable point between two limits; empty where the limits themselves are as bad."""
    low, high = ends_hz[0] * (1 + _SAME_BAND), ends_hz[1] / (1 + _SAME_BAND)
    inside = np.flatnonzero(usable & (hz > low) & (hz < high))
    if not inside.size:
        return np.empty(0)
    worst = inside[np.argmax(edge_db[inside])]
    at_ends = np.interp(np.log(ends_hz), np.log(hz), edge_db).max()
    is_news = edge_db[worst] > at_ends + _NEWS_DB or edge_db[worst] > 0.0 >= at_ends
    return hz[worst : worst + 1] if is_news else np.empty(0)


def _beyond(where: BoolArray, hz: FloatArray, excess_db: FloatArray, usable: BoolArray) -> FloatArray:
    """Highest usable point beyond the limits; empty where it does not exceed the limit at that end."""
    outside = np.flatnonzero(usable & where)
    if not outside.size:
        return np.empty(0)
    worst = outside[np.argmax(excess_db[outside])]
    return hz[worst : worst + 1] if excess_db[worst] > 0.0 else np.empty(0)
