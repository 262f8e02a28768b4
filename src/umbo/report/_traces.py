"""From records to the curves a chart takes: the numbers are handed on as they stand."""

from __future__ import annotations

from collections.abc import Sequence

from umbo.chart import FrequencyAxis, Thresholds, Trace
from umbo.record import CurveRecord, GradedRecd, ThresholdRecord

__all__ = [
    "coupler_trace",
    "curve_trace",
    "ear_trace",
    "known_trace",
    "known_traces",
    "on_axis",
    "recd_trace",
    "thresholds_of",
]

_AXIS = FrequencyAxis()


def curve_trace(record: CurveRecord, label: str, limit: GradedRecd | None = None) -> Trace | None:
    """Make a curve of a record; None if no point lies on the axis.

    Parameters
    ----------
    record : CurveRecord
        The curve.
    label : str
        Name written at its end.
    limit : GradedRecd, optional
        The RECD whose trusted limit ends the curve.
    """
    rows = on_axis(record.frequency_hz)
    if not rows:
        return None
    return Trace(
        label,
        _picked(record.frequency_hz, rows),
        _picked(record.level_db, rows),
        _picked(record.u_db, rows),
        [record.state[i] for i in rows],
        trusted_max_hz=None if limit is None else limit.trusted_max_hz,
        trusted_limit="" if limit is None else limit.trusted_limit.replace("_", " "),
    )


def recd_trace(recd: GradedRecd, label: str) -> Trace | None:
    """Make the curve of an RECD with its own trusted limit."""
    return _of_recd(recd, recd.level_db, label, with_u=True)


def ear_trace(recd: GradedRecd, label: str) -> Trace | None:
    """Make the curve in the ear that an RECD rests on."""
    return _of_recd(recd, recd.ear_curve_db, label)


def coupler_trace(recd: GradedRecd, label: str) -> Trace | None:
    """Make the coupler reading that an RECD rests on."""
    return _of_recd(recd, recd.coupler_curve_db, label)


def known_trace(frequency_hz: Sequence[float], level_db: Sequence[float | None], label: str) -> Trace | None:
    """Make a curve of the points whose level is known, for a noise that has no gaps; None if there is no point.

    Parameters
    ----------
    frequency_hz : sequence of float (n,)
        Frequencies. [Hz]
    level_db : sequence of float or None (n,)
        Levels; None where not known. [dB]
    label : str
        Name written at its end.
    """
    known = [point for run in _known_runs(frequency_hz, level_db) for point in run]
    return Trace(label, [hz for hz, _ in known], [db for _, db in known]) if known else None


def known_traces(frequency_hz: Sequence[float], level_db: Sequence[float | None], label: str) -> list[Trace]:
    """Make one curve for every stretch of known points, so that no line is drawn where nothing was measured.

    Parameters
    ----------
    frequency_hz : sequence of float (n,)
        Frequencies. [Hz]
    level_db : sequence of float or None (n,)
        Levels; None where not known. [dB]
    label : str
        Name of all of them.
    """
    runs = _known_runs(frequency_hz, level_db)
    return [Trace(label, [hz for hz, _ in run], [db for _, db in run]) for run in runs]


def _known_runs(frequency_hz: Sequence[float], level_db: Sequence[float | None]) -> list[list[tuple[float, float]]]:
    runs: list[list[tuple[float, float]]] = [[]]
    for hz, db in zip(frequency_hz, level_db, strict=True):
        if db is not None and bool(_AXIS.covers(hz)):
            runs[-1].append((hz, db))
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if run]


def thresholds_of(record: ThresholdRecord | None) -> Thresholds | None:
    """Make thresholds or discomfort levels at the eardrum; None where there are none."""
    if record is None or record.at_eardrum is None:
        return None
    at = record.at_eardrum
    rows = on_axis(at.frequency_hz)
    if not rows:
        return None
    silent = record.no_response if len(record.no_response) == len(at.frequency_hz) else [False] * len(at.frequency_hz)
    return Thresholds(
        _picked(at.frequency_hz, rows),
        _picked(at.level_db, rows),
        [silent[i] for i in rows],
        _picked(at.u_db, rows),
        [at.state[i] for i in rows],
        is_predicted=record.predicted,
    )


def _of_recd(recd: GradedRecd, level_db: Sequence[float], label: str, *, with_u: bool = False) -> Trace | None:
    rows = on_axis(recd.frequency_hz)
    if not rows:
        return None
    return Trace(
        label,
        _picked(recd.frequency_hz, rows),
        _picked(level_db, rows),
        _picked(recd.u_db, rows) if with_u else None,
        [recd.state[i] for i in rows],
        trusted_max_hz=recd.trusted_max_hz if with_u else None,
        trusted_limit=recd.trusted_limit.replace("_", " ") if with_u else "",
    )


def on_axis(frequency_hz: Sequence[float]) -> list[int]:
    """Rows a chart can show; the axis runs from 125 Hz to 16 kHz with a small margin."""
    return [i for i, hz in enumerate(frequency_hz) if bool(_AXIS.covers(hz))]


def _picked(values: Sequence[float], rows: Sequence[int]) -> list[float]:
    return [values[i] for i in rows]
