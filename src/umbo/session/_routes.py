"""Ways to this eardrum: from a coupler by an RECD, or measured in the ear itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from umbo.core import CouplerKind, Finding, Grid, Level, Plane, Severity, Source, Transfer
from umbo.ear import (
    ProbePosition,
    adult_average_recd,
    for_coupling,
    for_source,
    probe_limit,
    probe_mark,
    probe_to_eardrum,
)
from umbo.errors import UmboError
from umbo.session._plan import EarPlan, ImportedCurve, Plan, Take
from umbo.session._recds import MeasuredRecd

__all__ = ["OnEar", "Route", "Way", "routes"]

#: How a sentence names the way without a coupler.
ON_EAR = "measurement in the ear"

#: Below this age an average adult RECD is never used silently (common practice, no source). [month]
ADULT_RECD_MONTHS = 84.0


@dataclass(frozen=True, slots=True, eq=False)
class Route:
    """One way from a coupler to this eardrum.

    Parameters
    ----------
    kind : CouplerKind
        Coupler it starts in.
    ear : EarPlan
        Ear it leads to.
    age_months : float or None
        Age of that ear, for the uncertainty of a source's impedance; None where it is not known. [month]
    measured : MeasuredRecd or None
        The RECD; None for the adult average.
    findings : tuple of Finding
        What has to be said about its use.
    """

    kind: CouplerKind
    ear: EarPlan
    age_months: float | None
    measured: MeasuredRecd | None
    findings: tuple[Finding, ...]

    @property
    def name(self) -> str:
        """How a sentence names it."""
        return self.kind.display_name if self.measured else f"{self.kind.display_name}, adult average"

    @property
    def order(self) -> tuple[str, float]:
        """Better grade first, then higher trusted limit."""
        return (self.measured.grade.letter, -self.measured.trust.max_hz) if self.measured else ("E", 0.0)

    def recd(self, grid: Grid, like: Level) -> tuple[Transfer, tuple[Finding, ...]]:
        """RECD for a level's source and coupling, on a grid."""
        coupling = like.tags.coupling
        if self.measured is None:
            if coupling is None:
                raise UmboError("use an average RECD", "the level states no coupling", "state it")
            recd = adult_average_recd(self.kind, grid, ear=self.ear.ear, coupling=coupling)
        else:
            recd = self.measured.on(grid)
        recd = for_source(recd, like.tags.source or Source.AID, self.age_months)
        return for_coupling(recd, coupling) if coupling is not None else (recd, ())


@dataclass(frozen=True, slots=True, eq=False)
class OnEar:
    """The aid measured in the ear itself: no coupler, no RECD, and every vent and leak is in the reading.

    Parameters
    ----------
    ear : EarPlan
        Which ear.
    age_months : float or None
        Age of that ear, for the canal between probe and drum; None where it is not known. [month]
    position : ProbePosition
        Where the probe's tip was.
    findings : tuple of Finding
        What has to be said about measuring there.
    """

    ear: EarPlan
    age_months: float | None
    position: ProbePosition
    findings: tuple[Finding, ...]

    @property
    def name(self) -> str:
        """How a sentence names it."""
        return ON_EAR

    def to_eardrum(self, grid: Grid, tip: Plane) -> Transfer:
        """Probe tip to eardrum, as for RECDs, with the points above the probe limit marked."""
        transfer = probe_to_eardrum(self.position, grid, tip=tip, ear=self.ear.ear, age_months=self.age_months)
        limit = probe_limit(self.position.distance_mm, self.position.u_mm, is_bound=self.position.known_by == "bound")
        if limit is None:
            return transfer
        mark = probe_mark(limit, grid.frequency_hz)
        return transfer.marked(mark.state, mark.where, mark.reason)


Way: TypeAlias = Route | OnEar


def routes(ear: EarPlan, recds: Sequence[MeasuredRecd], plan: Plan) -> tuple[Route, ...]:
    """Ways from the couplers used to this eardrum: measured RECDs first, the adult average only where it was chosen."""
    measured: tuple[Take | ImportedCurve, ...] = (*plan.takes, *plan.curves)
    kinds = {take.coupler for take in measured if take.ear == ear.ear and take.source == "aid"}
    out = []
    for kind in sorted(kind for kind in kinds if kind is not None):
        usable = [r for r in recds if r.kind == kind and r.grade.letter != "D"]
        if usable:
            best = min(usable, key=lambda r: (r.source != "insert", r.grade.letter, -r.trust.max_hz))
            out.append(Route(kind, ear, plan.client.age_months, best, ()))
        elif ear.recd == "adult_average":
            out.append(Route(kind, ear, plan.client.age_months, None, (_average_finding(plan.client.age_months),)))
    return tuple(sorted(out, key=lambda route: route.order))


def _average_finding(age_months: float | None) -> Finding:
    if age_months is None or age_months < ADULT_RECD_MONTHS:
        age = "of unknown age" if age_months is None else f"{age_months:.0f} months old"
        text = (
            f"The client is {age} and an adult average RECD is used: the level at this eardrum may be 5 to 20 dB "
            "higher than shown."
        )
        action = "Measure this ear's RECD; judge the maximum output on the upper edge of its band until then."
        return Finding(
            "child_with_adult_recd",
            Severity.STOP,
            text,
            action,
            "Bagatto et al. 2002; infant output literature",
        )
    text = "An average RECD is used, not this ear's own."
    action = "Measure this ear's RECD."
    return Finding("average_recd", Severity.WARN, text, action, "Bagatto et al. 2002 (prediction range, abstract read)")
