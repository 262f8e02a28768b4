"""What a run found out, as objects that still know where every number came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from umbo.core import Difference, Ear, Finding, Level
from umbo.ear import Closing
from umbo.prescription import Target
from umbo.session._aided import AidedMaximum, AidedSpeech
from umbo.session._heard import HeardSpeech
from umbo.session._hearing import Hearing
from umbo.session._plan import EarPlan, Plan
from umbo.session._recds import MeasuredRecd
from umbo.session._routes import Way
from umbo.verdict import Verdict

__all__ = ["EarResult", "JudgedMaximum", "JudgedSpeech", "SessionResult"]


@dataclass(frozen=True, slots=True, eq=False)
class JudgedSpeech:
    """Speech at one level with what it was compared with.

    Parameters
    ----------
    run : AidedSpeech
        The run.
    target : Target or None
        Target for this input level.
    deviation : Difference or None
        At the eardrum, minus target. [dB]
    sensation : Difference or None
        At the eardrum, minus threshold. [dB]
    coupler_target : Level or None
        Target carried back to the coupler (F6). [dB SPL]
    """

    run: AidedSpeech
    target: Target | None
    deviation: Difference | None
    sensation: Difference | None
    coupler_target: Level | None


@dataclass(frozen=True, slots=True, eq=False)
class JudgedMaximum:
    """Maximum output with its limit.

    Parameters
    ----------
    run : AidedMaximum
        The run.
    limit : Level or None
        Discomfort limit at the eardrum. [dB SPL]
    limit_source : str or None
        Where it comes from.
    excess : Difference or None
        Output minus limit. [dB]
    """

    run: AidedMaximum
    limit: Level | None
    limit_source: str | None
    excess: Difference | None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class EarResult:
    """Everything about one ear.

    Parameters
    ----------
    plan : EarPlan
        What was declared.
    recds : tuple of MeasuredRecd
        Every RECD formed, rejected ones too.
    route : Route or OnEar or None
        Way the verdict rests on; None where none leads to the eardrum.
    thresholds, discomfort : Hearing or None
        Thresholds and discomfort levels, as entered and at the eardrum.
    targets : tuple of Target
        Targets and limits at the eardrum.
    speech : tuple of JudgedSpeech
        Speech runs by that route, in order of input level.
    heard : tuple of HeardSpeech
        What of each of these runs is audible, in the same order.
    maximum : JudgedMaximum or None
        Loudest sweep by that route; None where there was none.
    closings : tuple of Closing
        One sound by two couplers' routes, compared.
    findings : tuple of Finding
        Everything that has to be said, each once.
    verdict : Verdict
        Outcome with its reasons.
    """

    plan: EarPlan
    recds: tuple[MeasuredRecd, ...]
    route: Way | None
    thresholds: Hearing | None
    discomfort: Hearing | None
    targets: tuple[Target, ...]
    speech: tuple[JudgedSpeech, ...]
    heard: tuple[HeardSpeech, ...]
    maximum: JudgedMaximum | None
    closings: tuple[Closing, ...]
    findings: tuple[Finding, ...]
    verdict: Verdict


@dataclass(frozen=True, slots=True, eq=False)
class SessionResult:
    """Everything about one case.

    Parameters
    ----------
    plan : Plan
        What was planned.
    ears : mapping of Ear to EarResult
        Answer for each ear.
    findings : tuple of Finding
        What concerns the whole case: its calibrations.
    """

    plan: Plan
    ears: Mapping[Ear, EarResult]
    findings: tuple[Finding, ...]

    @property
    def is_verified(self) -> bool:
        """Whether every ear is verified."""
        return bool(self.ears) and all(ear.verdict.is_verified for ear in self.ears.values())
