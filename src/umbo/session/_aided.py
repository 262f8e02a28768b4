"""The aid in the coupler, carried to this ear's drum."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from umbo.aid import MAXIMUM_INPUT_DB_SPL, saturation_finding
from umbo.core import Ear, Finding, FloatArray, Grid, Level, Transfer
from umbo.curves import HarmonicCurve, Reading, SpeechReading
from umbo.ear import (
    TwoPaths,
    aided_level,
    microphone_location_effect,
    require_closed,
    unknown_microphone_location_effect,
)
from umbo.session._plan import EarPlan, ImportedCurve, Plan, Take
from umbo.session._readings import Readings
from umbo.session._routes import Route, Way
from umbo.session._vented import at_most, carrier, percentiles_with_vent, with_direct_sound

__all__ = ["AVERAGE_SPEECH_DB_SPL", "AidedMaximum", "AidedSpeech", "aided_maximum", "aided_speech", "saturation"]

#: Overall level of average speech (common practice, no source). [dB SPL]
AVERAGE_SPEECH_DB_SPL = 65.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AidedSpeech:
    """Speech at one input level by one route.

    Parameters
    ----------
    name : str
        Name of the recording or curve.
    input_db_spl : float
        Overall level of the speech at the aid's microphone. [dB SPL]
    route : Route or OnEar
        From which coupler, by which RECD; or measured in the ear.
    measured : Level
        Long-term rms output where it was measured, coupler or probe tip, third-octave bands. [dB SPL]
    at_eardrum : Level
        The same carried to the eardrum (F5), with the direct sound through a vent. [dB SPL]
    percentiles : mapping of int to Level
        Levels not exceeded in 30, 65 and 99 % of 125 ms frames, at the eardrum. [dB SPL]
    noise_at_eardrum_db : array (n,) or None
        Noise of the recording carried the same way; None where it is not known. [dB SPL]
    to_eardrum : Transfer
        What was added to come to the eardrum: the RECD, with the vent's effect; or the probe's correction. [dB]
    mle : Transfer or None
        Microphone-location effect; None in the ear, where it is in the reading. [dB]
    paths : TwoPaths or None
        Aid and direct sound apart, where a vent with known dimensions lets sound in.
    findings : tuple of Finding
        What has to be said about the recording, the route and both sums.
    """

    name: str
    input_db_spl: float
    route: Way
    measured: Level
    at_eardrum: Level
    percentiles: Mapping[int, Level]
    noise_at_eardrum_db: FloatArray | None
    to_eardrum: Transfer
    mle: Transfer | None
    paths: TwoPaths | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AidedMaximum:
    """Maximum output by one route.

    Parameters
    ----------
    name : str
        Name of the recording or curve.
    input_db_spl : float
        Level of the loud sweep at the aid's microphone. [dB SPL]
    route : Route or OnEar
        From which coupler, by which RECD; or measured in the ear.
    measured : Level
        Output over frequency where it was measured, coupler or probe tip. [dB SPL]
    at_eardrum : Level
        The same carried to the eardrum, without the microphone-location effect (F7). [dB SPL]
    harmonics : mapping of int to HarmonicCurve
        Harmonics of the output by their order; empty where they were not measured. [dB re fundamental]
    findings : tuple of Finding
        What has to be said about the recording, the route and the sum.
    """

    name: str
    input_db_spl: float
    route: Way
    measured: Level
    at_eardrum: Level
    harmonics: Mapping[int, HarmonicCurve]
    findings: tuple[Finding, ...]


def aided_speech(readings: Readings, ear: EarPlan, ways: Sequence[Route], plan: Plan) -> tuple[AidedSpeech, ...]:
    """Every speech run of the aid in a coupler that a route carries to the eardrum."""
    out = []
    for take, reading in readings.spoken(ear.ear, "coupler"):
        if reading.input_db_spl is not None:
            level = reading.input_db_spl
            out += [_speech(take, reading, level, route, plan) for route in ways if route.kind == take.coupler]
    return tuple(out)


def _speech(
    take: Take | ImportedCurve, reading: SpeechReading, input_db_spl: float, route: Route, plan: Plan
) -> AidedSpeech:
    ear = route.ear
    require_closed(ear.venting)
    level = reading.level
    recd, coupling_findings = route.recd(level.grid, level)
    mle, mle_findings = _mle(ear, level.grid)
    through = carrier(recd, ear, route.age_months)
    name = f"speech {input_db_spl:g} dB"
    aided = aided_level(level, through, mle).named(name)
    total, paths, vent_findings = with_direct_sound(aided, reading, plan.stimuli[take.stimulus], ear, route.age_months)
    each = {p: aided_level(curve, through, mle) for p, curve in reading.percentiles.items()}
    return AidedSpeech(
        name=take.name,
        input_db_spl=input_db_spl,
        route=route,
        measured=level,
        at_eardrum=total.named(name),
        percentiles=percentiles_with_vent(each, paths),
        noise_at_eardrum_db=None if reading.noise_db is None else reading.noise_db + through.level_db,
        to_eardrum=through,
        mle=mle,
        paths=paths,
        findings=(*route.findings, *reading.findings, *coupling_findings, *mle_findings, *vent_findings),
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
    """Every loud sweep of the aid in a coupler that a route carries to the eardrum."""
    out = []
    for take, reading in readings.of(ear.ear, "coupler", "aid"):
        level_db_spl = plan.stimuli[take.stimulus].level_db_spl
        if level_db_spl is None or level_db_spl < MAXIMUM_INPUT_DB_SPL:
            continue
        out += [_maximum(take, reading, level_db_spl, route, grid) for route in ways if route.kind == take.coupler]
    return tuple(out)


def _maximum(
    take: Take | ImportedCurve, reading: Reading, input_db_spl: float, route: Route, grid: Grid
) -> AidedMaximum:
    require_closed(route.ear.venting)
    level = reading.on(grid).level.named("maximum output")
    recd, coupling_findings = route.recd(grid, level)
    return AidedMaximum(
        name=take.name,
        input_db_spl=input_db_spl,
        route=route,
        measured=level,
        at_eardrum=aided_level(level, at_most(recd, route.ear, route.age_months), None),
        harmonics=reading.harmonics(grid),
        findings=(*route.findings, *reading.findings, *coupling_findings),
    )


def saturation(maximum: AidedMaximum, speech: Sequence[AidedSpeech], readings: Readings, ear: Ear) -> Finding | None:
    """Whether the loud sweep was limited at all, against speech at 65 dB measured in the same place."""
    same = [s for s in speech if s.measured.plane == maximum.measured.plane]
    if not same:
        return None
    run = min(same, key=lambda s: abs(s.input_db_spl - AVERAGE_SPEECH_DB_SPL))
    played = next(r.input_levels_db for t, r in readings.speech if t.name == run.name and t.ear == ear)
    if played is None:
        return None
    hz = run.measured.frequency_hz
    at = maximum.measured.level_db[[maximum.measured.grid.index(f) for f in hz]]
    return saturation_finding(at - maximum.input_db_spl, run.measured.level_db - played, hz)
