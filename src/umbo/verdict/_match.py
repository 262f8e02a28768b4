"""Speech against its target and against threshold, frequency by frequency."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Outcome, worst
from umbo.errors import InputError
from umbo.verdict._guidance import PROJECT_RULE
from umbo.verdict._guidance import guidance as named_guidance
from umbo.verdict._judgement import Judgement, judge_within
from umbo.verdict._wording import list_hz

if TYPE_CHECKING:
    from umbo.core import Difference, FloatArray, Level
    from umbo.verdict._guidance import Guidance
    from umbo.verdict._judgement import PointJudgement

__all__ = ["audible_speech", "match_of", "match_to_target"]


def match_to_target(
    aided: Level,
    target: Level,
    name: str,
    *,
    guidance: Guidance | None = None,
    tolerance_db: FloatArray | None = None,
) -> tuple[Difference, Judgement]:
    """Per-frequency match of aided speech to a target at the eardrum.

    Parameters
    ----------
    aided, target : Level
        At the eardrum, on one grid. [dB SPL]
    name : str
        Which input, for the identifier: "65".
    guidance : Guidance, optional
        Whose tolerances; when left out the project's own rule, which the judgement's source then names. A frequency the
        guidance does not speak of is compared and not judged, and the sentence says so.
    tolerance_db : array (n,), optional
        Allowed on both sides, in place of a guidance. [dB]

    Returns
    -------
    (Difference, Judgement)
        Deviation from target, and what can be said of it.

    Raises
    ------
    PlaneMismatchError, GridMismatchError, BandwidthMismatchError, EarMismatchError
        If the two are not comparable.
    InputError
        If both a guidance and tolerances are given, or the guidance has no tolerance per frequency.
    """
    deviation = aided.above(target, quantity="deviation from target")
    return deviation, match_of(deviation, name, guidance=guidance, tolerance_db=tolerance_db)


def match_of(
    deviation: Difference, name: str, *, guidance: Guidance | None = None, tolerance_db: FloatArray | None = None
) -> Judgement:
    """Judge a deviation that has been formed already; see :func:`match_to_target`."""
    allowed, source = _allowed(deviation, guidance, tolerance_db)
    points = judge_within(deviation, allowed)
    outcome = worst([point.outcome for point in points])
    action = "" if outcome is Outcome.PASS else _action(points)
    sentence = _sentence(points, name) + _left_out(deviation.grid.size - len(points))
    return Judgement(f"match_{name}", outcome, sentence, action, source, points)


def _allowed(
    deviation: Difference, guidance: Guidance | None, tolerance_db: FloatArray | None
) -> tuple[FloatArray, str]:
    if guidance is not None and tolerance_db is not None:
        raise InputError(
            "judge speech against its target",
            f"tolerances are given by the guidance '{guidance.key}' and by a list of numbers",
            "give one of the two",
        )
    if tolerance_db is not None:
        return tolerance_db, "tolerance chosen for this fitting"
    chosen = guidance or named_guidance(PROJECT_RULE)
    if not chosen.bands:
        raise InputError(
            "judge speech frequency by frequency",
            f"the guidance '{chosen.key}' has no tolerance per frequency",
            "judge the rms deviation, or choose another guidance",
        )
    return chosen.tolerance_at(deviation.frequency_hz), chosen.attribution


def _left_out(count: int) -> str:
    if not count:
        return ""
    subject = "1 more frequency was" if count == 1 else f"{count} more frequencies were"
    return f" {subject} compared, of which the guidance says nothing."


def _sentence(points: tuple[PointJudgement, ...], name: str) -> str:
    failed = [p for p in points if p.outcome is Outcome.FAIL]
    untold = [p for p in points if p.outcome is Outcome.CANNOT_TELL]
    for verb, group in (("misses the target", failed), ("cannot be judged", untold)):
        if group:
            first = group[0]
            where = f"at {first.frequency_hz:.0f} Hz {first.reason}"
            return f"Speech at {name} dB {verb} at {list_hz(group)}: {where}."
    if not points:
        return f"Speech at {name} dB was compared with its target at no frequency the guidance speaks of."
    return f"Speech at {name} dB meets the target within tolerance at {len(points)} frequencies."


def _action(points: tuple[PointJudgement, ...]) -> str:
    if any(p.outcome is Outcome.FAIL for p in points):
        return "Bring it towards the target as far as the maximum output allows, then measure again."
    if not points:
        return "Compare at frequencies the guidance speaks of, or choose another guidance."
    return "Reduce the uncertainty (a second insertion, a quieter room, the 0.4 cc coupler) or accept with a reason."


def _not_told(count: int) -> str:
    return f"; at {count} more it cannot be told" if count else ""


def audible_speech(speech: Level, threshold: Level, name: str) -> tuple[Difference, Judgement]:
    """Whether speech lies above threshold at every frequency compared (informative; it never fails a fitting).

    A point without a response, or that was not measured, is not counted: there is no threshold to be above. The
    sentence says how many these are.

    Parameters
    ----------
    speech, threshold : Level
        At the eardrum, on one grid. [dB SPL]
    name : str
        Which input.

    Returns
    -------
    (Difference, Judgement)
        Sensation level, and how many frequencies are above threshold.
    """
    level = speech.above(threshold, quantity="sensation level")
    known = level.states.is_usable
    heard = int(np.sum(known & (level.level_db > 0)))
    sentence = (
        f"Average speech at {name} dB is above threshold at {heard} of {int(known.sum())} frequencies that can be told"
        f"{_not_told(int(np.sum(~known)))}."
    )
    outcome = Outcome.PASS if known.any() else Outcome.CANNOT_TELL
    action = "" if known.any() else "Measure thresholds at frequencies where the aid was measured."
    return level, Judgement(f"audible_{name}", outcome, sentence, action, "sensation level: speech minus threshold")
