"""Whole answers from whole sessions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from umbo import __version__
from umbo.aid import maximum_db
from umbo.core import Grid, Level
from umbo.curves import Reading, SpeechReading
from umbo.record._answers import EarVerification, RecdAnswer, ResponseAnswer, VerifyAnswer
from umbo.record._comparison import coupler_comparisons
from umbo.record._curves import Harmonic, ResponseRecord
from umbo.record._from_curve import curve_fields, finding_records
from umbo.record._from_judging import guidance_record, to_try_record, verdict_record
from umbo.record._from_session import (
    closing_record,
    graded_recd,
    harmonic_percent,
    hearing_record,
    maximum_record,
    speech_record,
    target_record,
)
from umbo.record._from_since import since_record
from umbo.record._plain import rounded
from umbo.record._tables import used_tables
from umbo.session import EarResult, MeasuredRecd, SessionResult, Take

__all__ = ["CAUTIONS", "recd_answer", "response_answer", "verify_answer"]

#: Printed with every verdict.
CAUTIONS = (
    "Not for client care unless it has been cleared for it where you work; local codes and licensed practice go first.",
    "A predicted level at the eardrum is not a measured one; its uncertainty is part of it.",
    "Curves end at their trusted frequency; bands less than 6 dB above noise were not measured.",
    "Look into the ear before a probe tube goes in, use a tube once, and do not touch the eardrum.",
    "Loud sweeps: warn the client, never run one into an ear without need, stop at any sign of distress.",
    "Refer a sudden, one-sided, painful or discharging hearing problem before fitting.",
)


def recd_answer(case: str, recds: Mapping[str, Sequence[MeasuredRecd]]) -> RecdAnswer:
    """Answer of ``umbo recd``."""
    ears = {side: [graded_recd(recd) for recd in found] for side, found in recds.items()}
    comparisons = {side: pairs for side, found in recds.items() if (pairs := coupler_comparisons(found))}
    return RecdAnswer.model_validate({"schema": 1, "case": case, "ears": ears, "comparisons": comparisons})


def response_answer(case: str, take: Take, reading: Reading | SpeechReading, grid: Grid) -> ResponseAnswer:
    """Answer of ``umbo response``.

    Parameters
    ----------
    case : str
        Case identifier.
    take : Take
        Which recording.
    reading : Reading or SpeechReading
        What it was read as.
    grid : Grid
        Grid of a sweep's answer; speech is in third-octaves.
    """
    harmonics: dict[str, Harmonic] = {}
    percentiles: dict[str, list[float]] = {}
    if isinstance(reading, SpeechReading):
        level, noise = reading.level, reading.noise_db
        percentiles = {str(p): rounded(curve.level_db) for p, curve in reading.percentiles.items()}
        used = reading.repeats
    else:
        on_grid = reading.on(grid)
        level, noise = on_grid.level, on_grid.noise_db
        found = reading.harmonics(grid)
        percent = harmonic_percent(found)
        harmonics = {
            str(order): Harmonic(
                percent=percent[str(order)],
                db_re_fundamental=[
                    round(float(db), 4) if known else None
                    for db, known in zip(curve.relative_db, curve.is_known, strict=True)
                ],
            )
            for order, curve in found.items()
        }
        used = getattr(getattr(reading, "spectrum", None), "used", take.repeats)
    record = ResponseRecord(
        **curve_fields(level),
        recording=take.name,
        ear=take.ear.value,
        stimulus=take.stimulus,
        statistic=_statistic(level),
        noise_db=[None] * level.grid.size if noise is None else list(rounded(noise)),
        repeats=take.repeats,
        repeats_used=used,
        harmonics=harmonics,
        percentiles=percentiles,
        findings=finding_records(reading.findings),
    )
    return ResponseAnswer.model_validate({"schema": 1, "case": case, "response": record})


def _statistic(level: Level) -> str:
    return str(level.tags.statistic or "")


def verify_answer(result: SessionResult) -> VerifyAnswer:
    """Answer of ``umbo verify``: also what a report is printed from."""
    plan = result.plan
    ears = {side.value: _ear(ear) for side, ear in result.ears.items()}
    calibrations = [
        f"{c.name}: {c.pa_per_full_scale:g} Pa per full scale, u {c.u_db:g} dB, {c.date.isoformat()}, {c.method}"
        for c in plan.calibrations.values()
    ]
    return VerifyAnswer.model_validate(
        {
            "schema": 1,
            "case": plan.case_id,
            "software": f"umbo {__version__}",
            "client": plan.client.code,
            "age_months": plan.client.age_months,
            "measured": plan.date.isoformat() if plan.date else None,
            "verified": result.is_verified,
            "calibrations": calibrations,
            "tables": used_tables(result),
            "ears": ears,
            "findings": finding_records(result.findings),
            "since": since_record(result),
            "cautions": list(CAUTIONS),
        }
    )


def _ear(ear: EarResult) -> EarVerification:
    largest = None if ear.maximum is None else maximum_db(ear.maximum.run.measured)
    day = None if ear.recd is None else ear.recd.measured_on
    return EarVerification(
        middle_ear=ear.plan.middle_ear,
        recds=[graded_recd(recd) for recd in ear.recds],
        recd_used=None if ear.route is None else ear.route.name,
        thresholds=hearing_record(ear.thresholds),
        discomfort=hearing_record(ear.discomfort),
        targets=[target_record(target) for target in ear.targets],
        speech=[speech_record(judged, heard) for judged, heard in zip(ear.speech, ear.heard, strict=True)],
        maximum_output=maximum_record(ear.maximum, largest),
        closings=[closing_record(closing) for closing in ear.closings],
        findings=finding_records(ear.findings),
        verdict=verdict_record(ear.verdict, ear.draws, ear.guidance),
        guidance=guidance_record(ear.guidance),
        recd_measured=None if day is None else day.isoformat(),
        recd_usable_until=None if ear.recd_age is None else ear.recd_age.last_day.isoformat(),
        to_try=to_try_record(ear.to_try, ear.guidance),
    )
