"""Grade of an RECD: one letter with its reasons.

A: two agreeing insertions, plausible, signal over noise at least 10 dB. B: one insertion, plausible. C: partly
implausible, or ended early. D: rejected. The letters and the agreement limits are engineering judgement (no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo.core import Finding, Level, PointState, Severity, Transfer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.curves import TrustReport

__all__ = ["Agreement", "Grade", "agreement", "grade"]

#: Two insertions agree when they differ by at most this at these frequencies (engineering judgement). [Hz] -> [dB]
AGREEMENT_DB = {250: 3, 500: 2, 1000: 2, 2000: 2, 3000: 2, 4000: 3, 6000: 5, 8000: 5}

#: A curve that ends below this cannot carry a fitting to 4 kHz. [Hz]
SHORT_HZ = 4000.0


@dataclass(frozen=True, slots=True)
class Grade:
    """A letter and why.

    Parameters
    ----------
    letter : str
        "A", "B", "C" or "D".
    reasons : tuple of str
        Each a sentence.
    """

    letter: Literal["A", "B", "C", "D"]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Agreement:
    """How two insertions of one ear compare.

    Parameters
    ----------
    agrees : bool
        Whether every frequency lies within its limit.
    worst_db, worst_hz : float
        Largest difference relative to its limit, and where. [dB], [Hz]
    """

    agrees: bool
    worst_db: float
    worst_hz: float


def agreement(first: Level, second: Level) -> Agreement:
    """Compare two insertions at the frequencies of the agreement rule that both curves hold."""
    low, high = first.frequency_hz[0], first.frequency_hz[-1]
    rows = [(hz, limit) for hz, limit in AGREEMENT_DB.items() if low * 0.97 <= hz <= high * 1.03]
    index = [first.grid.index(hz, within=0.2) for hz, _ in rows]
    usable = (first.states.is_usable & second.states.is_usable)[index]
    difference = np.abs(first.level_db - second.level_db)[index] * usable
    ratio = difference / np.array([limit for _, limit in rows], dtype=float)
    worst = int(np.argmax(ratio))
    return Agreement(bool(np.all(ratio <= 1)), float(difference[worst]), float(rows[worst][0]))


def grade(recd: Transfer, trust: TrustReport, findings: Sequence[Finding], repeated: Agreement | None) -> Grade:
    """Grade an RECD.

    Parameters
    ----------
    recd : Transfer
        The RECD with its states.
    trust : TrustReport
        Where it ends and why.
    findings : sequence of Finding
        What was noticed about it.
    repeated : Agreement or None
        Comparison of two insertions; none if there was one.
    """
    stops = [finding.text for finding in findings if finding.severity is Severity.STOP]
    if stops:
        return Grade("D", tuple(stops))
    if trust.max_hz < 1000.0:
        return Grade("D", (f"The curve can be trusted only to {trust.max_hz:.0f} Hz: {trust.lowest.reason}.",))
    doubts = [finding.text for finding in findings if finding.severity is Severity.WARN]
    if trust.max_hz < SHORT_HZ:
        doubts.append(f"The curve can be trusted only to {trust.max_hz:.0f} Hz: {trust.lowest.reason}.")
    if doubts:
        return Grade("C", tuple(doubts))
    if repeated is None:
        return Grade("B", ("One insertion, plausible; a second one that agrees would make it an A.",))
    inside = recd.frequency_hz <= trust.max_hz * 1.001
    noisy = np.array([word == PointState.NOISY for word in recd.states.words])
    if np.any(noisy & inside):
        return Grade("B", ("Two agreeing insertions, but bands with less than 10 dB of signal over noise.",))
    text = f"Two insertions agree (largest difference {repeated.worst_db:.1f} dB at {repeated.worst_hz:.0f} Hz)."
    return Grade("A", (text, "Plausible, and at least 10 dB of signal over noise."))
