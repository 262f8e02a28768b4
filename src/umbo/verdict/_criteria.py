"""The criteria a fitting is judged by, each with its source."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.verdict._judgement import (
    COVERAGE,
    Judgement,
    Outcome,
    PointJudgement,
    judge_above_limit,
    judge_within,
    worst,
)

if TYPE_CHECKING:
    from umbo.core import Difference, FloatArray, Level

__all__ = [
    "RMS_HZ",
    "audible_speech",
    "match_to_target",
    "maximum_output",
    "no_maximum_output",
    "rms_deviation",
    "rms_error",
]

#: Frequencies of the paediatric rms criterion (McCreery, Bentler & Roush 2013). [Hz]
RMS_HZ = (500.0, 1000.0, 2000.0, 4000.0)

#: rms criterion, and the stricter one (Wiseman et al. 2023/24). [dB]
RMS_LIMIT_DB, STRICT_RMS_DB = 5.0, 3.0

#: Tolerance per frequency up to 2 kHz and above (BSA guidance on real-ear measurement, from memory). [dB]
TOLERANCE_LOW_DB, TOLERANCE_HIGH_DB, TOLERANCE_STEP_HZ = 5.0, 8.0, 2500.0


def _tolerance_db(frequency_hz: FloatArray) -> FloatArray:
    return np.where(frequency_hz < TOLERANCE_STEP_HZ, TOLERANCE_LOW_DB, TOLERANCE_HIGH_DB)


def match_to_target(aided: Level, target: Level, name: str) -> tuple[Difference, Judgement]:
    """Per-frequency match of aided speech to a target at the eardrum.

    Parameters
    ----------
    aided, target : Level
        At the eardrum, on one grid. [dB SPL]
    name : str
        Which input, for the identifier: "65".
    """
    deviation = aided.above(target, quantity="deviation from target")
    points = judge_within(deviation, _tolerance_db(deviation.frequency_hz))
    outcome = worst([p.outcome for p in points])
    return deviation, Judgement(
        f"match_{name}",
        outcome,
        _match_sentence(points, name),
        "" if outcome is Outcome.PASS else _match_action(points),
        "BSA guidance on real-ear measurement: ±5 dB to 2 kHz, ±8 dB at 3 and 4 kHz (from memory)",
        points,
    )


def _list_hz(points: list[PointJudgement]) -> str:
    return ", ".join(f"{p.frequency_hz:.0f}" for p in points) + " Hz"


def _match_sentence(points: tuple[PointJudgement, ...], name: str) -> str:
    failed = [p for p in points if p.outcome is Outcome.FAIL]
    open_ = [p for p in points if p.outcome is Outcome.CANNOT_TELL]
    if failed:
        return f"Speech at {name} dB misses the target at {_list_hz(failed)}: at {failed[0].frequency_hz:.0f} Hz {failed[0].reason}."
    if open_:
        return f"Speech at {name} dB cannot be judged at {_list_hz(open_)}: at {open_[0].frequency_hz:.0f} Hz {open_[0].reason}."
    return f"Speech at {name} dB meets the target within tolerance at {len(points)} frequencies."


def _match_action(points: tuple[PointJudgement, ...]) -> str:
    failed = [p for p in points if p.outcome is Outcome.FAIL]
    if failed:
        moves = ", ".join(f"{-p.deviation_db:+.0f} dB at {p.frequency_hz:.0f} Hz" for p in failed)
        return f"Consider changing the coupler output by {moves}, then measure again."
    return "Reduce the uncertainty (a second insertion, a quieter room, the 0.4 cc coupler) or accept with a reason."


def rms_error(deviation_db: FloatArray) -> FloatArray:
    r"""Root-mean-square deviation.

    .. math:: e = \sqrt{\tfrac{1}{n}\sum_i d_i^2} \qquad (F9)

    Parameters
    ----------
    deviation_db : array (..., n)
        Deviations. [dB]

    Returns
    -------
    array (...)
        [dB]

    References
    ----------
    McCreery, Bentler & Roush 2013, Ear and Hearing 34, 701 (abstract read).
    """
    return np.asarray(np.sqrt(np.mean(np.square(deviation_db), axis=-1)))  # (F9)


def rms_deviation(deviation: Difference, name: str) -> Judgement:
    """The rms criterion at 0.5, 1, 2 and 4 kHz: 5 dB, and whether the stricter 3 dB is met.

    The standard uncertainty of the rms is the first-order one, with the covariance between frequencies (JCGM 100 Eq. 13).

    Parameters
    ----------
    deviation : Difference
        Measured minus target. [dB]
    name : str
        Which input, for the identifier.
    """
    criterion, source = f"rms_{name}", "McCreery, Bentler & Roush 2013; Wiseman et al. 2023/24 (abstracts read)"
    held = [i for i, f in enumerate(deviation.frequency_hz) if any(abs(f / r - 1) < 0.03 for r in RMS_HZ)]
    if len(held) < len(RMS_HZ):
        text = (
            f"The rms deviation for speech at {name} dB needs 500, 1000, 2000 and 4000 Hz, and not all were compared."
        )
        return Judgement(criterion, Outcome.CANNOT_TELL, text, "Measure the missing frequencies.", source)
    bad = [i for i in held if not deviation.states.at(i).is_usable]
    if bad:
        text = (
            f"The rms deviation for speech at {name} dB cannot be told: "
            f"{deviation.frequency_hz[bad[0]]:.0f} Hz is {deviation.states.reasons(bad[0])[0]}."
        )
        return Judgement(criterion, Outcome.CANNOT_TELL, text, "Repeat the reading that is not usable.", source)
    d = deviation.level_db[held]
    value = float(rms_error(d))
    slope = d / (len(held) * max(value, 1e-9))
    covariance = deviation.uncertainty.covariance_db2()[np.ix_(held, held)]
    u = float(np.sqrt(slope @ covariance @ slope))
    if value <= RMS_LIMIT_DB:
        strict = "and" if value <= STRICT_RMS_DB else "but not"
        text = f"The rms deviation for speech at {name} dB is {value:.1f} dB (u {u:.1f} dB): within 5 dB {strict} within 3 dB."
        return Judgement(criterion, Outcome.PASS, text, "", source, value_db=value, u_db=u)
    outcome = Outcome.CANNOT_TELL if value - RMS_LIMIT_DB <= COVERAGE * u else Outcome.FAIL
    text = f"The rms deviation for speech at {name} dB is {value:.1f} dB (u {u:.1f} dB), above 5 dB."
    return Judgement(
        criterion, outcome, text, "Adjust towards the target and measure again.", source, value_db=value, u_db=u
    )


def maximum_output(output: Level, limit: Level, *, is_child: bool, limit_source: str) -> tuple[Difference, Judgement]:
    """Maximum output at the eardrum against the discomfort limit, at every frequency the limit is known for.

    Parameters
    ----------
    output, limit : Level
        At the eardrum, on one grid. [dB SPL]
    is_child : bool
        For a child the upper edge of the band counts.
    limit_source : str
        Where the limit comes from.
    """
    excess = output.above(limit, quantity="maximum output above the limit")
    points = judge_above_limit(excess, upper_edge=is_child)
    outcome = worst([p.outcome for p in points])
    over = [p for p in points if p.outcome is Outcome.FAIL] or [p for p in points if p.outcome is Outcome.CANNOT_TELL]
    if outcome is Outcome.PASS:
        edge = ", upper edge of its band included" if is_child else ""
        sentence, action = (
            f"The maximum output stays below the discomfort limit at {len(points)} frequencies{edge}.",
            "",
        )
    else:
        verb = "exceeds" if outcome is Outcome.FAIL else "may exceed"
        sentence = f"The maximum output {verb} the discomfort limit at {_list_hz(over)}: at {over[0].frequency_hz:.0f} Hz {over[0].reason}."
        action = "Lower the maximum output in these bands, then measure it again; do not let the aid be worn loud until then."
    return excess, Judgement("maximum_output", outcome, sentence, action, limit_source, points)


def no_maximum_output(reason: str, action: str) -> Judgement:
    """There is no maximum output to judge: nothing can be called verified."""
    return Judgement(
        "maximum_output", Outcome.CANNOT_TELL, reason, action, "common practice: no fitting is verified without it"
    )


def audible_speech(speech: Level, threshold: Level, name: str) -> tuple[Difference, Judgement]:
    """Whether speech lies above threshold at every frequency compared (informative; it never fails a fitting).

    Parameters
    ----------
    speech, threshold : Level
        At the eardrum, on one grid. [dB SPL]
    name : str
        Which input.
    """
    level = speech.above(threshold, quantity="sensation level")
    known = level.states.is_usable
    heard = [f for f, sl, ok in zip(level.frequency_hz, level.level_db, known, strict=True) if ok and sl > 0]
    sentence = f"Average speech at {name} dB is above threshold at {len(heard)} of {int(known.sum())} frequencies that can be told."
    outcome = Outcome.PASS if known.any() else Outcome.CANNOT_TELL
    return level, Judgement(f"audible_{name}", outcome, sentence, "", "sensation level, JOB section 0")
