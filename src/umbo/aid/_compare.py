"""One run against another: drift of an aid, the other ear, the other coupler."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from umbo.aid._constants import constant, constant_source
from umbo.aid._measure import Item, Measure
from umbo.core import COVERAGE_FACTOR, Difference, Finding, Level, Severity, Transfer
from umbo.errors import InputError

__all__ = ["RunDifference", "compare_couplers", "compare_ears", "compare_measures", "compare_runs"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RunDifference:
    """Change of one number between two runs.

    Parameters
    ----------
    item : Item
        What changed.
    change, u : float
        Second minus first value, and its standard uncertainty: causes both share have cancelled. [the item's unit]
    is_significant : bool
        Whether the change is more than two standard uncertainties.
    doubt : str
        Why the two may not be compared; empty where they may.
    sentence : str
        What can be said.
    """

    item: Item
    change: float
    u: float
    is_significant: bool
    doubt: str
    sentence: str


def compare_measures(earlier: Measure, now: Measure) -> RunDifference:
    """Change of a number since an earlier run, or from one ear to the other.

    Parameters
    ----------
    earlier, now : Measure
        The same item, taken alike.

    Returns
    -------
    RunDifference
        In doubt where coupler, stimulus, level or settings differ.

    Raises
    ------
    InputError
        If the items differ, or belong to different frequencies.
    """
    where = (earlier.frequency_hz, now.frequency_hz) if now.item is Item.DISTORTION else (None, None)
    if earlier.item is not now.item or where[0] != where[1]:
        raise InputError(
            "compare two runs",
            f"one is the {earlier.item.label} and the other the {now.item.label}, or their frequencies differ",
            "compare the same item",
        )
    change = now.value - earlier.value
    u = float(now.uncertainty.plus(earlier.uncertainty, -1.0).u_db[0])
    doubts = [*earlier.conditions.differences(now.conditions), *(d for d in (earlier.doubt, now.doubt) if d)]
    doubt = "; ".join(doubts)
    significant = not doubt and abs(change) > COVERAGE_FACTOR * u
    unit = "" if now.item.unit == "1" else f" {'dB' if now.item.unit == 'dB SPL' else now.item.unit}"
    text = f"{now.item.label[0].upper()}{now.item.label[1:]} changed by {change:+.3g}{unit} (u {u:.2g}{unit})"
    if doubt:
        text += f"; they cannot be compared: {doubt}"
    elif not significant:
        text += ", within twice its uncertainty"
    return RunDifference(
        item=now.item, change=change, u=u, is_significant=significant, doubt=doubt, sentence=f"{text}."
    )


def compare_runs(earlier: Level, now: Level) -> tuple[Difference, Finding | None]:
    """Change of a curve since an earlier run of the same aid.

    Parameters
    ----------
    earlier, now : Level
        Outputs at one place, with one stimulus, on one grid. [dB SPL]

    Returns
    -------
    (Difference, Finding or None)
        Change; a warning where a usable point changed by more than 2 dB beyond twice its uncertainty.

    Raises
    ------
    CombinationError
        If the two are not comparable.
    """
    change = now.above(earlier, quantity=f"change of the {now.tags.quantity}")
    return change, _finding(change, "run_drift", "since the earlier run", "Check battery, filter and settings.")


def compare_ears(right: Level, left: Level) -> tuple[Difference, Finding | None]:
    """Output of the left aid re the right one, for aids that are set alike.

    Parameters
    ----------
    right, left : Level
        Outputs at one kind of place, with one stimulus, on one grid. [dB SPL]

    Returns
    -------
    (Difference, Finding or None)
        Left minus right; a warning where a usable point differs by more than 5 dB beyond twice its uncertainty.

    Raises
    ------
    CombinationError
        If the two are not comparable.
    """
    neither = (replace(level, tags=replace(level.tags, ear=None)) for level in (right, left))
    one, other = neither
    difference = other.above(one, quantity=f"{left.tags.quantity}, left re right")
    action = "Check that the files are not exchanged; explain the difference by the audiogram, or measure again."
    return difference, _finding(difference, "ears_difference", "from the right to the left ear", action)


def compare_couplers(level: Level, other: Level, expected: Transfer) -> Difference:
    """Output in one coupler against what another coupler lets expect.

    Parameters
    ----------
    level : Level
        Output in the first coupler. [dB SPL]
    other : Level
        Output in the second coupler. [dB SPL]
    expected : Transfer
        Second coupler re first one, with the uncertainty of a source that is not known. [dB]

    Returns
    -------
    Difference
        Measured minus expected, in the second coupler.

    Raises
    ------
    CombinationError
        If planes, grids, ears or couplings do not fit.
    """
    predicted = level + expected
    return other.above(predicted, quantity=f"{other.tags.quantity} re prediction from the other coupler")


def _finding(difference: Difference, item: str, phrase: str, action: str) -> Finding | None:
    size = np.abs(difference.level_db) - COVERAGE_FACTOR * difference.u_db
    beyond = difference.states.is_usable & (size > constant(item))
    if not beyond.any():
        return None
    worst = int(np.argmax(np.where(beyond, size, -np.inf)))
    hz = difference.frequency_hz[beyond]
    what = difference.tags.quantity.removeprefix("change of the ")
    text = (
        f"The {what} differs by {difference.level_db[worst]:+.1f} dB {phrase}, "
        f"most at {difference.frequency_hz[worst]:.0f} Hz."
    )
    return Finding(item, Severity.WARN, text, action, constant_source(item), float(hz[0]), float(hz[-1]))
