"""Two insertions of one ear: whether they agree."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import InputError

if TYPE_CHECKING:
    from umbo.core import Level

__all__ = ["AGREEMENT_DB", "Agreement", "agreement"]

#: Two insertions agree when they differ by at most this at these frequencies (engineering judgement; mean retest
#: differences are below 1 dB in three studies, within-subject standard deviations up to 3 dB). [Hz] -> [dB]
AGREEMENT_DB = {250: 3.0, 500: 2.0, 1000: 2.0, 2000: 2.0, 3000: 2.0, 4000: 3.0, 6000: 5.0, 8000: 5.0}

#: Frequencies that both insertions must hold for a comparison to mean anything (engineering judgement). [1]
_FEWEST = 4


@dataclass(frozen=True, slots=True)
class Agreement:
    """How two insertions of one ear compare.

    Parameters
    ----------
    agrees : bool
        Whether every frequency lies within its limit.
    worst_db, worst_hz : float
        Largest difference relative to its limit, and where. [dB], [Hz]
    """

    agrees: bool
    worst_db: float
    worst_hz: float


def agreement(first: Level, second: Level) -> Agreement | None:
    """Compare two insertions at the frequencies of the agreement rule that both curves hold and can use.

    Parameters
    ----------
    first, second : Level
        Ear readings, on one grid. [dB SPL]

    Returns
    -------
    Agreement or None
        None if fewer than four frequencies can be compared.

    Raises
    ------
    GridMismatchError, EarMismatchError, PlaneMismatchError
        If the two are not readings of one thing.
    """
    difference = first.above(second, quantity="difference of two insertions")
    usable = difference.states.is_usable
    rows = []
    for hz, limit_db in AGREEMENT_DB.items():
        try:
            index = difference.grid.index(hz)
        except InputError:
            continue
        if usable[index]:
            rows.append((float(hz), abs(float(difference.level_db[index])), limit_db))
    if len(rows) < _FEWEST:
        return None
    ratio = [size / limit for _, size, limit in rows]
    worst = int(np.argmax(ratio))
    return Agreement(ratio[worst] <= 1.0, rows[worst][1], rows[worst][0])
