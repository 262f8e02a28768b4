"""Hearing levels as they are entered: dB HL on a transducer's dial, from HL, eHL or nHL."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import (
    Component,
    Coupling,
    Ear,
    Finding,
    Grid,
    Level,
    Plane,
    PointState,
    Severity,
    States,
    Statistic,
    Tags,
    Transducer,
)
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "ESTIMATE_U_DB",
    "NO_DISCOMFORT",
    "NO_RESPONSE",
    "RETEST_U_DB",
    "estimate_findings",
    "estimated_hearing_level",
    "hearing_level",
]

#: Standard uncertainty of one threshold: test-retest ±5 dB (from memory), read as k = 2. [dB]
RETEST_U_DB = 2.5

#: Standard uncertainty of a hearing level estimated from evoked responses: 80 % of estimates within 15 dB of behaviour
#: (Stapells, Gravel & Martin 1995, abstract read), read as a normal distribution: 15 / 1.2816. [dB]
ESTIMATE_U_DB = 11.7

#: From here a fixed correction may overestimate hearing (McCreery et al. 2015: up to 28.6 dB in severe to profound loss
#: at 500 Hz; the level itself is engineering judgement). [dB nHL]
_SEVERE_DB = 70.0

#: Reason carried by points without a response: the value is a bound, not a threshold.
NO_RESPONSE = "no response at this level: the threshold lies above it"
NO_DISCOMFORT = "no discomfort at this level: the discomfort level lies above it"


def hearing_level(  # noqa: PLR0913  (what an audiogram states)
    frequency_hz: Sequence[float],
    level_db: Sequence[float],
    *,
    ear: Ear,
    transducer: Transducer,
    coupling: Coupling | None,
    statistic: Statistic,
    no_response: Sequence[bool],
    source: str,
    is_estimate: bool = False,
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
    is_estimate : bool
        Whether they are estimated from evoked responses (eHL): then this child's behaviour scatters around them.

    Returns
    -------
    Level
        At ``dial:transducer``. [dB HL]

    Raises
    ------
    InputError
        If there is not one level and one mark per frequency, or the frequencies do not ascend.
    """
    grid = Grid.tones(list(frequency_hz))
    name = "discomfort level" if statistic is Statistic.LIMIT else "threshold"
    bound = NO_RESPONSE if statistic is not Statistic.LIMIT else NO_DISCOMFORT
    states = States.ok(grid.size).marked(PointState.WITHDRAWN, list(no_response), bound)
    tags = Tags(quantity=name, ear=ear, stimulus=None, statistic=statistic, coupling=coupling, source=None)
    retest = Component(
        id=f"retest:{name}:{ear}",
        label=f"retest of the {name}",
        contribution_db=np.array([RETEST_U_DB]),
        across="none",
        evaluation="B",
        source="±5 dB, k = 2 (from memory)",
    )
    components = [retest, _estimate(name, ear)] if is_estimate else [retest]
    plane = Plane.dial(transducer)
    return Level.given(
        grid, list(level_db), plane=plane, tags=tags, source=source, components=components, states=states
    )


def _estimate(name: str, ear: Ear) -> Component:
    return Component(
        id=f"estimate:{name}:{ear}",
        label="behaviour against the estimate from evoked responses",
        contribution_db=np.array([ESTIMATE_U_DB]),
        across="none",
        evaluation="B",
        source="Stapells, Gravel & Martin 1995 (abstract read)",
    )


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
        If no correction set is named: a number alone cannot tell whether it has been corrected. Also if there is not
        one correction per threshold.
    """
    if correction_db is None or correction_name is None:
        raise InputError(
            "use thresholds on the nHL scale",
            "no correction set is named, and the numbers alone cannot tell whether a recorder has corrected them",
            'name one with correction = "NAME", or declare the scale eHL if they are corrected',
        )
    if len(correction_db) != len(nhl_db):
        raise InputError(
            f"correct nHL thresholds by '{correction_name}'",
            f"there are {len(nhl_db)} thresholds and {len(correction_db)} corrections",
            "give one correction per threshold",
        )
    return [nhl - correction for nhl, correction in zip(nhl_db, correction_db, strict=True)]  # (F1)


def estimate_findings(
    frequency_hz: Sequence[float], nhl_db: Sequence[float] | None, ehl_db: Sequence[float]
) -> tuple[Finding, ...]:
    """What has to be said about estimated hearing levels.

    Parameters
    ----------
    frequency_hz, nhl_db, ehl_db : sequence of float
        Frequencies, thresholds as recorded (None where only estimates were entered), and estimates.
        [Hz], [dB nHL], [dB eHL]

    Returns
    -------
    tuple of Finding
        A warning where the loss is so large that a fixed correction may overestimate hearing, and where an estimate is
        better than normal, as after a second correction.
    """
    found = []
    recorded = zip(frequency_hz, nhl_db, strict=True) if nhl_db is not None else ()
    severe = [f for f, level in recorded if level >= _SEVERE_DB]
    if severe:
        text = (
            f"At {_list(severe)} the recorded threshold is {_SEVERE_DB:g} dB nHL or more: a fixed correction may "
            "overestimate hearing."
        )
        action = "Confirm by behavioural testing as soon as possible; do not read the estimate as the lower bound."
        source = "McCreery et al. 2015 (table read); level: engineering judgement"
        found.append(Finding("estimate_in_severe_loss", Severity.WARN, text, action, source, min(severe), max(severe)))
    negative = [f for f, level in zip(frequency_hz, ehl_db, strict=True) if level < 0]
    if negative:
        text = (
            f"At {_list(negative)} the estimated hearing level is better than 0 dB eHL, as after a second correction."
        )
        action = "Ask the recorder's settings whether its values were corrected already; if so declare the scale eHL."
        found.append(
            Finding(
                "estimate_below_zero",
                Severity.WARN,
                text,
                action,
                "engineering judgement",
                min(negative),
                max(negative),
            )
        )
    return tuple(found)


def _list(frequency_hz: Sequence[float]) -> str:
    return ", ".join(f"{f:g}" for f in frequency_hz) + " Hz"
