"""Speech against its target and against threshold, frequency by frequency."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.verdict._judgement import Judgement, Outcome, judge_within, worst
from umbo.verdict._wording import list_hz

if TYPE_CHECKING:
    from umbo.core import Difference, FloatArray, Level
    from umbo.verdict._judgement import PointJudgement

__all__ = ["audible_speech", "match_to_target"]

#: Tolerance up to 2 kHz and above (BSA guidance on real-ear measurement, from memory). [dB], [Hz]
_TOLERANCE_LOW_DB, _TOLERANCE_HIGH_DB, _STEP_HZ = 5.0, 8.0, 2500.0

_SOURCE = "BSA guidance on real-ear measurement: ±5 dB to 2 kHz, ±8 dB at 3 and 4 kHz (from memory)"


def match_to_target(
    aided: Level, target: Level, name: str, *, tolerance_db: FloatArray | None = None
) -> tuple[Difference, Judgement]:
    """Per-frequency match of aided speech to a target at the eardrum.

    Parameters
    ----------
    aided, target : Level
        At the eardrum, on one grid. [dB SPL]
    name : str
        Which input, for the identifier: "65".
    tolerance_db : array (n,), optional
        Allowed on both sides; when left out ±5 dB up to 2 kHz and ±8 dB above. [dB]

    Returns
    -------
    (Difference, Judgement)
        Deviation from target, and what can be said of it.

    Raises
    ------
    PlaneMismatchError, GridMismatchError, BandwidthMismatchError, EarMismatchError
        If the two are not comparable.
    """
    deviation = aided.above(target, quantity="deviation from target")
    allowed = _tolerance_db(deviation.frequency_hz) if tolerance_db is None else tolerance_db
    source = _SOURCE if tolerance_db is None else "tolerance chosen for this fitting"
    points = judge_within(deviation, allowed)
    outcome = worst([point.outcome for point in points])
    action = "" if outcome is Outcome.PASS else _action(points)
    return deviation, Judgement(f"match_{name}", outcome, _sentence(points, name), action, source, points)


def _tolerance_db(frequency_hz: FloatArray) -> FloatArray:
    return np.where(frequency_hz < _STEP_HZ, _TOLERANCE_LOW_DB, _TOLERANCE_HIGH_DB)


def _sentence(points: tuple[PointJudgement, ...], name: str) -> str:
    failed = [p for p in points if p.outcome is Outcome.FAIL]
    untold = [p for p in points if p.outcome is Outcome.CANNOT_TELL]
    for verb, group in (("misses the target", failed), ("cannot be judged", untold)):
        if group:
            first = group[0]
            where = f"at {first.frequency_hz:.0f} Hz {first.reason}"
            return f"Speech at {name} dB {verb} at {list_hz(group)}: {where}."
    return f"Speech at {name} dB meets the target within tolerance at {len(points)} frequencies."


def _action(points: tuple[PointJudgement, ...]) -> str:
    failed = [p for p in points if p.outcome is Outcome.FAIL]
    if failed:
        moves = ", ".join(f"{-p.deviation_db:+.0f} dB at {p.frequency_hz:.0f} Hz" for p in failed)
        return f"Consider changing the coupler output by {moves}, then measure again."
    return "Reduce the uncertainty (a second insertion, a quieter room, the 0.4 cc coupler) or accept with a reason."


def audible_speech(speech: Level, threshold: Level, name: str) -> tuple[Difference, Judgement]:
    """Whether speech lies above threshold at every frequency compared (informative; it never fails a fitting).

    A point without a response, or that was not measured, is not counted: there is no threshold to be above.

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
        f"Average speech at {name} dB is above threshold at {heard} of {int(known.sum())} frequencies that can be told."
    )
    outcome = Outcome.PASS if known.any() else Outcome.CANNOT_TELL
    action = "" if known.any() else "Measure thresholds at frequencies where the aid was measured."
    return level, Judgement(f"audible_{name}", outcome, sentence, action, "sensation level: speech minus threshold")
