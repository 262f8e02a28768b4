"""What has changed since an earlier visit, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from umbo.core import Finding, Severity
from umbo.errors import EarMismatchError, InputError
from umbo.verdict._contrast import contrast
from umbo.verdict._rules import RULE_SOURCE, rule

if TYPE_CHECKING:
    from datetime import date

    from umbo.core import BoolArray, Curve
    from umbo.verdict._contrast import Contrast

__all__ = ["Change", "Watched", "change_between", "change_since"]


class Watched(StrEnum):
    """What is compared between two visits."""

    RECD = "recd"
    THRESHOLD = "threshold"
    AIDED_LEVEL = "aided_level"
    MAXIMUM_OUTPUT = "maximum_output"

    @property
    def phrase(self) -> str:
        """How a sentence says it."""
        return "RECD" if self is Watched.RECD else self.replace("_", " ")


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """Now minus then, and what is to be said about it.

    Parameters
    ----------
    watched : Watched
        What was compared.
    contrast : Contrast
        Now minus then. [dB]
    is_significant : array (n,), bool
        Where the change is more than twice its standard uncertainty.
    calls_for_action : array (n,), bool
        Where it is as large as the rule for this quantity asks.
    findings : tuple of Finding
        With the next action.
    """

    watched: Watched
    contrast: Contrast
    is_significant: BoolArray
    calls_for_action: BoolArray
    findings: tuple[Finding, ...]


def change_since(
    then: Curve,
    now: Curve,
    watched: Watched,
    *,
    then_on: date,
    now_on: date,
    age_months: float | None,
) -> Change:
    """Compare a curve with the one of an earlier visit; causes of error with one identity are not counted twice.

    Parameters
    ----------
    then, now : Level or Transfer
        Of one ear and one kind, on one grid. [dB]
    watched : Watched
        What it is.
    then_on, now_on : date
        Days of the two measurements.
    age_months : float or None
        Age now; none where it is not known, and growth is then not spoken of. [month]

    Returns
    -------
    Change
        Now minus then.

    Raises
    ------
    CombinationError
        If the two are not of one kind or belong to different ears.
    InputError
        If the earlier visit is the later one.
    """
    if None not in (then.tags.ear, now.tags.ear) and then.tags.ear != now.tags.ear:
        raise EarMismatchError(
            f"compare the {watched.phrase} with that of {then_on}",
            f"it was the {then.tags.ear} ear's and this is the {now.tags.ear} ear's",
            "compare one ear with itself",
        )
    compared = contrast(now, then, quantity=f"change of the {watched.phrase}")
    return change_between(compared, watched, then_on=then_on, now_on=now_on, age_months=age_months)


def change_between(
    compared: Contrast, watched: Watched, *, then_on: date, now_on: date, age_months: float | None
) -> Change:
    """Judge a change that has been formed already, for example from bare numbers.

    Parameters
    ----------
    compared : Contrast
        Now minus then. [dB]
    watched : Watched
        What it is.
    then_on, now_on : date
        Days of the two measurements.
    age_months : float or None
        Age now. [month]

    Returns
    -------
    Change
        Now minus then.

    Raises
    ------
    InputError
        If the earlier visit is the later one.
    """
    if then_on > now_on:
        raise InputError(
            f"compare the {watched.phrase} with an earlier one",
            f"the earlier one is of {then_on} and this one of {now_on}",
            "exchange the two",
        )
    size = np.abs(compared.difference_db)
    # 1e-9: 3.0 formed as the difference of two decimal numbers is 3 dB.
    large = np.asarray(compared.is_usable & (size >= rule(f"visit_{watched}") - 1e-9))
    significant = compared.is_significant
    findings = []
    if large.any():
        findings.append(_large(compared, watched, large, then_on, age_months))
    elif significant.any():
        findings.append(_small(compared, watched, significant, then_on))
    if not compared.is_usable.any():
        findings.append(_unknown(watched, then_on))
    return Change(watched, compared, significant, large, tuple(findings))


def _large(compared: Contrast, watched: Watched, where: BoolArray, then_on: date, age_months: float | None) -> Finding:
    worst = int(np.argmax(np.where(where, np.abs(compared.difference_db), -1.0)))
    doubt = "" if compared.is_significant[worst] else ", within twice its uncertainty"
    rises = bool(compared.difference_db[worst] > 0)
    grown = _growth(watched, rises, age_months)
    text = f"The {watched.phrase} has changed since {then_on}: {compared.worded(worst)}{doubt}{grown}."
    action = _ACTIONS[watched, rises]
    if doubt:
        action = f"Repeat it to make sure. {action}"
    hz = compared.frequency_hz[where]
    return Finding(f"{watched}_changed", Severity.WARN, text, action, RULE_SOURCE, float(hz[0]), float(hz[-1]))


def _growth(watched: Watched, rises: bool, age_months: float | None) -> str:
    """A growing ear gets larger, and its RECD smaller (Feigin et al. 1989, abstract read)."""
    if watched is not Watched.RECD or age_months is None or age_months >= rule("visit_growing_until"):
        return ""
    return "; growth does not raise an RECD" if rises else ", as in a growing ear"


def _small(compared: Contrast, watched: Watched, where: BoolArray, then_on: date) -> Finding:
    worst = int(np.argmax(np.where(where, np.abs(compared.difference_db), -1.0)))
    text = (
        f"The {watched.phrase} has changed since {then_on} by more than its uncertainty: {compared.worded(worst)}; "
        f"less than the {rule(f'visit_{watched}'):g} dB that call for action."
    )
    hz = compared.frequency_hz[where]
    action = "Compare again at the next visit."
    return Finding(f"{watched}_drifts", Severity.INFO, text, action, RULE_SOURCE, float(hz[0]), float(hz[-1]))


def _unknown(watched: Watched, then_on: date) -> Finding:
    text = f"The {watched.phrase} could not be compared with that of {then_on}: no frequency can be used in both."
    return Finding(f"{watched}_not_compared", Severity.INFO, text, "Repeat what cannot be used.", RULE_SOURCE)


_REFIT = "carry targets and limits to the coupler anew and verify the maximum output first"
_ACTIONS = {
    (Watched.RECD, False): f"Use the new RECD: {_REFIT}.",
    (Watched.RECD, True): (
        "Look into the ear and take a tympanogram; check tip, depth and coupler and repeat the RECD. If it stays, "
        f"{_REFIT}."
    ),
    (Watched.THRESHOLD, True): (
        "Look into the ear, take a tympanogram and repeat the threshold; refer if the loss is sudden, one-sided or "
        "painful. Then make new targets."
    ),
    (Watched.THRESHOLD, False): (
        "Repeat the threshold before lowering any target; check that transducer, scale and correction are those of "
        "the earlier visit."
    ),
    (Watched.AIDED_LEVEL, True): "Compare settings, mould and RECD with the earlier visit; verify the maximum output.",
    (Watched.AIDED_LEVEL, False): (
        "Check wax filter, tube, microphone and settings, then measure again; an ear that has grown also lowers it."
    ),
    (Watched.MAXIMUM_OUTPUT, True): "Compare it with the discomfort limit before the aid is worn again.",
    (
        Watched.MAXIMUM_OUTPUT,
        False,
    ): "Check the receiver, the tube and the settings; an ear that has grown also lowers it.",
}
