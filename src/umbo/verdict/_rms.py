"""The paediatric criterion: rms deviation from target at four frequencies."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Outcome
from umbo.errors import InputError
from umbo.verdict._guidance import PROJECT_RULE, rms_bounds
from umbo.verdict._guidance import guidance as named_guidance
from umbo.verdict._judgement import BoundOutcome, Judgement, judge_at_most

if TYPE_CHECKING:
    from umbo.core import Difference, FloatArray
    from umbo.verdict._guidance import Guidance

__all__ = ["RMS_HZ", "rms_deviation", "rms_error", "rms_u_db"]

#: Frequencies of the criterion (McCreery, Bentler & Roush 2013, abstract read). [Hz]
RMS_HZ = (500.0, 1000.0, 2000.0, 4000.0)

_REPEAT = "Repeat the reading that is not usable; where no coupler can tell, measure in the ear."


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


def rms_u_db(deviation_db: FloatArray, covariance_db2: FloatArray) -> float:
    r"""Standard uncertainty of an rms deviation.

    For normal deviations with mean d and covariance C the mean square S has

    .. math:: E(S) = \tfrac{1}{n}(d^T d + \mathrm{tr}\,C), \quad
        \mathrm{var}(S) = \tfrac{1}{n^2}(4\,d^T C d + 2\,\mathrm{tr}\,C^2), \quad
        u(e) = \frac{\sqrt{\mathrm{var}(S)}}{2\sqrt{E(S)}} \qquad (1)

    Parameters
    ----------
    deviation_db : array (n,)
        Deviations. [dB]
    covariance_db2 : array (n, n)
        Covariance between them. [dB²]

    Returns
    -------
    float
        Standard uncertainty. [dB]

    Notes
    -----
    Where the deviations are large against C this is the first-order result of JCGM 100 Eq. 13. That one is zero or
    undefined for deviations around zero; the terms of second order keep it finite and err to the wide side, by 3 %
    for four independent causes, by up to 26 % for one that moves all four (against draws).
    """
    n = deviation_db.size
    mean_square = (deviation_db @ deviation_db + np.trace(covariance_db2)) / n
    if mean_square <= 0:
        return 0.0
    bend = 2 * np.trace(covariance_db2 @ covariance_db2)
    variance = (4 * deviation_db @ covariance_db2 @ deviation_db + bend) / n**2
    return float(np.sqrt(variance) / (2 * np.sqrt(mean_square)))  # Eq. (1)


def rms_deviation(deviation: Difference, name: str, *, guidance: Guidance | None = None) -> Judgement:
    """The rms criterion at 0.5, 1, 2 and 4 kHz, with the outcome against every published bound beside it.

    Parameters
    ----------
    deviation : Difference
        Measured minus target. [dB]
    name : str
        Which input, for the identifier: "65".
    guidance : Guidance, optional
        Whose bound decides; when left out the project's own rule, 5 dB. A stricter bound that was not chosen is said
        and fails nothing.

    Returns
    -------
    Judgement
        With the rms and its standard uncertainty where all four frequencies can be used.

    Raises
    ------
    InputError
        If the guidance has no rms criterion.
    """
    bound, source = _chosen(guidance)
    criterion = f"rms_{name}"
    try:
        held = [deviation.grid.index(hz) for hz in RMS_HZ]
    except InputError:
        text = (
            f"The rms deviation for speech at {name} dB needs 500, 1000, 2000 and 4000 Hz, and not all were compared."
        )
        return Judgement(criterion, Outcome.CANNOT_TELL, text, "Measure the missing frequencies.", source)
    bad = [i for i in held if not deviation.states.at(i).is_usable]
    if bad:
        why = f"{deviation.frequency_hz[bad[0]]:.0f} Hz is {deviation.states.reasons(bad[0])[0]}"
        text = f"The rms deviation for speech at {name} dB cannot be told: {why}."
        return Judgement(criterion, Outcome.CANNOT_TELL, text, _REPEAT, source)
    value = float(rms_error(deviation.level_db[held]))
    u = rms_u_db(deviation.level_db[held], deviation.uncertainty.covariance_db2()[np.ix_(held, held)])
    outcome = judge_at_most(value, u, bound)
    bounds = tuple(BoundOutcome(each, judge_at_most(value, u, each), whose) for each, whose in rms_bounds())
    text = f"The rms deviation for speech at {name} dB is {value:.1f} dB (u {u:.1f} dB){_said(value, outcome, bound)}."
    action = "" if outcome is Outcome.PASS else "Adjust towards the target and measure again."
    return Judgement(criterion, outcome, text, action, source, value_db=value, u_db=u, bounds=bounds)


def _chosen(guidance: Guidance | None) -> tuple[float, str]:
    """The bound that decides [dB], and whose it is."""
    chosen = guidance or named_guidance(PROJECT_RULE)
    if chosen.rms_db is None:
        raise InputError(
            "judge the rms deviation",
            f"the guidance '{chosen.key}' has no rms criterion",
            "leave the rms out, or choose another guidance",
        )
    return chosen.rms_db, "; ".join(whose for _, whose in rms_bounds())


def _said(value_db: float, outcome: Outcome, bound_db: float) -> str:
    others = [each for each, _ in rms_bounds() if each != bound_db]
    if outcome is Outcome.PASS:
        stricter = [
            f"{'and' if value_db <= each else 'but not'} within {each:g} dB" for each in others if each < bound_db
        ]
        return ": " + " ".join([f"within {bound_db:g} dB", *stricter])
    doubt = ", by less than twice its uncertainty" if outcome is Outcome.CANNOT_TELL else ""
    wider = [f" and within {each:g} dB" for each in others if value_db <= each]
    return f", above {bound_db:g} dB{doubt}" + "".join(wider)
