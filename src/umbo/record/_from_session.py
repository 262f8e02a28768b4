"""From what a session found to plain records."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from umbo.core import Curve, FloatArray
from umbo.curves import HarmonicCurve
from umbo.ear import Closing
from umbo.prescription import Target
from umbo.record._answers import (
    AidedRun,
    ClosingRecord,
    SpeechRun,
    TargetRecord,
    ThresholdRecord,
)
from umbo.record._curves import CurveRecord, GradedRecd, LimitRecord
from umbo.record._from_curve import curve_record, explain_lines, finding_records
from umbo.record._from_heard import audibility_record
from umbo.record._from_judging import rms_record
from umbo.record._plain import HZ_DECIMALS, rounded, state_words
from umbo.session import (
    AidedMaximum,
    AidedSpeech,
    HeardSpeech,
    Hearing,
    JudgedMaximum,
    JudgedSpeech,
    MeasuredRecd,
    Route,
)

__all__ = [
    "closing_record",
    "graded_recd",
    "hearing_record",
    "maximum_record",
    "speech_record",
    "target_record",
]


def _optional(values: FloatArray | None, size: int) -> list[float | None]:
    return [None] * size if values is None else list(rounded(values))


def graded_recd(recd: MeasuredRecd) -> GradedRecd:
    """An RECD as a record."""
    curve, size = recd.curve, recd.curve.grid.size
    return GradedRecd(
        coupler=recd.kind.value,
        source=recd.source.value,
        coupling=recd.coupling.value,
        **{"from": str(curve.start)},
        to="eardrum" if str(curve.end) == "eardrum" else "probe_tip",
        bandwidth=str(curve.grid.bandwidth),
        frequency_hz=rounded(curve.frequency_hz, HZ_DECIMALS),
        level_db=rounded(curve.level_db),
        u_db=rounded(curve.u_db),
        state=state_words(curve),
        ear_curve_db=rounded(recd.ear_level.level_db),
        coupler_curve_db=rounded(recd.coupler_level.level_db),
        coupler_noise_db=_optional(recd.coupler_noise_db, size),
        ear_noise_db=_optional(recd.ear_noise_db, size),
        insertions=len(recd.ear_readings),
        tip_to_drum_mm=round(recd.position.distance_mm, 2),
        tip_to_drum_u_mm=round(recd.position.u_mm, 2),
        tip_to_drum_known_by=recd.position.known_by,
        trusted_max_hz=round(recd.trust.max_hz, 1),
        trusted_limit=recd.trust.lowest.rule,
        limits=[
            LimitRecord(rule=x.rule, max_hz=round(x.max_hz, 1), reason=x.reason, action=x.action, source=x.source)
            for x in sorted(recd.trust.limits, key=lambda limit: limit.max_hz)
        ],
        grade=recd.grade.letter,
        grade_reasons=list(recd.grade.reasons),
        findings=finding_records(recd.findings),
    )


def hearing_record(hearing: Hearing | None) -> ThresholdRecord | None:
    """Thresholds or discomfort levels as a record."""
    if hearing is None:
        return None
    at = hearing.at_eardrum
    hz, lines = explain_lines(at) if at is not None else (None, [])
    entry = hearing.entry
    return ThresholdRecord(
        entered=curve_record(hearing.entered),
        at_eardrum=None if at is None else curve_record(at),
        no_response=list(hearing.no_response),
        route=hearing.route,
        why_not=hearing.why_not,
        explain_at_hz=hz,
        explain=lines,
        predicted=hearing.is_predicted,
        scale=None if entry is None else entry.scale,
        correction=None if entry is None or entry.correction is None else entry.correction.phrase,
        method=None if entry is None else entry.method,
        reliability=None if entry is None else entry.reliability,
        masking=[] if entry is None else [str(word) for word in entry.masking],
    )


def target_record(target: Target) -> TargetRecord:
    """A target as a record."""
    return TargetRecord(
        method=str(target.method),
        input_db_spl=target.input_db_spl,
        at_eardrum=curve_record(target.level),
        findings=finding_records(target.findings),
    )


def _maybe(curve: Curve | None) -> CurveRecord | None:
    return None if curve is None else curve_record(curve)


def _measured(run: AidedSpeech | AidedMaximum) -> dict[str, Any]:
    """Where a run was measured, and what: in a coupler, or at the probe tip in the ear."""
    level = curve_record(run.measured)
    if isinstance(run.route, Route):
        return {"coupler": run.route.kind.value, "coupler_level": level, "on_ear_level": None}
    return {"coupler": None, "coupler_level": None, "on_ear_level": level}


def speech_record(judged: JudgedSpeech, heard: HeardSpeech) -> SpeechRun:
    """A judged speech run as a record, with what of it is audible."""
    run = judged.run
    hz, lines = explain_lines(run.at_eardrum)
    return SpeechRun(
        recording=run.name,
        input_db_spl=run.input_db_spl,
        **_measured(run),
        percentiles={str(p): curve_record(level) for p, level in run.percentiles.items()},
        at_eardrum=curve_record(run.at_eardrum),
        noise_at_eardrum_db=_optional(run.noise_at_eardrum_db, run.at_eardrum.grid.size),
        coupler_target=_maybe(judged.coupler_target),
        deviation=_maybe(judged.deviation),
        rms=None if judged.rms is None else rms_record(judged.rms),
        sensation_level=_maybe(judged.sensation),
        audibility=audibility_record(heard),
        explain_at_hz=hz,
        explain=lines,
    )


def harmonic_percent(harmonics: Mapping[int, HarmonicCurve]) -> dict[str, list[float | None]]:
    """Harmonics in per cent of the fundamental; null where unknown."""
    return {
        str(order): [
            round(100 * 10 ** (db / 20), 4) if known else None
            for db, known in zip(curve.relative_db, curve.is_known, strict=True)
        ]
        for order, curve in harmonics.items()
    }


def maximum_record(judged: JudgedMaximum | None, largest: tuple[float, float] | None) -> AidedRun | None:
    """Judged maximum output as a record.

    Parameters
    ----------
    judged : JudgedMaximum or None
        Maximum output.
    largest : tuple of float or None
        Largest usable output where it was measured, and its frequency. [dB SPL], [Hz]
    """
    if judged is None or largest is None:
        return None
    run = judged.run
    hz, lines = explain_lines(run.at_eardrum)
    return AidedRun(
        recording=run.name,
        input_db_spl=run.input_db_spl,
        **_measured(run),
        at_eardrum=curve_record(run.at_eardrum),
        limit=_maybe(judged.limit),
        limit_source=judged.limit_source,
        excess=_maybe(judged.excess),
        upper_edge=judged.upper_edge,
        largest_db_spl=round(largest[0], 2),
        largest_hz=round(largest[1], 1),
        harmonic_percent=harmonic_percent(run.harmonics),
        explain_at_hz=hz,
        explain=lines,
    )


def closing_record(closing: Closing) -> ClosingRecord:
    """A closing error as a record."""
    return ClosingRecord(
        quantity=closing.quantity,
        routes=list(closing.routes),
        frequency_hz=rounded(closing.frequency_hz, HZ_DECIMALS),
        error_db=rounded(closing.error_db),
        u_db=rounded(closing.u_db),
        usable=[bool(x) for x in closing.usable],
        closes=closing.closes,
    )
