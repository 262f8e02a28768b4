"""What a run found out, as objects that still know where every number came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from umbo.core import Difference, Ear, Finding, Level
from umbo.ear import Closing
from umbo.prescription import Target
from umbo.session._aided import AidedMaximum, AidedSpeech
from umbo.session._earlier import Earlier
from umbo.session._heard import HeardSpeech
from umbo.session._hearing import Hearing
from umbo.session._plan import EarPlan, Plan
from umbo.session._recds import MeasuredRecd
from umbo.session._routes import Route, Way
from umbo.verdict import Change, Guidance, Judgement, RecdExpiry, Suggestion, Verdict, VerdictDraws, WhatIf

__all__ = ["EarResult", "JudgedMaximum", "JudgedSpeech", "SessionResult", "ToTry"]


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
    rms : Judgement or None
        Rms deviation against every published bound, whether the guidance asks for it or not; it decides nothing here.
    """

    run: AidedSpeech
    target: Target | None
    deviation: Difference | None
    sensation: Difference | None
    coupler_target: Level | None
    rms: Judgement | None = None


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
    upper_edge : bool
        Whether the upper edge of the band counts: for a child, and below a limit that was only predicted.
    """

    run: AidedMaximum
    limit: Level | None
    limit_source: str | None
    excess: Difference | None
    upper_edge: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class ToTry:
    """Changes worth a try for speech at one level, and what all of them together would lead to.

    Parameters
    ----------
    input_db_spl : float
        Which speech run. [dB SPL]
    suggestions : tuple of Suggestion
        In ascending frequency; each a change to try, or why none is suggested.
    predicted : WhatIf or None
        After all of them; None where no change is suggested.
    """

    input_db_spl: float
    suggestions: tuple[Suggestion, ...]
    predicted: WhatIf | None


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
    guidance : Guidance
        By whose criteria speech was judged against its target.
    draws : VerdictDraws or None
        How often each criterion is kept; None where nothing was compared.
    to_try : ToTry or None
        Suggestions for average speech; None where no speech was compared with a target.
    recd_age : RecdExpiry or None
        Until when the RECD in use may be used; None where its day or the age is not known.
    changes : tuple of Change
        Since an earlier visit; empty where none was given.
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
    guidance: Guidance
    draws: VerdictDraws | None = None
    to_try: ToTry | None = None
    recd_age: RecdExpiry | None = None
    changes: tuple[Change, ...] = ()

    @property
    def recd(self) -> MeasuredRecd | None:
        """The measured RECD the route goes by; without a route the best there is."""
        if isinstance(self.route, Route):
            return self.route.measured
        if self.route is not None:
            return None
        return min(self.recds, key=lambda recd: (recd.grade.letter, -recd.trust.max_hz), default=None)


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
        What concerns the whole case: its calibrations, and one ear against the other.
    earlier : Earlier or None
        The earlier visit it was compared with.
    """

    plan: Plan
    ears: Mapping[Ear, EarResult]
    findings: tuple[Finding, ...]
    earlier: Earlier | None = None

    @property
    def is_verified(self) -> bool:
        """Whether every ear is verified."""
        return bool(self.ears) and all(ear.verdict.is_verified for ear in self.ears.values())
