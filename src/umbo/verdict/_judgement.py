"""Judgement of one number against one bound, with its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from umbo.core import Difference, FloatArray

__all__ = ["COVERAGE", "Judgement", "Outcome", "PointJudgement", "judge_above_limit", "judge_within", "worst"]

#: Coverage factor for about 95 % (JCGM 100 clause 6.2.2).
COVERAGE = 2.0


class Outcome(StrEnum):
    """What can be said."""

    PASS = "pass"  # noqa: S105  (the word of the trade, not a password)
    CANNOT_TELL = "cannot_tell"
    FAIL = "fail"


_ORDER = {Outcome.PASS: 0, Outcome.CANNOT_TELL: 1, Outcome.FAIL: 2}


def worst(outcomes: list[Outcome]) -> Outcome:
    """The outcome a group has: fail if one fails, else cannot tell if one cannot; nothing judged is cannot tell."""
    return max(outcomes, key=_ORDER.__getitem__) if outcomes else Outcome.CANNOT_TELL


@dataclass(frozen=True, slots=True)
class PointJudgement:
    """Outcome at one frequency.

    Parameters
    ----------
    frequency_hz : float
        Where. [Hz]
    deviation_db, u_db, tolerance_db : float
        Deviation, its standard uncertainty, and what is allowed. [dB]
    outcome : Outcome
        What can be said.
    reason : str
        Why, when it is not a pass.
    """

    frequency_hz: float
    deviation_db: float
    u_db: float
    tolerance_db: float
    outcome: Outcome
    reason: str


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
    """

    criterion: str
    outcome: Outcome
    sentence: str
    action: str
    source: str
    points: tuple[PointJudgement, ...] = ()
    value_db: float | None = None
    u_db: float | None = None


def judge_within(deviation: Difference, tolerance_db: FloatArray) -> tuple[PointJudgement, ...]:
    """Judge deviations against a tolerance on both sides.

    Inside the tolerance is a pass. Outside by less than two standard uncertainties is "cannot tell": the deviation may be
    the measurement's. Outside by more is a fail. A point that was not measured cannot be told.

    Parameters
    ----------
    deviation : Difference
        Measured minus wanted. [dB]
    tolerance_db : array (n,)
        Allowed on both sides. [dB]
    """
    out = []
    for i, f in enumerate(deviation.frequency_hz):
        d, u, tol = float(deviation.level_db[i]), float(deviation.u_db[i]), float(tolerance_db[i])
        if not deviation.states.at(i).is_usable:
            out.append(PointJudgement(float(f), d, u, tol, Outcome.CANNOT_TELL, deviation.states.reasons(i)[0]))
        elif abs(d) <= tol:
            out.append(PointJudgement(float(f), d, u, tol, Outcome.PASS, ""))
        elif abs(d) - tol <= COVERAGE * u:
            reason = f"{d:+.1f} dB is outside ±{tol:g} dB by less than twice its uncertainty of {u:.1f} dB"
            out.append(PointJudgement(float(f), d, u, tol, Outcome.CANNOT_TELL, reason))
        else:
            reason = f"{d:+.1f} dB is outside ±{tol:g} dB by more than twice its uncertainty of {u:.1f} dB"
            out.append(PointJudgement(float(f), d, u, tol, Outcome.FAIL, reason))
    return tuple(out)


def judge_above_limit(excess: Difference, *, upper_edge: bool) -> tuple[PointJudgement, ...]:
    """Judge how far an output lies above a limit it should not exceed.

    Above by more than two standard uncertainties is a fail. Below, a pass; for a child (``upper_edge``) only if the upper
    edge of the band, value plus two standard uncertainties, lies below. Anything between cannot be told.

    Parameters
    ----------
    excess : Difference
        Output minus limit. [dB]
    upper_edge : bool
        Whether the upper edge of the band counts.
    """
    out = []
    for i, f in enumerate(excess.frequency_hz):
        d, u = float(excess.level_db[i]), float(excess.u_db[i])
        edge = d + COVERAGE * u if upper_edge else d
        if not excess.states.at(i).is_usable:
            out.append(PointJudgement(float(f), d, u, 0.0, Outcome.CANNOT_TELL, excess.states.reasons(i)[0]))
        elif d - COVERAGE * u > 0:
            reason = f"{d:.1f} dB above the limit, more than twice its uncertainty of {u:.1f} dB"
            out.append(PointJudgement(float(f), d, u, 0.0, Outcome.FAIL, reason))
        elif edge <= 0:
            out.append(PointJudgement(float(f), d, u, 0.0, Outcome.PASS, ""))
        else:
            side = "above" if d > 0 else "below"
            reason = f"{abs(d):.1f} dB {side} the limit, within twice its uncertainty of {u:.1f} dB"
            out.append(PointJudgement(float(f), d, u, 0.0, Outcome.CANNOT_TELL, reason))
    return tuple(out)
