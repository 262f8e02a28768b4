"""The RECD chart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.chart._axis import LevelAxis
from umbo.chart._figure import Chart
from umbo.chart._language import Symbol
from umbo.chart._quantities import RECD, TYPICAL
from umbo.chart._texts import Texts
from umbo.chart._trace import Trace, hertz_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.chart._layers import Limit, Series

__all__ = ["recd_chart", "trusted_limits"]

_NO_TEXTS = Texts()
_SYMBOLS = (Symbol.DOT, Symbol.SQUARE, Symbol.DIAMOND, Symbol.TRIANGLE, Symbol.TRIANGLE_DOWN, Symbol.RING)


def recd_chart(
    identity: str,
    recds: Sequence[Trace],
    texts: Texts = _NO_TEXTS,
    *,
    typical: Trace | None = None,
    height_px: float = 300.0,
) -> Chart:
    """Draw one or more RECDs with their uncertainty, states and trusted limits.

    Parameters
    ----------
    identity : str
        Id of the chart.
    recds : sequence of Trace
        The differences; several are told apart by a symbol along the line. [dB]
    texts : Texts
        Words around the chart.
    typical : Trace, optional
        An age average or other expected value, drawn long-dashed in grey. [dB]
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart
        The specification.
    """
    symbols = _SYMBOLS if len(recds) > 1 else (None,)
    series = tuple(trace.series(RECD, symbol=symbols[n % len(symbols)]) for n, trace in enumerate(recds))
    everything = (*series, typical.series(TYPICAL)) if typical is not None else series
    return Chart(
        id=identity,
        title=texts.title or "Real-ear-to-coupler difference",
        subtitle=texts.subtitle,
        caption=texts.caption,
        alt=_alt(series),
        level=_axis(everything),
        series=everything,
        limits=trusted_limits(recds),
        notes=texts.notes,
        height_px=height_px,
        reference_db=0.0,
    )


def trusted_limits(traces: Sequence[Trace]) -> tuple[Limit, ...]:
    """Collect the limits of several curves; above the highest, all is hatched if every curve has a limit."""
    known = [trace for trace in traces if trace.trusted_max_hz is not None]
    all_end = bool(traces) and len(known) == len(traces)
    found: dict[tuple[float, str], Limit] = {}
    for trace in known:
        shared = all(other.trusted_max_hz == trace.trusted_max_hz for other in traces)
        limit = trace.limit(hatched=all_end, named=not shared and len(traces) > 1)
        if limit is not None:
            found.setdefault((limit.frequency_hz, limit.label), limit)
    return tuple(found.values())


def _axis(series: Sequence[Series]) -> LevelAxis:
    """From the lowest to the highest value with its uncertainty where trusted, and always 0 dB. [dB]"""
    edges = [0.0]
    for one in series:
        spread = 2.0 * np.asarray(one.u_db) if one.u_db is not None else np.zeros(len(one.level_db))
        edges += [
            float(np.min(np.asarray(one.level_db) - spread)),
            float(np.max(np.asarray(one.level_db) + spread)),
        ]
    return LevelAxis.around(edges, "RECD in dB (ear less coupler)", "dB", step_db=5.0)


def _alt(series: Sequence[Series]) -> str:
    sentences = []
    for one in series:
        low, high = min(one.level_db), max(one.level_db)
        span = f"{hertz_text(one.frequency_hz[0])} to {hertz_text(one.frequency_hz[-1])}"
        limit = "" if one.trusted_max_hz is None else f", trusted to {hertz_text(one.trusted_max_hz)}"
        sentences.append(f"{one.label}: {low:.1f} to {high:.1f} dB from {span}{limit}.".replace("-", "−"))
    return "Real-ear-to-coupler difference against frequency. " + " ".join(sentences)
