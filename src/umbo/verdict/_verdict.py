"""The verdict: verified or not, with the sentence why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from umbo.core import Finding, Severity
from umbo.verdict._judgement import Judgement, Outcome, worst

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Verdict", "conclude"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What can be said of one ear's fitting.

    Parameters
    ----------
    outcome : Outcome
        Pass only if every criterion passes and nothing forbids it.
    judgements : tuple of Judgement
        All criteria.
    reasons : tuple of str
        Sentences that decided, worst first.
    actions : tuple of str
        What to do next.
    """

    outcome: Outcome
    judgements: tuple[Judgement, ...]
    reasons: tuple[str, ...]
    actions: tuple[str, ...]

    @property
    def is_verified(self) -> bool:
        """Whether the fitting may be called verified."""
        return self.outcome is Outcome.PASS


def conclude(judgements: Sequence[Judgement], findings: Sequence[Finding]) -> Verdict:
    """Join all criteria and findings into a verdict.

    A fitting is never verified without a judged maximum output and a judged speech target, nor when a finding stops it.

    Parameters
    ----------
    judgements : sequence of Judgement
        Criteria.
    findings : sequence of Finding
        Findings of everything the verdict rests on.
    """
    outcome = worst([j.outcome for j in judgements])
    names = {j.criterion.split("_")[0] for j in judgements}
    reasons, actions = [], []
    if "maximum" not in names:
        outcome = worst([outcome, Outcome.CANNOT_TELL])
        reasons.append("No maximum output was measured: nothing is verified without it.")
        actions.append("Run a 90 dB sweep in the coupler.")
    if "match" not in names:
        outcome = worst([outcome, Outcome.CANNOT_TELL])
        reasons.append("No speech was compared with a target.")
        actions.append("Run speech in the coupler and choose or import a target.")
    for stop in (f for f in findings if f.severity is Severity.STOP):
        outcome = worst([outcome, Outcome.CANNOT_TELL])
        reasons.append(stop.text)
        actions.append(stop.action)
    for wanted in (Outcome.FAIL, Outcome.CANNOT_TELL):
        for judgement in judgements:
            if judgement.outcome is wanted:
                reasons.append(judgement.sentence)
                actions.append(judgement.action)
    if outcome is Outcome.PASS:
        reasons = [judgement.sentence for judgement in judgements]
    unique = tuple(dict.fromkeys(action for action in actions if action))
    return Verdict(outcome, tuple(judgements), tuple(dict.fromkeys(reasons)), unique)
