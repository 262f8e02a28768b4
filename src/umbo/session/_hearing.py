"""Thresholds and discomfort levels of one ear: as entered, and at its eardrum by the route the transducer needs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from umbo.core import (
    Bandwidth,
    CouplerKind,
    Coupling,
    Ear,
    Finding,
    FloatArray,
    Grid,
    Level,
    Severity,
    Statistic,
    Transducer,
    Transfer,
    lies_within,
)
from umbo.ear import (
    UNAIDED_SOURCE,
    DiscomfortRule,
    adult_average_recd,
    average_redd,
    convert_recd,
    eardrum_discomfort,
    estimate_by_set,
    filled_in,
    hearing_level,
    measured_redd,
    predicted_discomfort,
    require_frequency_specific,
    retspl,
    sound_field_threshold,
    unaided_gain,
)
from umbo.errors import UmboError
from umbo.session._plan import EarPlan, ThresholdSet
from umbo.session._recds import MeasuredRecd
from umbo.session._threshold_findings import at_eardrum_findings, entered_findings

__all__ = ["Hearing", "hearing_at_eardrum", "predicted_at_eardrum"]


@dataclass(frozen=True, slots=True, eq=False)
class Hearing:
    """Thresholds or discomfort levels of one ear.

    Parameters
    ----------
    entered : Level
        On the transducer's dial, or at the eardrum for discomfort that a probe measured there. [dB HL or dB SPL]
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
    entry : ThresholdSet or None
        What was declared; for predicted discomfort levels, of the thresholds they are predicted from.
    is_predicted : bool
        Whether they are predicted from thresholds and were not measured.
    """

    entered: Level
    at_eardrum: Level | None
    no_response: tuple[bool, ...]
    route: str
    why_not: str | None
    findings: tuple[Finding, ...] = ()
    entry: ThresholdSet | None = None
    is_predicted: bool = False


def hearing_at_eardrum(
    entry: ThresholdSet,
    ear: EarPlan,
    recds: Sequence[MeasuredRecd],
    statistic: Statistic,
    *,
    age_months: float | None,
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
    age_months : float or None
        Age, for the unaided gain of sound-field thresholds; None where it is not known. [month]

    Returns
    -------
    Hearing
        With the level at the eardrum, or with the sentence that says why there is none.

    Raises
    ------
    UmboError
        If the levels cannot be read as hearing levels at all: nHL without a correction or corrected twice, clicks.
    """
    if entry.scale == "SPL":
        level = eardrum_discomfort(
            entry.frequency_hz, entry.level_db, ear=ear.ear, no_response=entry.no_response, source="entered, dB SPL"
        )
        return Hearing(level, level, entry.no_response, "dB SPL at the eardrum, by a probe", None, (), entry)
    measured, ehl_db = _entered(entry, ear.ear, statistic)
    entered, unfilled = _filled(measured, entry.fill_in_hz)
    findings = (*entered_findings(entry, ear.ear, ehl_db, statistic), *unfilled)
    silent = dict(zip(entry.frequency_hz, entry.no_response, strict=True))
    no_response = tuple(silent.get(f, False) for f in entered.frequency_hz.tolist())
    try:
        at_eardrum, route = _carry(entered, entry, ear, recds, age_months)
    except UmboError as error:
        return Hearing(entered, None, no_response, "none", str(error), findings, entry)
    findings = (*findings, *at_eardrum_findings(at_eardrum, entry, statistic))
    return Hearing(entered, at_eardrum, no_response, route, None, findings, entry)


