"""The maximum output against the limit of what this ear can bear."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from umbo.core import Outcome, PointState, worst
from umbo.verdict._judgement import Judgement, judge_above_limit
from umbo.verdict._wording import list_hz

if TYPE_CHECKING:
    from umbo.core import Difference, Level
    from umbo.verdict._judgement import PointJudgement

__all__ = ["maximum_output", "no_maximum_output"]

_LOWER = "Lower the maximum output in these bands, then measure it again; do not let the aid be worn loud until then."
_NEITHER = "Repeat the reading that both the output and its limit rest on, so that these bands can be used."
_NO_LIMIT = (
    "Import a limit that covers these frequencies, or lower the maximum output there; do not let the aid be worn loud "
    "until then."
)


def maximum_output(output: Level, limit: Level, *, is_child: bool, limit_source: str) -> tuple[Difference, Judgement]:
    """Maximum output at the eardrum against the discomfort limit, at every frequency given.

    Which frequencies have to be given for a limit that stands on few of them, :func:`maximum_hz` says. Where the limit
    is held beyond its ends, or is itself a bound, nothing can be told, and the reason says so.

    Parameters
    ----------
    output, limit : Level
        At the eardrum, on one grid. [dB SPL]
    is_child : bool
        For a child the upper edge of the band counts.
    limit_source : str
        Where the limit comes from.

    Returns
    -------
    (Difference, Judgement)
        Output above the limit, and what can be said of it.

    Raises
    ------
    PlaneMismatchError, GridMismatchError, BandwidthMismatchError, EarMismatchError
        If the two are not comparable.
    """
    excess = output.above(limit, quantity="maximum output above the limit")
    judged = judge_above_limit(excess, upper_edge=is_child)
    points = tuple(_where_unlimited(point, limit, i) for i, point in enumerate(judged))
    outcome = worst([point.outcome for point in points])
    action = "" if outcome is Outcome.PASS else _action(points, output, limit)
    sentence = _sentence(points, is_child=is_child)
    return excess, Judgement("maximum_output", outcome, sentence, action, limit_source, points)


def _sentence(points: tuple[PointJudgement, ...], *, is_child: bool) -> str:
    for verb, group in (
        ("exceeds the discomfort limit", [p for p in points if p.outcome is Outcome.FAIL]),
        ("may exceed the discomfort limit", [p for p in points if _is_close(p)]),
        ("cannot be judged", [p for p in points if p.outcome is Outcome.CANNOT_TELL]),
    ):
        if group:
            first = group[0]
            return f"The maximum output {verb} at {list_hz(group)}: at {first.frequency_hz:.0f} Hz {first.reason}."
    edge = ", upper edge of its band included" if is_child else ""
    return f"The maximum output stays below the discomfort limit at {len(points)} frequencies{edge}."


def _where_unlimited(point: PointJudgement, limit: Level, index: int) -> PointJudgement:
    """Beyond the ends of the limit the reason is that none is known."""
    if limit.states.at(index) is not PointState.EXTRAPOLATED or point.is_measured:
        return point
    side = "above" if point.deviation_db > 0 else "below"
    size = f"{abs(point.deviation_db):.1f} dB {side} the nearest known one"
    reason = f"no limit is known so far out, and the output is {size}"
    return replace(point, reason=reason)


def _action(points: tuple[PointJudgement, ...], output: Level, limit: Level) -> str:
    if any(p.outcome is Outcome.FAIL or _is_close(p) for p in points):
        return _LOWER
    measured, limited = output.states.is_usable, limit.states.is_usable
    if (measured & ~limited).any():
        return _NO_LIMIT
    if (~measured & ~limited).any():
        return _NEITHER
    return "Repeat the loud sweep so that these bands can be used."


def _is_close(point: PointJudgement) -> bool:
    return point.outcome is Outcome.CANNOT_TELL and point.is_measured


def no_maximum_output(reason: str, action: str) -> Judgement:
    """There is no maximum output to judge: nothing can be called verified.

    Parameters
    ----------
    reason, action : str
        Why, as a sentence, and what to do.
    """
    source = "common practice: no fitting is verified without it"
    return Judgement("maximum_output", Outcome.CANNOT_TELL, reason, action, source)
