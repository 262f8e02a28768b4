"""Grade of an RECD: one letter with its reasons.

A: two agreeing insertions, plausible, signal over noise at least 10 dB. B: one insertion, plausible. C: partly
implausible, or ended early. D: rejected. The letters and their limits are engineering judgement (no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo.core import PointState, Severity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.core import Finding, Transfer
    from umbo.curves import TrustReport
    from umbo.ear._agreement import Agreement

__all__ = ["Grade", "grade"]

#: A curve that ends below the first cannot be used at all, below the second not carry a fitting to 4 kHz
#: (engineering judgement). [Hz]
_REJECTED_HZ, _SHORT_HZ = 1000.0, 4000.0


@dataclass(frozen=True, slots=True)
class Grade:
    """A letter and why.

    Parameters
    ----------
    letter : {"A", "B", "C", "D"}
        From the best to what was rejected.
    reasons : tuple of str
        Each a sentence.
    """

    letter: Literal["A", "B", "C", "D"]
    reasons: tuple[str, ...]


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

    Returns
    -------
    Grade
        Letter and reasons.
    """
    ended = f"The curve can be trusted only to {trust.max_hz:.0f} Hz: {trust.lowest.reason}."
    stops = [finding.text for finding in findings if finding.severity is Severity.STOP]
    if stops:
        return Grade("D", tuple(stops))
    if trust.max_hz < _REJECTED_HZ:
        return Grade("D", (ended,))
    doubts = [finding.text for finding in findings if finding.severity is Severity.WARN]
    if repeated is not None and not repeated.agrees:
        doubts.append(f"Two insertions differ by {repeated.worst_db:.1f} dB at {repeated.worst_hz:.0f} Hz.")
    if trust.max_hz < _SHORT_HZ:
        doubts.append(ended)
    if doubts:
        return Grade("C", tuple(dict.fromkeys(doubts)))
    if repeated is None:
        return Grade("B", ("One insertion, plausible; a second one that agrees would make it an A.",))
    inside = recd.frequency_hz <= trust.max_hz * 1.001
    noisy = np.array([word == PointState.NOISY for word in recd.states.words])
    if np.any(noisy & inside):
        return Grade("B", ("Two agreeing insertions, but bands with less than 10 dB of signal over noise.",))
    text = f"Two insertions agree (largest difference {repeated.worst_db:.1f} dB at {repeated.worst_hz:.0f} Hz)."
    return Grade("A", (text, "Plausible, and at least 10 dB of signal over noise."))
