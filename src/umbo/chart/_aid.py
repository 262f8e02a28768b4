"""The aid by itself: output, gain against its data sheet, and output over input."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from umbo.chart._axis import LevelAxis
from umbo.chart._figure import Chart
from umbo.chart._input_axis import InputAxis
from umbo.chart._language import Quantity, Symbol, Tone
from umbo.chart._layers import Band, Note, Series
from umbo.chart._quantities import COUPLER_LEVEL, GAIN, MAXIMUM_OUTPUT, NOMINAL
from umbo.chart._texts import Texts
from umbo.chart._trace import Trace, hertz_text

__all__ = ["AidOutput", "gain_chart", "input_output_chart", "output_chart"]

_NO_TEXTS = Texts()
_SYMBOLS = (Symbol.DOT, Symbol.SQUARE, Symbol.DIAMOND, Symbol.TRIANGLE)
_LOUD_DB = 85.0


@dataclass(frozen=True, slots=True, eq=False)
class AidOutput:
    """Output or gain of an aid at one input level.

    Parameters
    ----------
    trace : Trace
        The curve. [dB]
    input_level_db : float or None
        Level at the aid's microphone: the lightness of the curve. [dB SPL]
    """

    trace: Trace
    input_level_db: float | None


def output_chart(
    identity: str, outputs: Sequence[AidOutput], texts: Texts = _NO_TEXTS, *, height_px: float = 220.0
) -> Chart:
    """Draw outputs in the coupler; a loud input draws the maximum output.

    Parameters
    ----------
    identity : str
        Id of the chart.
    outputs : sequence of AidOutput
        At least one. [dB SPL]
    texts : Texts
        Words around the chart.
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart
        The specification.
    """
    series = tuple(
        one.trace.series(_output_quantity(one.input_level_db), input_level_db=one.input_level_db) for one in outputs
    )
    return Chart(
        id=identity,
        title=texts.title or "Output in the coupler",
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt=f"Output against frequency. {_spans(series, 'dB SPL')}",
        level=_axis(series, "dB SPL in the coupler", "dB SPL"),
        series=series,
        notes=texts.notes,
        height_px=height_px,
    )


def _output_quantity(input_level_db: float | None) -> Quantity:
    return MAXIMUM_OUTPUT if input_level_db is not None and input_level_db >= _LOUD_DB else COUPLER_LEVEL


def gain_chart(
    identity: str,
    gains: Sequence[AidOutput],
    texts: Texts = _NO_TEXTS,
    *,
    nominal: Trace | None = None,
    allowed: tuple[ArrayLike, ArrayLike] | None = None,
    height_px: float = 220.0,
) -> Chart:
    """Draw gains, and the response of the data sheet with its tolerance where there is one.

    Parameters
    ----------
    identity : str
        Id of the chart.
    gains : sequence of AidOutput
        At least one; several are told apart by a symbol along the line. [dB]
    texts : Texts
        Words around the chart.
    nominal : Trace, optional
        The response of the data sheet. [dB]
    allowed : tuple of array (n,), optional
        Lowest and highest gain at the frequencies of the nominal response. [dB]
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart
        The specification.
    """
    symbols = _SYMBOLS if len(gains) > 1 else (None,)
    series = tuple(
        one.trace.series(GAIN, input_level_db=one.input_level_db, symbol=symbols[n % len(symbols)])
        for n, one in enumerate(gains)
    )
    bands: tuple[Band, ...] = ()
    everything = series
    if nominal is not None:
        wanted = nominal.series(NOMINAL)
        everything = (*series, wanted)
        if allowed is not None:
            low, high = (tuple(np.asarray(edge, dtype=float).tolist()) for edge in allowed)
            bands = (Band("tolerance", wanted.frequency_hz, low, high, Tone.HUE),)
    return Chart(
        id=identity,
        title=texts.title or "Gain",
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt=f"Gain against frequency. {_spans(everything, 'dB')}",
        level=_axis(everything, "dB, coupler less input", "dB"),
        series=everything,
        bands=bands,
        notes=texts.notes,
        height_px=height_px,
    )


def input_output_chart(
    identity: str,
    curves: Sequence[Trace],
    texts: Texts = _NO_TEXTS,
    *,
    knees: Sequence[tuple[float, float, str]] = (),
    height_px: float = 220.0,
) -> Chart:
    """Draw output over input.

    Parameters
    ----------
    identity : str
        Id of the chart.
    curves : sequence of Trace
        At least one; the frequencies of a trace are input levels. [dB SPL]
    texts : Texts
        Words around the chart.
    knees : sequence of (float, float, str)
        Input and output level [dB SPL] where a remark stands, and the remark.
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart
        The specification.
    """
    series = tuple(
        replace(trace.series(COUPLER_LEVEL), symbol=_SYMBOLS[n % len(_SYMBOLS)]) for n, trace in enumerate(curves)
    )
    inputs = np.concatenate([one.frequency_hz for one in series])
    return Chart(
        id=identity,
        title=texts.title or "Output over input",
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt="Output against input. "
        + " ".join(
            f"{one.label}: {one.level_db[0]:.0f} dB SPL at {one.frequency_hz[0]:.0f} dB SPL in, "
            f"{one.level_db[-1]:.0f} at {one.frequency_hz[-1]:.0f}."
            for one in series
        ),
        level=_axis(series, "dB SPL in the coupler", "dB SPL"),
        frequency=InputAxis(float(inputs.min()), float(inputs.max())),
        series=series,
        notes=(*(Note(words, at, level) for at, level, words in knees), *texts.notes),
        height_px=height_px,
    )


def _axis(series: Sequence[Series], label: str, unit: str) -> LevelAxis:
    """Axis around what may be believed; the rest runs off the scale, which the chart marks."""
    levels = [
        level for one in series for level, trust in zip(one.level_db, one.trust, strict=True) if trust.value != "none"
    ]
    levels = levels or [level for one in series for level in one.level_db]
    return LevelAxis.around([min(levels) - 1.0, max(levels) + 1.0], label, unit)


def _spans(series: Sequence[Series], unit: str) -> str:
    words = [
        f"{one.label}: {min(one.level_db):.0f} to {max(one.level_db):.0f} {unit} from "
        f"{hertz_text(one.frequency_hz[0])} to {hertz_text(one.frequency_hz[-1])}."
        for one in series
    ]
    return " ".join(words).replace("-", "−")
