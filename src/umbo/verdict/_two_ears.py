"""Left against right: what two ears alike should have alike."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, isfinite
from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import COVERAGE_FACTOR, Finding, Severity
from umbo.errors import GridMismatchError, InputError
from umbo.verdict._contrast import contrast
from umbo.verdict._rules import RULE_SOURCE, rule
from umbo.verdict._wording import frequency_words

if TYPE_CHECKING:
    from umbo.core import BoolArray, Level, Transfer
    from umbo.verdict._contrast import Contrast

__all__ = ["EarComparison", "compare_aided", "compare_recds", "compare_sii"]

#: Frequencies between which the RECDs of two ears are known to be alike (Munro & Buttfield 2005, abstract read). [Hz]
_FROM_HZ, _TO_HZ = 500.0, 4000.0

_RECD_SOURCE = (
    "Munro & Buttfield 2005 (abstract read): within 3 dB in 90 % of adults; when to act is engineering judgement"
)
_LOOK = (
    "Look into both ears and take a tympanogram of each before one ear's RECD stands in for the other's; then repeat "
    "the RECD of the ear that differs from what is expected for its age."
)
_AIDED = (
    "Confirm which aid is on which side, then check the settings and the electroacoustic check of both aids before "
    "changing either."
)


@dataclass(frozen=True, slots=True, eq=False)
class EarComparison:
    """Left minus right of one quantity, and what is to be said about it.

    Parameters
    ----------
    contrast : Contrast
        Left minus right. [dB]
    is_compared : array (n,), bool
        Points the rule speaks of.
    findings : tuple of Finding
        What is to be said; none where the two are alike.
    """

    contrast: Contrast
    is_compared: BoolArray
    findings: tuple[Finding, ...]


def compare_recds(left: Transfer, right: Transfer, *, known_reason: str = "") -> EarComparison:
    """Compare the RECDs of two ears from 0.5 to 4 kHz.

    A difference above 3 dB at two neighbouring frequencies is said, and one above 6 dB anywhere.

    Parameters
    ----------
    left, right : Transfer
        RECDs against one coupler, with one coupling, on one grid. [dB]
    known_reason : str
        What is known to make the ears differ, for example "an open tube in the left ear"; the difference is then
        expected, and still forbids that one ear stands in for the other.

    Returns
    -------
    EarComparison
        Left minus right.

    Raises
    ------
    CombinationError
        If the two are not of one kind.

    References
    ----------
    Munro & Buttfield 2005, left and right RECD of adults (abstract read).
    """
    compared = contrast(left, right, quantity="RECD, left minus right")
    alike = refdata.table("recd_facts", source="munro-buttfield-2005").at("left_minus_right_90_percent", "value")
    inside = np.asarray(compared.is_usable & compared.between(_FROM_HZ, _TO_HZ))
    size = np.abs(compared.difference_db)
    large = inside & (size > rule("ears_recd_large"))
    above = inside & (size > alike)
    pairs = above[:-1] & above[1:]
    flagged = above & (np.append(pairs, False) | np.append(False, pairs))
    if not inside.any():
        return EarComparison(compared, inside, (_not_compared("RECDs", _RECD_SOURCE),))
    if large.any():
        found = _recd_finding("recd_ears_differ_much", compared, large, rule("ears_recd_large"), known_reason)
    elif flagged.any():
        found = _recd_finding("recd_ears_differ", compared, flagged, alike, known_reason)
    else:
        return EarComparison(compared, inside, ())
    return EarComparison(compared, inside, (found,))


def _recd_finding(code: str, compared: Contrast, where: BoolArray, bound_db: float, known_reason: str) -> Finding:
    text = _differs("RECD", compared, where, bound_db)
    action = _LOOK
    if known_reason:
        text = f"{text[:-1]}, as {known_reason} would make it."
        action = "Use each ear's own RECD, and measure again when this changes."
    severity = Severity.INFO if known_reason else Severity.WARN
    low, high = _ends(compared, where)
    return Finding(code, severity, text, action, _RECD_SOURCE, low, high)


def compare_aided(
    left: Level, right: Level, left_threshold: Level, right_threshold: Level, *, name: str = "65"
) -> EarComparison:
    """Compare the aided levels of two ears where their thresholds agree.

    Parameters
    ----------
    left, right : Level
        Aided levels at the eardrum for one input, on one grid. [dB SPL]
    left_threshold, right_threshold : Level
        Thresholds, both at one plane, on the frequencies of the aided levels; a point without a response compares
        nothing. [dB]
    name : str
        Which input: "65".

    Returns
    -------
    EarComparison
        Left minus right; it speaks of points where both thresholds are known and agree within 5 dB.

    Raises
    ------
    CombinationError
        If the levels are not of one kind.
    GridMismatchError
        If the thresholds are not given at the frequencies of the levels.
    """
    compared = contrast(left, right, quantity=f"aided level at {name} dB, left minus right")
    hearing = contrast(left_threshold, right_threshold, quantity="threshold, left minus right")
    if not left.grid.same_frequencies(left_threshold.grid):
        raise GridMismatchError(
            f"compare the aided level at {name} dB of two ears",
            f"the levels have {left.grid} and the thresholds {left_threshold.grid}",
            "regrid one explicitly with curve.on(grid, method=...)",
        )
    alike = hearing.is_usable & (np.abs(hearing.difference_db) <= rule("ears_thresholds_alike"))
    inside = np.asarray(compared.is_usable & alike)
    if not inside.any():
        return EarComparison(compared, inside, (_not_compared("aided levels", RULE_SOURCE),))
    bound = rule("ears_aided_level")
    off = inside & (np.abs(compared.difference_db) > bound)
    if not off.any():
        return EarComparison(compared, inside, ())
    text = _differs(f"aided level at {name} dB", compared, off, bound)
    text = f"{text[:-1]}, although the thresholds agree there."
    low, high = _ends(compared, off)
    return EarComparison(
        compared, inside, (Finding("aided_ears_differ", Severity.WARN, text, _AIDED, RULE_SOURCE, low, high),)
    )


def compare_sii(
    left: float, right: float, *, u_left: float, u_right: float, thresholds_alike: bool
) -> tuple[Finding, ...]:
    """Compare the speech intelligibility indices of two ears.

    The two uncertainties add as squares; what both share is then counted although it cancels, which errs to the wide
    side.

    Parameters
    ----------
    left, right : float
        Indices, 0 to 1. [1]
    u_left, u_right : float
        Their standard uncertainties. [1]
    thresholds_alike : bool
        Whether the thresholds agree; where not, the indices need not.

    Returns
    -------
    tuple of Finding
        One if they differ by more than 0.05 with like thresholds, else none.

    Raises
    ------
    InputError
        If an index lies outside 0 to 1 or an uncertainty is negative.
    """
    if not (0 <= left <= 1 and 0 <= right <= 1 and u_left >= 0 and u_right >= 0 and isfinite(u_left + u_right)):
        raise InputError(
            "compare the speech intelligibility index of two ears",
            f"left {left:g} (u {u_left:g}) and right {right:g} (u {u_right:g}) are not two indices with uncertainties",
            "give indices from 0 to 1 with uncertainties of 0 or more",
        )
    apart, bound = left - right, rule("ears_sii")
    if not thresholds_alike or abs(apart) <= bound + 1e-12:
        return ()
    u = hypot(u_left, u_right)
    doubt = _doubt(abs(apart) - bound, u)
    text = (
        f"The speech intelligibility index is {left:.2f} left and {right:.2f} right: {apart:+.2f} (u {u:.2f}) apart, "
        f"more than {bound:g}{doubt}, although the thresholds agree."
    )
    return (Finding("sii_ears_differ", Severity.WARN, text, _AIDED, RULE_SOURCE),)


def _differs(what: str, compared: Contrast, where: BoolArray, bound_db: float) -> str:
    """Sentence that names every frequency, and the size at the worst one."""
    worst = int(np.argmax(np.where(where, np.abs(compared.difference_db), -1.0)))
    size = abs(float(compared.difference_db[worst]))
    side = "below" if compared.difference_db[worst] < 0 else "above"
    u = float(compared.u_db[worst])
    hz = frequency_words(compared.frequency_hz[where])
    return (
        f"The {what} differs between the ears by more than {bound_db:g} dB at {hz}: left is {size:.1f} dB "
        f"(u {u:.1f} dB) {side} right at {compared.frequency_hz[worst]:.0f} Hz{_doubt(size - bound_db, u)}."
    )


def _doubt(beyond: float, u: float) -> str:
    return ", by less than twice its uncertainty" if beyond <= COVERAGE_FACTOR * u and u > 0 else ""


def _ends(compared: Contrast, where: BoolArray) -> tuple[float, float]:
    hz = compared.frequency_hz[where]
    return float(hz[0]), float(hz[-1])


def _not_compared(what: str, source: str) -> Finding:
    text = f"The {what} of the two ears could not be compared: there is no frequency at which the rule can be used."
    return Finding("ears_not_compared", Severity.INFO, text, "Measure both ears at common frequencies.", source)
