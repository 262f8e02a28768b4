"""Prescriptions side by side: wanted levels at the eardrum, and how far each lies from their median."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo.chart._axis import FrequencyAxis, LevelAxis
from umbo.chart._figure import Chart
from umbo.chart._language import Line, Quantity, Symbol, Tone
from umbo.chart._layers import Band
from umbo.chart._quantities import TYPICAL
from umbo.chart._texts import Texts
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.chart._eardrum import Thresholds
    from umbo.chart._layers import Marks, Series
    from umbo.chart._trace import Trace

__all__ = ["Prescribed", "PrescribedKind", "prescription_chart", "prescription_differences"]

_NO_TEXTS = Texts()

#: No ring: it is what a dot with caution looks like.
_SYMBOLS = (
    Symbol.DOT, Symbol.SQUARE, Symbol.DIAMOND, Symbol.TRIANGLE, Symbol.TRIANGLE_DOWN, Symbol.HOURGLASS, Symbol.BOW,
    Symbol.PLUS, Symbol.POST,
)  # fmt: skip

#: Curves nearer to each other than this at every point are drawn as one: a line is 2 px wide. [dB]
_SAME_DB = 0.05

#: Frequencies shown at least: those of most prescriptions. [Hz]
_LOW_HZ, _HIGH_HZ = 250.0, 8000.0


#: Height of the chart of wanted levels. [px]
_HEIGHT_PX = 380.0


class PrescribedKind(StrEnum):
    """What a method prescribes; decides the line style."""

    GAIN = "insertion_gain"
    GAIN_BY_INPUT = "insertion_gain_by_input"
    LEVEL_BY_INPUT = "aided_level_by_input"
    IMPORTED = "imported"


_QUANTITIES = {
    PrescribedKind.GAIN: Quantity("target: one insertion gain for every input", Line.SHORT_DASHED, 1.8),
    PrescribedKind.GAIN_BY_INPUT: Quantity("target: insertion gain for each input", Line.DASH_TWO_DOTS, 1.8),
    PrescribedKind.LEVEL_BY_INPUT: Quantity("target: aided level for each input", Line.LONG_SHORT, 1.8),
    PrescribedKind.IMPORTED: Quantity("target: imported", Line.DASHED, 3.0),
}
_MEDIAN = Quantity("median of the open prescriptions", TYPICAL.line, TYPICAL.width_px, TYPICAL.tone)


@dataclass(frozen=True, slots=True, eq=False)
class Prescribed:
    """What one method wants for one input.

    Parameters
    ----------
    kind : PrescribedKind
        What the method prescribes.
    place : int
        Its place among the methods that are compared, 0 or more: a method keeps its symbol from chart to chart. [1]
    wanted : Trace
        Wanted level at the eardrum. [dB SPL]
    from_median : sequence of Trace
        Wanted level minus the median, one curve for each stretch of points that have one. [dB]
    """

    kind: PrescribedKind
    place: int
    wanted: Trace
    from_median: Sequence[Trace] = ()


def prescription_chart(
    identity: str,
    ear: Literal["right", "left"],
    prescribed: Sequence[Prescribed],
    texts: Texts = _NO_TEXTS,
    *,
    input_level_db: float,
    median: Trace | None = None,
    thresholds: Thresholds | None = None,
    discomfort: Thresholds | None = None,
) -> Chart:
    """Draw what several methods want at one eardrum, between threshold and discomfort level where they are known.

    Methods that want the same at every point are one curve with all their names.

    Parameters
    ----------
    identity : str
        Id of the chart.
    ear : {"right", "left"}
        The ear: the symbol and colour of its thresholds.
    prescribed : sequence of Prescribed
        The methods, at least one. [dB SPL]
    texts : Texts
        Words around the chart.
    input_level_db : float
        Overall level of the speech in the field. [dB SPL]
    median : Trace, optional
        Median of the open prescriptions, in grey. [dB SPL]
    thresholds, discomfort : Thresholds, optional
        At the eardrum. [dB SPL]

    Returns
    -------
    Chart
        The specification.

    Raises
    ------
    InputError
        If there is no method.
    """
    groups = _groups(prescribed)
    series = tuple(
        one.wanted.series(_QUANTITIES[one.kind], input_level_db=input_level_db, symbol=symbol) for symbol, one in groups
    )
    everything = (*series, median.series(_MEDIAN)) if median is not None else series
    marks = _room(ear, thresholds, discomfort)
    layers: tuple[Series | Marks, ...] = (*everything, *marks)
    levels = np.concatenate([layer.level_db for layer in layers])
    return Chart(
        id=identity,
        title=texts.title or f"Prescriptions for the {ear} ear, speech at {input_level_db:g} dB",
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt=_wanted_alt(ear, input_level_db, groups),
        level=LevelAxis.around([levels.min() - 3.0, levels.max() + 3.0], "dB SPL at the eardrum", "dB SPL"),
        frequency=_frequency(layers),
        series=everything,
        marks=marks,
        bands=_shades(marks),
        notes=texts.notes,
        height_px=_HEIGHT_PX,
    )


def prescription_differences(
    identity: str,
    prescribed: Sequence[Prescribed],
    texts: Texts = _NO_TEXTS,
    *,
    input_level_db: float,
    height_px: float = 240.0,
) -> Chart | None:
    """Draw how far each method's wanted level lies from the median of the open prescriptions.

    Parameters
    ----------
    identity : str
        Id of the chart.
    prescribed : sequence of Prescribed
        The methods, at least one. [dB]
    texts : Texts
        Words around the chart.
    input_level_db : float
        Overall level of the speech in the field. [dB SPL]
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart or None
        The specification; None if no point of any method has a median to differ from.

    Raises
    ------
    InputError
        If there is no method.
    """
    groups = _groups(prescribed)
    series = tuple(
        replace(
            trace.series(_QUANTITIES[one.kind], input_level_db=input_level_db, symbol=symbol),
            label=one.wanted.label,
            show_label=trace is one.from_median[-1],
        )
        for symbol, one in groups
        for trace in one.from_median
    )
    if not series:
        return None
    levels = np.concatenate([one.level_db for one in series])
    return Chart(
        id=identity,
        title=texts.title or "Difference from the median of the open prescriptions",
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt=_difference_alt(input_level_db, groups),
        level=LevelAxis.around(
            [min(levels.min() - 1.0, 0.0), max(levels.max() + 1.0, 0.0)], "dB re median", "dB", step_db=5.0
        ),
        frequency=_frequency(series),
        series=series,
        notes=texts.notes,
        height_px=height_px,
        reference_db=0.0,
    )


def _groups(prescribed: Sequence[Prescribed]) -> list[tuple[Symbol | None, Prescribed]]:
    """Curves to draw with their symbols; equal ones joined under the first one's. Imported ones have a heavy line."""
    if not prescribed:
        raise InputError("draw prescriptions", "no method prescribes anything", "give at least one that does")
    found: list[tuple[Symbol | None, Prescribed]] = []
    for one in prescribed:
        same = next((i for i, (_, other) in enumerate(found) if _coincide(one, other)), None)
        if same is None:
            symbol = None if one.kind is PrescribedKind.IMPORTED else _SYMBOLS[one.place % len(_SYMBOLS)]
            found.append((symbol, one))
        else:
            symbol, other = found[same]
            joined = replace(other.wanted, label=f"{other.wanted.label}, {one.wanted.label}")
            found[same] = symbol, replace(other, wanted=joined)
    return found


