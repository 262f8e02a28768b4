"""Judgement of one number against one bound, with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan
from typing import TYPE_CHECKING

from umbo.core import COVERAGE_FACTOR, Outcome
from umbo.errors import InputError

if TYPE_CHECKING:
    from umbo.core import Difference, FloatArray

__all__ = [
    "BoundOutcome",
    "Judgement",
    "PointJudgement",
    "judge_above_limit",
    "judge_at_most",
    "judge_within",
]


@dataclass(frozen=True, slots=True)
class PointJudgement:
    """Outcome at one frequency.

    Parameters
    ----------
    frequency_hz : float
        Where. [Hz]
    deviation_db, u_db, tolerance_db : float
        Deviation, its standard uncertainty, and what is allowed. [dB], of a slope [dB/octave]
    outcome : Outcome
        What can be said.
    reason : str
        Why, when it is not a pass.
    is_measured : bool
        Whether the point could be used at all.
    """

    frequency_hz: float
    deviation_db: float
    u_db: float
    tolerance_db: float
    outcome: Outcome
    reason: str
    is_measured: bool = True


@dataclass(frozen=True, slots=True)
class BoundOutcome:
    """What can be said of a number against one of several published bounds.

    Parameters
    ----------
    bound_db : float
        Bound. [dB]
    outcome : Outcome
        What can be said.
    source : str
        Whose bound it is.
    """

    bound_db: float
    outcome: Outcome
    source: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """Outcome of one criterion.

    Parameters
    ----------
    criterion : str
        Stable identifier: "match_65", "rms_65", "maximum_output", ...
    outcome : Outcome
        What can be said.
    sentence : str
        Why, in one sentence.
    action : str
        What to do next; empty for a pass.
    source : str
        Whose criterion it is.
    points : tuple of PointJudgement
        Frequencies it rests on.
    value_db, u_db : float or None
        The criterion's own number where it has one (an rms). [dB]
    bounds : tuple of BoundOutcome
        The same number against every published bound, the chosen one or not; they decide nothing here.
    pass_share : float or None
        Share of joint draws in which the criterion is kept, where it was drawn (see ``draw_verdicts``). [1]
    """

    criterion: str
    outcome: Outcome
    sentence: str
    action: str
    source: str
    points: tuple[PointJudgement, ...] = ()
    value_db: float | None = None
    u_db: float | None = None
    bounds: tuple[BoundOutcome, ...] = ()
    pass_share: float | None = None


def judge_at_most(value_db: float, u_db: float, bound_db: float) -> Outcome:
    """Judge a number that should not exceed a bound.

    Parameters
    ----------
    value_db, u_db, bound_db : float
        Number, its standard uncertainty, and the bound. [dB]

    Returns
    -------
    Outcome
        Pass at or below; above by at most two standard uncertainties it cannot be told; above by more is a fail.
    """
    if value_db <= bound_db:
        return Outcome.PASS
    return Outcome.CANNOT_TELL if value_db - bound_db <= COVERAGE_FACTOR * u_db else Outcome.FAIL


def judge_within(deviation: Difference, tolerance_db: FloatArray, *, unit: str = "dB") -> tuple[PointJudgement, ...]:
    """Judge deviations against a tolerance on both sides.

    Inside the tolerance is a pass. Outside by at most two standard uncertainties is "cannot tell": the deviation may be
    the measurement's. Outside by more is a fail. A point that was not measured cannot be told.

    Parameters
    ----------
    deviation : Difference
        Measured minus wanted. [dB]
    tolerance_db : array (n,)
        Allowed on both sides; NaN where nothing is required, and the point is left out. [dB]
    unit : str
        Unit of deviation and tolerance, for the sentence.

    Returns
    -------
    tuple of PointJudgement
        One per frequency with a tolerance.

    Raises
    ------
    InputError
        If there is not one tolerance per frequency.
    """
    if len(tolerance_db) != deviation.grid.size:
        raise InputError(
            f"judge the {deviation.tags.quantity}",
            f"it has {deviation.grid.size} frequencies and {len(tolerance_db)} tolerances",
            "give one tolerance per frequency",
        )
    allowed = [(i, float(tolerance)) for i, tolerance in enumerate(tolerance_db) if not isnan(tolerance)]
    return tuple(_within(deviation, i, tolerance, unit) for i, tolerance in allowed)


def _within(deviation: Difference, index: int, tolerance: float, unit: str) -> PointJudgement:
    hz, d, u = _numbers(deviation, index)
    if not deviation.states.at(index).is_usable:
        return _unmeasured(deviation, index, tolerance)
    outcome = judge_at_most(abs(d), u, tolerance)
    if outcome is Outcome.PASS:
        return PointJudgement(hz, d, u, tolerance, outcome, "")
    size = "less" if outcome is Outcome.CANNOT_TELL else "more"
    reason = f"{d:+.1f} {unit} is outside ±{tolerance:g} {unit} by {size} than twice its uncertainty of {u:.1f} {unit}"
    return PointJudgement(hz, d, u, tolerance, outcome, reason)


def judge_above_limit(excess: Difference, *, upper_edge: bool) -> tuple[PointJudgement, ...]:
    """Judge how far an output lies above a limit it should not exceed.

    Above by more than two standard uncertainties is a fail. At or below it is a pass; for a child (``upper_edge``) only
    if the upper edge of the band, value plus two standard uncertainties, is. Anything between cannot be told.

    Parameters
    ----------
    excess : Difference
        Output minus limit. [dB]
    upper_edge : bool
        Whether the upper edge of the band counts.

    Returns
    -------
    tuple of PointJudgement
        One per frequency.
    """
    return tuple(_above(excess, i, upper_edge=upper_edge) for i in range(excess.grid.size))


def _above(excess: Difference, index: int, *, upper_edge: bool) -> PointJudgement:
    hz, d, u = _numbers(excess, index)
    if not excess.states.at(index).is_usable:
        return _unmeasured(excess, index, 0.0)
    if d - COVERAGE_FACTOR * u > 0:
        reason = f"{d:.1f} dB above the limit, more than twice its uncertainty of {u:.1f} dB"
        return PointJudgement(hz, d, u, 0.0, Outcome.FAIL, reason)
    if d + (COVERAGE_FACTOR * u if upper_edge else 0.0) <= 0:
        return PointJudgement(hz, d, u, 0.0, Outcome.PASS, "")
    side = "above" if d > 0 else "below"
    reason = f"{abs(d):.1f} dB {side} the limit, within twice its uncertainty of {u:.1f} dB"
    return PointJudgement(hz, d, u, 0.0, Outcome.CANNOT_TELL, reason)


def _numbers(difference: Difference, index: int) -> tuple[float, float, float]:
    """Frequency, value and standard uncertainty of a point. [Hz], [dB], [dB]"""
    return (
        float(difference.frequency_hz[index]),
        float(difference.level_db[index]),
        float(difference.u_db[index]),
    )


def _unmeasured(difference: Difference, index: int, tolerance: float) -> PointJudgement:
    hz, d, u = _numbers(difference, index)
    reason = difference.states.reasons(index)[0]
    return PointJudgement(hz, d, u, tolerance, Outcome.CANNOT_TELL, reason, is_measured=False)