def predicted_at_eardrum(
    rule: DiscomfortRule,
    thresholds: Hearing,
    ear: EarPlan,
    recds: Sequence[MeasuredRecd],
    *,
    age_months: float | None,
) -> Hearing | None:
    """Predict discomfort levels at the eardrum by the rule that was chosen.

    Parameters
    ----------
    rule : DiscomfortRule
        The rule.
    thresholds : Hearing
        What it predicts from.
    ear : EarPlan
        Which ear.
    recds : sequence of MeasuredRecd
        RECDs of this ear.
    age_months : float or None
        As for :func:`hearing_at_eardrum`. [month]

    Returns
    -------
    Hearing or None
        Labelled as predicted, with a warning. None for a rule in dB SPL where the thresholds do not reach the eardrum:
        the reason stands with them.
    """
    text = f"The discomfort levels are predicted by {rule.phrase}, not measured: people differ by {rule.u_db:g} dB."
    action = "Measure this ear's discomfort levels; until then watch the client at loud sounds and keep the output low."
    said = (Finding("discomfort_predicted", Severity.WARN, text, action, rule.source),)
    entry, silent, route = thresholds.entry, thresholds.no_response, f"predicted by {rule.phrase}"
    if rule.scale == "SPL":
        if thresholds.at_eardrum is None:
            return None
        level = predicted_discomfort(thresholds.at_eardrum, rule)
        return Hearing(level, level, silent, route, None, said, entry, is_predicted=True)
    on_dial = predicted_discomfort(thresholds.entered, rule)
    if entry is None or thresholds.at_eardrum is None:
        return Hearing(on_dial, None, silent, "none", thresholds.why_not, said, entry, is_predicted=True)
    at_eardrum, carried = _carry(on_dial, entry, ear, recds, age_months)
    return Hearing(on_dial, at_eardrum, silent, f"{route}; {carried}", None, said, entry, is_predicted=True)


def _entered(entry: ThresholdSet, ear: Ear, statistic: Statistic) -> tuple[Level, list[float]]:
    """Levels on the dial, and the same as numbers. [dB HL]"""
    require_frequency_specific(entry.method)
    levels, source = list(entry.level_db), f"entered, dB {entry.scale}"
    if entry.scale == "nHL":
        levels = estimate_by_set(
            entry.frequency_hz,
            levels,
            entry.correction,
            method=entry.method,
            corrected_by_recorder=entry.corrected_by_recorder,
        )
        source = f"entered as dB nHL, corrected by {entry.correction.phrase if entry.correction else 'no set'}"
    level = hearing_level(
        entry.frequency_hz,
        levels,
        ear=ear,
        transducer=entry.transducer or Transducer.INSERT,
        coupling=entry.coupling if entry.transducer is Transducer.INSERT else None,
        statistic=statistic,
        no_response=entry.no_response,
        source=source,
        is_estimate=entry.scale != "HL",
        method=entry.method,
        reliability=entry.reliability,
    )
    return level, levels


def _filled(level: Level, wanted_hz: Sequence[float]) -> tuple[Level, list[Finding]]:
    """Points that were asked for between measured ones; where one cannot be had, the reason."""
    possible, found = [], []
    for f in wanted_hz:
        try:
            filled_in(level, [f])
        except UmboError as error:
            text = f"No point was filled in at {f:g} Hz: {error.disagrees}."
            action = f"{error.do[0].upper()}{error.do[1:]}."
            found.append(
                Finding("not_filled_in", Severity.WARN, text, action, "engineering judgement, no source", f, f)
            )
        else:
            possible.append(f)
    return filled_in(level, possible), found


def _carry(
    entered: Level, entry: ThresholdSet, ear: EarPlan, recds: Sequence[MeasuredRecd], age_months: float | None
) -> tuple[Level, str]:
    hz, start = entered.frequency_hz, _scale_phrase(entry)
    transducer = entry.transducer or Transducer.INSERT
    if transducer is Transducer.INSERT:
        kind = entry.coupler or CouplerKind.HA1
        recd = _recd_for(kind, entry.coupling, entered.grid, ear, recds)
        return entered + retspl(kind, hz) + recd, f"{start} + RETSPL {kind.display_name} + {recd.tags.quantity} (F2)"
    if transducer is Transducer.SOUND_FIELD:
        reug = unaided_gain(hz, age_months, ear=ear.ear, field="free", source=UNAIDED_SOURCE)
        return entered + sound_field_threshold(hz) + reug, f"{start} + MAF + average REUG (F4)"
    if entry.redd_db is not None:
        redd = measured_redd(transducer, np.array(entry.frequency_hz), np.array(entry.redd_db), ear=ear.ear)
        here = redd.on(entered.grid, method="log_frequency", outside="refuse")
        return entered + here, f"{start} + measured REDD (F3)"
    return entered + average_redd(transducer, hz, ear=ear.ear), f"{start} + average REDD (F3)"


def _scale_phrase(entry: ThresholdSet) -> str:
    """What a sum starts from: an estimate names its correction."""
    if entry.scale == "nHL" and entry.correction is not None:
        return f"dB eHL by {entry.correction.phrase}"
    return f"dB {entry.scale}"


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
    held: FloatArray = level.frequency_hz[lies_within(level.frequency_hz, *other.frequency_hz[[0, -1]])]
    return held
