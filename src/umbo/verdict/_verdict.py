"""The verdict: verified or not, with the sentence why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from umbo.core import Finding, Outcome, Severity
from umbo.verdict._judgement import Judgement

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

    Returns
    -------
    Verdict
        With the sentences that decided: what failed first, then what forbids a verdict, then what cannot be told;
        among each the maximum output before speech.
    """
    ordered = sorted(judgements, key=lambda j: not j.criterion.startswith("maximum"))  # what can do harm comes first
    failed = [(j.sentence, j.action) for j in ordered if j.outcome is Outcome.FAIL]
    forbidden = [(f.text, f.action) for f in findings if f.severity is Severity.STOP]
    missing = _missing({j.criterion.split("_")[0] for j in judgements})
    untold = [(j.sentence, j.action) for j in ordered if j.outcome is Outcome.CANNOT_TELL]
    against = [*failed, *forbidden, *missing, *untold]
    if not against:
        passed = tuple(judgement.sentence for judgement in judgements)
        return Verdict(Outcome.PASS, tuple(judgements), passed, ())
    outcome = Outcome.FAIL if failed else Outcome.CANNOT_TELL
    reasons, actions = (tuple(dict.fromkeys(text for text in texts if text)) for texts in zip(*against, strict=True))
    return Verdict(outcome, tuple(judgements), reasons, actions)


def _missing(kinds: set[str]) -> list[tuple[str, str]]:
    """What a verdict cannot do without, as reason and action."""
    out = []
    if "maximum" not in kinds:
        text = "No maximum output was measured: nothing is verified without it."
        out.append((text, "Run a 90 dB sweep in the coupler."))
    if not kinds & {"match", "rms"}:
        text = "No speech was compared with a target."
        out.append((text, "Run speech in the coupler and choose or import a target."))
    return out
