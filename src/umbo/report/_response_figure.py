"""The figure of one recording: its level with noise and percentiles, and its harmonics."""

from __future__ import annotations

import math
from dataclasses import replace

from umbo.chart import (
    COUPLER_LEVEL,
    EAR_LEVEL,
    EARDRUM_LEVEL,
    NOISE,
    Band,
    Chart,
    Figure,
    LevelAxis,
    Line,
    Quantity,
    Series,
    Symbol,
    Tone,
    Trace,
)
from umbo.core import Plane
from umbo.errors import InputError
from umbo.record import Harmonic, ResponseAnswer, ResponseRecord
from umbo.report._traces import curve_trace, known_trace, known_traces

__all__ = ["response_figure"]

_HARMONIC = Quantity("harmonic re fundamental", Line.SOLID, 1.8)
_SYMBOLS = (Symbol.DOT, Symbol.SQUARE, Symbol.DIAMOND, Symbol.TRIANGLE)
_SPEECH_EDGES = ("30", "99")


def response_figure(answer: ResponseAnswer) -> Chart | Figure:
    """Draw one recording as a curve, and below it its harmonics where it has any.

    Parameters
    ----------
    answer : ResponseAnswer
        What ``umbo response`` found.

    Returns
    -------
    Chart or Figure
        The specification.

    Raises
    ------
    InputError
        If no point lies on the frequency axis.
    """
    record = answer.response
    trace = curve_trace(record, "level")
    if trace is None:
        raise InputError(
            f"draw the recording '{record.recording}'",
            "no point of it lies between 125 Hz and 16 kHz",
            "record in that range",
        )
    level = _level_chart(record, trace)
    harmonics = _harmonics_chart(record)
    if harmonics is None:
        return level
    return Figure("response", ((level,), (harmonics,)), title=record.recording, alt=f"{level.alt} {harmonics.alt}")


def _level_chart(record: ResponseRecord, trace: Trace) -> Chart:
    series = [trace.series(_quantity(record.plane))]
    noise = known_trace(record.frequency_hz, record.noise_db, "noise")
    if noise is not None:
        series.append(noise.series(NOISE))
    bands = _percentile_band(record)
    edges = [db for one in series for db in one.level_db]
    edges += [db for band in bands for row in (band.lower_db, band.upper_db) if row is not None for db in row]
    words = f"{record.quantity}, {record.ear} ear, {_place(record.plane)}"
    used = f"{record.repeats_used} of {record.repeats} repeats"
    return Chart(
        id="response-level",
        title=f"{record.quantity.capitalize()}, {record.ear} ear",
        subtitle=f"{record.recording}: {_place(record.plane)}, {record.stimulus}, {used}",
        alt=f"{words}: {min(record.level_db):.0f} to {max(record.level_db):.0f} {record.unit}.".replace("-", "−"),
        level=LevelAxis.around(
            [min(edges) - 1.0, max(edges) + 1.0], f"{record.unit} {_place(record.plane)}", record.unit
        ),
        series=tuple(series),
        bands=bands,
    )


def _percentile_band(record: ResponseRecord) -> tuple[Band, ...]:
    low, high = (
        known_trace(record.frequency_hz, record.percentiles.get(edge, [None] * len(record.frequency_hz)), edge)
        for edge in _SPEECH_EDGES
    )
    if low is None or high is None:
        return ()
    words = "30th to 99th percentile of the level"
    edges = low.series(NOISE), high.series(NOISE)
    return (Band(words, edges[0].frequency_hz, edges[0].level_db, edges[1].level_db, Tone.HUE),)


def _harmonics_chart(record: ResponseRecord) -> Chart | None:
    found = sorted(record.harmonics, key=int)
    series = tuple(one for order in found for one in _harmonic(record, order, record.harmonics[order]))
    if not series:
        return None
    highest: dict[str, float] = {}
    for one in series:
        highest[one.label] = max(highest.get(one.label, -math.inf), *one.level_db)
    words = ", ".join(f"{label} up to {db:.0f} dB" for label, db in highest.items()).replace("-", "−")
    return Chart(
        id="response-harmonics",
        title="Harmonics",
        alt=f"Harmonics over the excitation frequency, re fundamental: {words}.",
        level=LevelAxis.around(
            [0.0, *(db - 1.0 for one in series for db in one.level_db)], "dB re fundamental", "dB", 20.0
        ),
        series=series,
        height_px=160.0,
    )


def _harmonic(record: ResponseRecord, order: str, harmonic: Harmonic) -> list[Series]:
    """Draw the stretches that were measured; the name stands at the last one."""
    symbol = _SYMBOLS[(int(order) - 2) % len(_SYMBOLS)]
    traces = known_traces(record.frequency_hz, harmonic.db_re_fundamental, f"H{order}")
    series = [trace.series(_HARMONIC, symbol=symbol) for trace in traces]
    return [replace(one, show_label=one is series[-1]) for one in series]


def _quantity(plane: str) -> Quantity:
    if plane.startswith("coupler"):
        return COUPLER_LEVEL
    return EARDRUM_LEVEL if plane == "eardrum" else EAR_LEVEL


def _place(plane: str) -> str:
    return Plane.parse(plane).phrase
