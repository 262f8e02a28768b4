"""Thresholds and discomfort levels of one ear: as entered, and at its eardrum by the route the transducer needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from umbo.core import (
    Bandwidth,
    CouplerKind,
    Coupling,
    Finding,
    FloatArray,
    Grid,
    Level,
    Statistic,
    Transducer,
    Transfer,
)
from umbo.ear import (
    adult_average_recd,
    average_redd,
    convert_recd,
    estimate_findings,
    estimated_hearing_level,
    field_to_eardrum,
    hearing_level,
    retspl,
    sound_field_threshold,
)
from umbo.errors import UmboError
from umbo.session._plan import EarPlan, ThresholdSet
from umbo.session._recds import MeasuredRecd

__all__ = ["Hearing", "hearing_at_eardrum"]


@dataclass(frozen=True, slots=True, eq=False)
class Hearing:
    """Thresholds or discomfort levels of one ear.

    Parameters
    ----------
    entered : Level
        On the transducer's dial. [dB HL]
    at_eardrum : Level or None
        At the eardrum; None where no route exists. [dB SPL]
    no_response : tuple of bool
        Where the entered level is a bound.
    route : str
        The sum, in words.
    why_not : str or None
        Why there is no level at the eardrum.
    findings : tuple of Finding
        What should be said about them.
    """

    entered: Level
    at_eardrum: Level | None
    no_response: tuple[bool, ...]
    route: str
    why_not: str | None
    findings: tuple[Finding, ...] = ()


def hearing_at_eardrum(
    entry: ThresholdSet, ear: EarPlan, recds: Sequence[MeasuredRecd], statistic: Statistic
) -> Hearing:
    """Carry thresholds or discomfort levels to the eardrum.

    Parameters
    ----------
    entry : ThresholdSet
        As entered.
    ear : EarPlan
        Which ear, and whether an average RECD was chosen.
    recds : sequence of MeasuredRecd
        RECDs of this ear.
    statistic : Statistic
        ``THRESHOLD`` or ``LIMIT``.

    Returns
    -------
    Hearing
        With the level at the eardrum, or with the sentence that says why there is none.
    """
    levels, scale = list(entry.level_db), entry.scale
    source = f"entered, dB {scale}"
    findings: tuple[Finding, ...] = ()
    if entry.scale == "nHL":
        levels = estimated_hearing_level(levels, entry.correction_db, correction_name=entry.correction_name)
        source = f"entered as dB nHL, corrected by '{entry.correction_name}'"
    if scale != "HL":
        findings = estimate_findings(entry.frequency_hz, entry.level_db if scale == "nHL" else None, levels)
    coupling = entry.coupling if entry.transducer is Transducer.INSERT else None
    entered = hearing_level(
        entry.frequency_hz,
        levels,
        ear=ear.ear,
        transducer=entry.transducer,
        coupling=coupling,
        statistic=statistic,
        no_response=entry.no_response,
        source=source,
        is_estimate=entry.scale != "HL",
    )
    try:
        at_eardrum, route = _carry(entered, entry, ear, recds)
    except UmboError as error:
        return Hearing(entered, None, entry.no_response, "none", str(error), findings)
    return Hearing(entered, at_eardrum, entry.no_response, route, None, findings)


def _carry(entered: Level, entry: ThresholdSet, ear: EarPlan, recds: Sequence[MeasuredRecd]) -> tuple[Level, str]:
    hz = entered.frequency_hz
    if entry.transducer is Transducer.INSERT:
        kind = entry.coupler or CouplerKind.HA1
        recd = _recd_for(kind, entry.coupling, entered.grid, ear, recds)
        return entered + retspl(kind, hz) + recd, f"dB HL + RETSPL {kind.display_name} + {recd.tags.quantity} (F2)"
    if entry.transducer is Transducer.SOUND_FIELD:
        return entered + sound_field_threshold(hz) + field_to_eardrum(
            hz, ear=ear.ear
        ), "dB HL + MAF + average REUG (F4)"
    return entered + average_redd(entry.transducer, hz, ear=ear.ear), "dB HL + average REDD (F3)"


def _recd_for(
    kind: CouplerKind, coupling: Coupling | None, grid: Grid, ear: EarPlan, recds: Sequence[MeasuredRecd]
) -> Transfer:
    """The RECD that belongs to a RETSPL: same coupler, else converted through RETSPLs, else the chosen average.

    Where none fits, the plane error of the sum itself says so: an RECD of another coupler is added and refused.
    """
    insert = [r for r in recds if r.source == "insert" and r.grade.letter != "D"]
    same = [r for r in insert if r.kind == kind]
    if same:
        return _best(same, coupling).on(grid)
    if ear.recd == "adult_average":
        return adult_average_recd(kind, grid, ear=ear.ear, coupling=coupling or Coupling.FOAM_TIP)
    if insert:
        return convert_recd(_best(insert, coupling).on(grid), kind, grid.frequency_hz)
    raise UmboError(
        "carry insert-earphone thresholds to the eardrum",
        f"no RECD re the {kind.display_name} was measured that can be used",
        'measure one, or declare recd = "adult_average" for this ear',
    )


def _best(recds: Sequence[MeasuredRecd], coupling: Coupling | None) -> MeasuredRecd:
    """The RECD with the audiometry's coupling, then the better grade, then the higher trusted limit."""
    return min(recds, key=lambda r: (r.coupling != coupling, r.grade.letter, -r.trust.max_hz))


def in_bands(level: Level, frequency_hz: FloatArray) -> Level:
    """A threshold read for the third-octave band around its tone (as the SII does), on wanted frequencies inside it."""
    grid = Grid(frequency_hz, Bandwidth.THIRD_OCTAVE)
    return level.on(grid, method="log_frequency", outside="refuse")


def common_hz(level: Level, other: Level) -> FloatArray:
    """Points of ``level`` that lie inside the range of ``other``."""
    low, high = other.frequency_hz[0] * 0.985, other.frequency_hz[-1] * 1.015
    held: FloatArray = level.frequency_hz[(level.frequency_hz >= low) & (level.frequency_hz <= high)]
    return held
