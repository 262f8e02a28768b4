"""The aid in the coupler, carried to this ear's drum."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from umbo.aid import MAXIMUM_INPUT_DB_SPL, saturation_finding
from umbo.core import CouplerKind, Ear, Finding, FloatArray, Grid, Level, Severity, Source, Transfer
from umbo.curves import HarmonicCurve, Reading, SpeechReading
from umbo.ear import (
    adult_average_recd,
    aided_level,
    for_coupling,
    for_source,
    microphone_location_effect,
    require_closed,
    unknown_microphone_location_effect,
    withdrawn_by_vent,
)
from umbo.errors import UmboError
from umbo.session._plan import EarPlan, ImportedCurve, Plan, Take
from umbo.session._readings import Readings
from umbo.session._recds import MeasuredRecd

__all__ = ["AidedMaximum", "AidedSpeech", "Route", "aided_maximum", "aided_speech", "routes", "saturation"]

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
class AidedSpeech:
    """Speech at one input level by one route.

    Parameters
    ----------
    name : str
        Name of the recording or curve.
    input_db_spl : float
        Overall level of the speech at the aid's microphone. [dB SPL]
    route : Route
        From which coupler, by which RECD.
    coupler_level : Level
        Long-term rms output in the coupler, third-octave bands. [dB SPL]
    at_eardrum : Level
        The same carried to the eardrum (F5). [dB SPL]
    percentiles : mapping of int to Level
        Levels not exceeded in 30, 65 and 99 % of 125 ms frames, at the eardrum. [dB SPL]
    noise_at_eardrum_db : array (n,) or None
        Noise of the coupler recording carried the same way; None where it is not known. [dB SPL]
    recd, mle : Transfer
        What was added: coupler to eardrum, and the microphone-location effect. [dB]
    findings : tuple of Finding
        What has to be said about the recording, the route and both sums.
    """

    name: str
    input_db_spl: float
    route: Route
    coupler_level: Level
    at_eardrum: Level
    percentiles: Mapping[int, Level]
    noise_at_eardrum_db: FloatArray | None
    recd: Transfer
    mle: Transfer
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False)
class AidedMaximum:
    """Maximum output by one route.

    Parameters
    ----------
    name : str
        Name of the recording or curve.
    input_db_spl : float
        Level of the loud sweep at the aid's microphone. [dB SPL]
    route : Route
        From which coupler, by which RECD.
    coupler_level : Level
        Output in the coupler over frequency. [dB SPL]
    at_eardrum : Level
        The same carried to the eardrum, without the microphone-location effect (F7). [dB SPL]
    harmonics : mapping of int to HarmonicCurve
        Harmonics of the output by their order; empty where they were not measured. [dB re fundamental]
    findings : tuple of Finding
        What has to be said about the recording, the route and the sum.
    """

    name: str
    input_db_spl: float
    route: Route
    coupler_level: Level
    at_eardrum: Level
    harmonics: Mapping[int, HarmonicCurve]
    findings: tuple[Finding, ...]


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


def aided_speech(readings: Readings, ear: EarPlan, ways: Sequence[Route]) -> tuple[AidedSpeech, ...]:
    """Every speech run of the aid that a route carries to the eardrum."""
    out = []
    for take, reading in readings.speech:
        if (take.ear, take.place, take.source) != (ear.ear, "coupler", "aid") or reading.input_db_spl is None:
            continue
        level_db_spl = reading.input_db_spl
        out += [_speech(take, reading, level_db_spl, ear, route) for route in ways if route.kind == take.coupler]
    return tuple(out)


def _speech(
    take: Take | ImportedCurve, reading: SpeechReading, input_db_spl: float, ear: EarPlan, route: Route
) -> AidedSpeech:
    require_closed(ear.venting)
    level = reading.level
    recd, coupling_findings = route.recd(level.grid, level)
    mle, mle_findings = _mle(ear, level.grid)
    carried = withdrawn_by_vent(aided_level(level, recd, mle), ear.venting)
    percentiles = {p: aided_level(curve, recd, mle) for p, curve in reading.percentiles.items()}
    noise = None if reading.noise_db is None else reading.noise_db + recd.level_db
    findings = (*route.findings, *reading.findings, *coupling_findings, *mle_findings)
    name = f"speech {input_db_spl:g} dB"
    return AidedSpeech(
        take.name, input_db_spl, route, level, carried.named(name), percentiles, noise, recd, mle, findings
    )


def _mle(ear: EarPlan, grid: Grid) -> tuple[Transfer, tuple[Finding, ...]]:
    if not ear.mle_frequency_hz:
        transfer, finding = unknown_microphone_location_effect(grid, ear=ear.ear)
        return transfer, (finding,)
    given = microphone_location_effect(
        np.array(ear.mle_frequency_hz), np.array(ear.mle_db), grid, ear=ear.ear, source=ear.mle_source
    )
    return given, ()


def aided_maximum(
    readings: Readings, ear: EarPlan, ways: Sequence[Route], plan: Plan, grid: Grid
) -> tuple[AidedMaximum, ...]:
    """Every loud sweep of the aid that a route carries to the eardrum."""
    out = []
    for take, reading in readings.of(ear.ear, "coupler", "aid"):
        level_db_spl = plan.stimuli[take.stimulus].level_db_spl
        if level_db_spl is None or level_db_spl < MAXIMUM_INPUT_DB_SPL:
            continue
        out += [_maximum(take, reading, level_db_spl, ear, route, grid) for route in ways if route.kind == take.coupler]
    return tuple(out)


def _maximum(
    take: Take | ImportedCurve, reading: Reading, input_db_spl: float, ear: EarPlan, route: Route, grid: Grid
) -> AidedMaximum:
    require_closed(ear.venting)
    level = reading.on(grid).level.named("maximum output")
    recd, coupling_findings = route.recd(grid, level)
    carried = aided_level(level, recd, None)
    findings = (*route.findings, *reading.findings, *coupling_findings)
    return AidedMaximum(take.name, input_db_spl, route, level, carried, reading.harmonics(grid), findings)


def saturation(maximum: AidedMaximum, speech: Sequence[AidedSpeech], readings: Readings, ear: Ear) -> Finding | None:
    """Whether the loud sweep was limited at all, against speech at 65 dB in the same coupler."""
    same = [s for s in speech if s.route.kind == maximum.route.kind]
    if not same:
        return None
    run = min(same, key=lambda s: abs(s.input_db_spl - 65.0))
    played = next(r.input_levels_db for t, r in readings.speech if t.name == run.name and t.ear == ear)
    if played is None:
        return None
    hz = run.coupler_level.frequency_hz
    at = maximum.coupler_level.level_db[[maximum.coupler_level.grid.index(f) for f in hz]]
    return saturation_finding(at - maximum.input_db_spl, run.coupler_level.level_db - played, hz)
