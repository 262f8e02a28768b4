"""From readings to RECDs: which belong together, where the probe was, how far the result can be trusted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

import numpy as np

from umbo.core import (
    CouplerKind,
    Coupling,
    Ear,
    Finding,
    FloatArray,
    Grid,
    Level,
    Severity,
    Source,
    Transfer,
)
from umbo.curves import (
    COUPLER_RANGE_HZ,
    Reading,
    TrustLimit,
    TrustReport,
    average_levels,
    coupler_range,
    excitation_range,
    standing_wave,
    trusted,
)
from umbo.ear import (
    Agreement,
    Grade,
    PlausibleRange,
    ProbePosition,
    agreement,
    grade,
    headroom,
    looks_swapped,
    measured_recd,
    notch_of,
    plausible_range,
    probe_limit,
    probe_mark,
    probe_position,
    probe_to_eardrum,
    recd_name,
    shape_findings,
)
from umbo.errors import CaseError
from umbo.session._ear_doubts import of_the_ear, with_doubts
from umbo.session._plan import EarPlan, ImportedCurve, Plan, Take
from umbo.session._readings import Readings

__all__ = ["MeasuredRecd", "measured_recds"]

_Named = tuple[Take | ImportedCurve, Reading]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class MeasuredRecd:
    """An RECD of one ear re one coupler, with all that is known about it.

    Parameters
    ----------
    ear : Ear
        Side.
    kind : CouplerKind
        Coupler it refers to.
    source, coupling : Source, Coupling
        What made the sound, and what joined it to the coupler and to the ear.
    ear_readings, coupler_readings : tuple of Reading
        Insertions, and placements on the coupler.
    position : ProbePosition
        Where the probe tip was.
    age_months : float or None
        Age of the ear; None where it is not known. [month]
    doubts : tuple of Finding
        What the shapes of this and the other RECDs of the same insertions say.
    curve : Transfer
        RECD on the answer's grid: ear minus coupler, carried from the probe's tip to the eardrum. [dB]
    ear_level, coupler_level : Level
        What it is the difference of, on that grid. [dB SPL]
    ear_noise_db, coupler_noise_db : array (n,) or None
        Noise of both means in the same bands; None where it is not known. [dB SPL]
    trust : TrustReport
        Up to which frequency it can be trusted, and which rule says so.
    findings : tuple of Finding
        What was noticed about position, shape, repeats and recordings.
    grade : Grade
        Letter and reasons.
    measured_on : date or None
        Day of the oldest of its readings in the ear; None where no day is known.
    """

    ear: Ear
    kind: CouplerKind
    source: Source
    coupling: Coupling
    ear_readings: tuple[Reading, ...]
    coupler_readings: tuple[Reading, ...]
    position: ProbePosition
    age_months: float | None
    doubts: tuple[Finding, ...]
    curve: Transfer
    ear_level: Level
    coupler_level: Level
    ear_noise_db: FloatArray | None
    coupler_noise_db: FloatArray | None
    trust: TrustReport
    findings: tuple[Finding, ...]
    grade: Grade
    measured_on: date | None = None

    def on(self, grid: Grid) -> Transfer:
        """The RECD evaluated on another grid, from the recordings, with the same states rules."""
        return _on(self, grid)


#: Checks of a recording that say it was spoilt, or that something moved or sounded while it was made.
_UNSTEADY = ("clipping", "disagreement", "drift", "outlier", "clock", "dropout")


@lru_cache(maxsize=64)
def _on(recd: MeasuredRecd, grid: Grid) -> Transfer:
    """Kept, because every speech level asks for the same one."""
    return _assemble(recd, grid)[0]


@dataclass(frozen=True, slots=True, eq=False)
class _Parts:
    """What an RECD is made of before it is judged."""

    ear: Ear
    kind: CouplerKind
    source: Source
    coupling: Coupling
    ear_readings: tuple[Reading, ...]
    coupler_readings: tuple[Reading, ...]
    position: ProbePosition
    age_months: float | None
    doubts: tuple[Finding, ...] = ()
    measured_on: date | None = None


def measured_recds(readings: Readings, ear: EarPlan, plan: Plan, grid: Grid) -> tuple[MeasuredRecd, ...]:
    """Every RECD the readings of one ear allow.

    A coupler reading and ear readings belong together when ear, source, coupling and stimulus agree; several ear
    readings are insertions of one ear, several coupler readings placements on one coupler.

    Parameters
    ----------
    readings : Readings
        All readings.
    ear : EarPlan
        Which ear, and what is declared of it.
    plan : Plan
        Client and calibrations.
    grid : Grid
        Grid of the answer.
    """
    pairs: dict[tuple[Source, Coupling, str], dict[CouplerKind, list[Reading]]] = {}
    for source in Source:
        for take, reading in readings.of(ear.ear, "coupler", source):
            if take.coupler is not None:
                by_coupler = pairs.setdefault((source, take.coupling, take.stimulus), {})
                by_coupler.setdefault(take.coupler, []).append(reading)
    out = []
    for (source, coupling, stimulus), by_coupler in pairs.items():
        in_ear = [
            (take, reading)
            for take, reading in readings.of(ear.ear, "probe_tip", source)
            if (take.coupling, take.stimulus) == (coupling, stimulus)
        ]
        if not in_ear:
            continue
        insertions = [reading for _, reading in in_ear]
        days = [day for take, _ in in_ear if (day := take.taken_on or plan.date) is not None]
        widest = max(by_coupler, key=COUPLER_RANGE_HZ.__getitem__)
        position = _position(insertions, by_coupler[widest], ear)
        age = plan.client.age_months
        members = [
            _Parts(
                ear=ear.ear,
                kind=kind,
                source=source,
                coupling=coupling,
                ear_readings=tuple(insertions),
                coupler_readings=tuple(placements),
                position=position,
                age_months=age,
                measured_on=min(days, default=None),
            )
            for kind, placements in by_coupler.items()
        ]
        shapes = [_shape(parts, ear.middle_ear) for parts in members]
        shared = of_the_ear(shapes)
        for parts, shape in zip(members, shapes, strict=True):
            own = [finding for finding in shape if finding.code not in {f.code for f in shared}]
            out.append(_measured(replace(parts, doubts=(*shared, *own)), grid))
    return tuple(out)


def _shape(parts: _Parts, middle_ear: str) -> tuple[Finding, ...]:
    """Findings from the shape on twelfth-octaves, whatever grid the answer stands on."""
    curve = _assemble(parts, Grid.twelfth_octave())[0]
    plausible = plausible_range(parts.kind, curve.frequency_hz, parts.age_months)
    _refuse_swapped(parts, curve, plausible)
    return shape_findings(curve, plausible, middle_ear)


def _measured(parts: _Parts, grid: Grid) -> MeasuredRecd:
    position, shape = parts.position, parts.doubts
    curve, ear_level, coupler_level = _assemble(parts, grid)
    trust = _trust(parts, curve, coupler_level)
    repeated = _agreement(parts.ear_readings, grid)
    noticed = _recording_findings(parts)
    unsteady = [finding for finding in noticed if finding.code in _UNSTEADY]
    said = (*position.findings, *shape, *_repeat_findings(repeated), *_placement_findings(parts, grid))
    return MeasuredRecd(
        ear=parts.ear,
        kind=parts.kind,
        source=parts.source,
        coupling=parts.coupling,
        ear_readings=parts.ear_readings,
        coupler_readings=parts.coupler_readings,
        position=position,
        age_months=parts.age_months,
        doubts=parts.doubts,
        curve=curve,
        ear_level=ear_level,
        coupler_level=coupler_level,
        ear_noise_db=_noise(parts.ear_readings, grid),
        coupler_noise_db=_noise(parts.coupler_readings, grid),
        trust=trust,
        findings=(*said, *noticed),
        grade=grade(curve, trust, (*said, *unsteady), repeated),
        measured_on=parts.measured_on,
    )


def _refuse_swapped(parts: _Parts, curve: Transfer, plausible: PlausibleRange | None) -> None:
    if looks_swapped(curve, plausible):
        ear, coupler = parts.ear_readings[0].name, parts.coupler_readings[0].name
        raise CaseError(
            f"form the RECD of the {parts.ear} ear from '{coupler}' and '{ear}'",
            f"the RECD comes out upside down: '{coupler}' reads like an ear and '{ear}' like the "
            f"{parts.kind.display_name}",
            "exchange the two files, or measure again",
        )


def _position(insertions: Sequence[Reading], placements: Sequence[Reading], ear: EarPlan) -> ProbePosition:
    """Where the probe was, from the first insertion's curve on twelfth-octaves and what is declared.

    The coupler that reaches highest serves as the smooth curve a notch is seen against; where the tip was does not
    depend on the coupler, so all RECDs of these insertions share the answer.
    """
    grid = Grid.twelfth_octave()
    return probe_position(ear.tip_to_drum_mm, notch_of(insertions[0].on(grid).level, placements[0].on(grid).level))


def _mean(readings: Sequence[Reading], grid: Grid, name: str) -> Level:
    return average_levels([reading.on(grid).level for reading in readings], name)


def _assemble(parts: _Parts | MeasuredRecd, grid: Grid) -> tuple[Transfer, Level, Level]:
    """RECD, ear level and coupler level on a grid: (ear - coupler) + (probe tip to eardrum)."""
    ear_level = _mean(parts.ear_readings, grid, f"ear:{parts.ear}")
    coupler_level = _mean(parts.coupler_readings, grid, f"coupler:{parts.ear}:{parts.kind}")
    raw = measured_recd(ear_level, coupler_level)
    to_drum = probe_to_eardrum(parts.position, grid, tip=ear_level.plane, ear=parts.ear, age_months=parts.age_months)
    curve = (raw + to_drum).named(recd_name(parts.kind))
    limit = _probe_limit(parts.position)
    if limit is not None:
        mark = probe_mark(limit, grid.frequency_hz)
        curve = curve.marked(mark.state, mark.where, mark.reason)
    return with_doubts(curve, parts.doubts), ear_level, coupler_level


def _probe_limit(position: ProbePosition) -> TrustLimit | None:
    return probe_limit(position.distance_mm, position.u_mm, is_bound=position.known_by == "bound")


def _trust(parts: _Parts, curve: Transfer, coupler_level: Level) -> TrustReport:
    ranges = [reading.range_hz for reading in (*parts.ear_readings, *parts.coupler_readings)]
    start, stop = max(r[0] for r in ranges), min(r[1] for r in ranges)
    return trusted(
        curve,
        [
            coupler_range(parts.kind, curve.grid)[1],
            standing_wave(parts.kind, curve.grid)[1],
            excitation_range(curve.grid, start, stop)[1],
            _probe_limit(parts.position),
            headroom(curve, coupler_level.level_db),
        ],
    )


def _agreement(insertions: Sequence[Reading], grid: Grid) -> Agreement | None:
    if len(insertions) < 2:
        return None
    first, second = (reading.on(grid).level for reading in insertions[:2])
    return agreement(first, second)


def _repeat_findings(repeated: Agreement | None) -> tuple[Finding, ...]:
    if repeated is None or repeated.agrees:
        return ()
    text = f"Two insertions differ by {repeated.worst_db:.1f} dB at {repeated.worst_hz:.0f} Hz."
    action = "Measure a third insertion and keep the two that agree."
    return (Finding("insertions_differ", Severity.WARN, text, action, "engineering judgement, no source"),)


def _placement_findings(parts: _Parts, grid: Grid) -> tuple[Finding, ...]:
    """Two readings on one coupler that differ as two insertions may not: one of them is of something else."""
    compared = _agreement(parts.coupler_readings, grid)
    if compared is None or compared.agrees:
        return ()
    names = " and ".join(f"'{reading.name}'" for reading in parts.coupler_readings[:2])
    text = (
        f"{names} are both labelled {parts.kind.display_name} and differ by {compared.worst_db:.1f} dB at "
        f"{compared.worst_hz:.0f} Hz."
    )
    action = "Check both coupler labels and the seal; keep the reading that belongs here, or measure again."
    return (Finding("placements_differ", Severity.STOP, text, action, "engineering judgement, no source"),)


def _recording_findings(parts: _Parts) -> tuple[Finding, ...]:
    readings = (*parts.ear_readings, *parts.coupler_readings)
    return tuple(dict.fromkeys(finding for reading in readings for finding in reading.findings))


def _noise(readings: Sequence[Reading], grid: Grid) -> FloatArray | None:
    """Noise of the mean of several readings; None if one of them does not know its own."""
    levels = [reading.on(grid).noise_db for reading in readings]
    known = [level for level in levels if level is not None]
    if len(known) < len(levels):
        return None
    power = np.mean([10 ** (level / 10) for level in known], axis=0) / len(known)
    return np.asarray(10 * np.log10(power))
