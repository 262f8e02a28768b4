"""Hearing levels as they are entered: dB HL on a transducer's dial, from HL, eHL or nHL."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo import refdata
from umbo.core import (
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
from umbo.ear._threshold_methods import Reliability, ThresholdMethod, threshold_components
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "NO_DISCOMFORT",
    "NO_RESPONSE",
    "estimate_findings",
    "estimated_hearing_level",
    "hearing_level",
]

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
    method: ThresholdMethod | None = None,
    reliability: Reliability | None = None,
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
    method : ThresholdMethod or None
        How they were found; visual reinforcement gives minimum response levels, and they are called so.
    reliability : Reliability or None
        As the tester judged it; fair and poor widen the uncertainty.

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
    name = _quantity(statistic, method)
    bound = NO_RESPONSE if statistic is not Statistic.LIMIT else NO_DISCOMFORT
    states = States.ok(grid.size).marked(PointState.WITHDRAWN, list(no_response), bound)
    tags = Tags(quantity=name, ear=ear, stimulus=None, statistic=statistic, coupling=coupling, source=None)
    components = threshold_components(name, ear, method=method, reliability=reliability, is_estimate=is_estimate)
    plane = Plane.dial(transducer)
    return Level.given(
        grid, list(level_db), plane=plane, tags=tags, source=source, components=components, states=states
    )


def _quantity(statistic: Statistic, method: ThresholdMethod | None) -> str:
    if statistic is Statistic.LIMIT:
        return "discomfort level"
    return "minimum response level" if method is ThresholdMethod.VRA else "threshold"


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
    frequency_hz: Sequence[float],
    nhl_db: Sequence[float] | None,
    ehl_db: Sequence[float],
    *,
    is_level_dependent: bool = False,
) -> tuple[Finding, ...]:
    """What has to be said about estimated hearing levels.

    Parameters
    ----------
    frequency_hz, nhl_db, ehl_db : sequence of float
        Frequencies, thresholds as recorded (None where only estimates were entered), and estimates.
        [Hz], [dB nHL], [dB eHL]
    is_level_dependent : bool
        Whether the correction followed the level: then it is not the fixed one the warning is about.

    Returns
    -------
    tuple of Finding
        A warning where the loss is so large that a fixed correction may overestimate hearing, and where an estimate is
        better than normal, as after a second correction.
    """
    found = []
    recorded = zip(frequency_hz, nhl_db, strict=True) if nhl_db is not None else ()
    from_db = refdata.table("threshold_checks", source="engineering-judgement").at("severe_estimate", "value")
    severe = [] if is_level_dependent else [f for f, level in recorded if level >= from_db]
    if severe:
        residual = refdata.table("nhl_correction_residual", source="mccreery-2015")
        worst_db = -residual.at(500.0, "fixed_abr_severe_profound_db")
        text = (
            f"At {_list(severe)} the recorded threshold is {from_db:g} dB nHL or more: a fixed correction may "
            f"overestimate hearing, on average by up to {worst_db:g} dB in severe to profound loss at 500 Hz."
        )
        action = "Confirm by behavioural testing as soon as possible; do not read the estimate as the lower bound."
        source = "McCreery et al. 2015 (Table 5 read); level: engineering judgement"
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
