"""Hearing levels as they are entered: dB HL on a transducer's dial, from HL, eHL or nHL."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Component, Coupling, Ear, Grid, Level, Plane, PointState, States, Statistic, Tags, Transducer
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["ESTIMATE_U_DB", "NO_RESPONSE", "RETEST_U_DB", "estimate_findings", "estimated_hearing_level", "hearing_level"]

#: Standard uncertainty of one threshold: test-retest ±5 dB (from memory), read as k = 2. [dB]
RETEST_U_DB = 2.5

#: Standard uncertainty of a hearing level estimated from evoked responses: 80 % of estimates within 15 dB of behaviour
#: (Stapells, Gravel & Martin 1995, abstract read), read as a normal distribution: 15 / 1.2816. [dB]
ESTIMATE_U_DB = 11.7

#: From here a fixed correction may overestimate hearing (McCreery et al. 2015: up to 28.6 dB in severe to profound loss at
#: 500 Hz; the level itself is engineering judgement). [dB nHL]
_SEVERE_DB = 70.0

#: Reason carried by points without a response: the value is a bound, not a threshold.
NO_RESPONSE = "no response at this level: the threshold lies above it"


def hearing_level(
    frequency_hz: Sequence[float],
    level_db: Sequence[float],
    *,
    ear: Ear,
    transducer: Transducer,
    coupling: Coupling | None,
    statistic: Statistic,
    no_response: Sequence[bool],
    source: str,
) -> Level:
    """Thresholds or discomfort levels on the dial of a transducer.

    Parameters
    ----------
    frequency_hz : sequence of float
        Frequencies, ascending. [Hz]
    level_db : sequence of float
        Levels. [dB HL]
    ear : Ear
        Side.
    transducer : Transducer
        What they were taken with.
    coupling : Coupling or None
        What joined an insert earphone to the ear; none for other transducers.
    statistic : Statistic
        ``THRESHOLD`` or ``LIMIT``.
    no_response : sequence of bool
        Where there was no response at the level: that level is a bound and the point is withdrawn.
    source : str
        Where they come from, with scale and any correction.

    Returns
    -------
    Level
        At ``dial:transducer``. [dB HL]
    """
    grid = Grid.tones(list(frequency_hz))
    states = States.ok(grid.size).marked(PointState.WITHDRAWN, list(no_response), NO_RESPONSE)
    name = "discomfort level" if statistic is Statistic.LIMIT else "threshold"
    tags = Tags(quantity=name, ear=ear, stimulus=None, statistic=statistic, coupling=coupling, source=None)
    retest = Component(
        id=f"retest:{name}:{ear}",
        label=f"retest of the {name}",
        contribution_db=np.array([RETEST_U_DB]),
        across="none",
        evaluation="B",
        source="±5 dB, k = 2 (from memory)",
    )
    plane = Plane.dial(transducer)
    return Level.given(grid, list(level_db), plane=plane, tags=tags, source=source, components=[retest], states=states)


def estimated_hearing_level(
    nhl_db: Sequence[float], correction_db: Sequence[float] | None, *, correction_name: str | None
) -> list[float]:
    r"""Estimate hearing levels from evoked-potential thresholds.

    .. math:: eHL(f) = nHL(f) - C(f) \qquad (F1)

    Parameters
    ----------
    nhl_db : sequence of float
        Thresholds as recorded, not yet corrected. [dB nHL]
    correction_db : sequence of float or None
        Correction per frequency. [dB]
    correction_name : str or None
        The named set it comes from: it is printed wherever the result is.

    Returns
    -------
    list of float
        Estimated hearing levels. [dB eHL]

    Raises
    ------
    InputError
        If no correction set is named: a number alone cannot tell whether it has been corrected.
    """
    if correction_db is None or correction_name is None:
        raise InputError(
            "use thresholds on the nHL scale",
            "no correction set is named, and the numbers alone cannot tell whether a recorder has corrected them",
            'name one with correction = "NAME", or declare the scale eHL if they are corrected',
        )
    return [nhl - correction for nhl, correction in zip(nhl_db, correction_db, strict=True)]  # (F1)