def _coincide(one: Prescribed, other: Prescribed) -> bool:
    if one.kind is not other.kind or not np.array_equal(one.wanted.frequency_hz, other.wanted.frequency_hz):
        return False
    apart = np.abs(np.asarray(one.wanted.level_db, dtype=float) - np.asarray(other.wanted.level_db, dtype=float))
    return bool((apart < _SAME_DB).all()) and list(one.wanted.state) == list(other.wanted.state)


def _room(ear: str, thresholds: Thresholds | None, discomfort: Thresholds | None) -> tuple[Marks, ...]:
    """Floor and ceiling of the room, as in the view at the eardrum."""
    marks = []
    if thresholds is not None:
        symbol, tone = (Symbol.RIGHT, Tone.RIGHT) if ear == "right" else (Symbol.LEFT, Tone.LEFT)
        marks.append(thresholds.marks(f"threshold, {ear} ear", symbol, tone, Line.SOLID))
    if discomfort is not None:
        marks.append(discomfort.marks("discomfort level", Symbol.CEILING, Tone.NEUTRAL, Line.SOLID))
    return tuple(replace(one, u_db=None) for one in marks)


def _shades(marks: Sequence[Marks]) -> tuple[Band, ...]:
    shade = "grey: too soft to be heard" + (", or too loud" if len(marks) > 1 else "")
    return tuple(
        Band(shade, one.frequency_hz, one.level_db, None)
        if one.symbol is Symbol.CEILING
        else Band(shade, one.frequency_hz, None, one.level_db)
        for one in marks
    )


def _frequency(layers: Sequence[Series | Marks]) -> FrequencyAxis:
    """From 250 Hz to 8 kHz, and wider where a point lies outside."""
    points = [hz for layer in layers for hz in layer.frequency_hz]
    return FrequencyAxis(min(_LOW_HZ, *points), max(_HIGH_HZ, *points))


def _wanted_alt(ear: str, input_level_db: float, groups: Sequence[tuple[Symbol | None, Prescribed]]) -> str:
    sentences = []
    for _, one in groups:
        levels = np.asarray(one.wanted.level_db, dtype=float)
        sentences.append(f"{one.wanted.label}: {levels.min():.0f} to {levels.max():.0f} dB SPL.")
    head = f"Wanted level of speech at {input_level_db:g} dB at the eardrum of the {ear} ear against frequency. "
    return head + " ".join(sentences)


def _difference_alt(input_level_db: float, groups: Sequence[tuple[Symbol | None, Prescribed]]) -> str:
    sentences = []
    for _, one in groups:
        levels = [float(level) for trace in one.from_median for level in np.asarray(trace.level_db)]
        if levels:
            sentences.append(f"{one.wanted.label}: {min(levels):+.1f} to {max(levels):+.1f} dB.")
    head = f"Difference from the median of the open prescriptions, speech at {input_level_db:g} dB. "
    return (head + " ".join(sentences)).replace("-", "−")
