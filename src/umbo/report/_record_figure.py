"""The charts of the record page: what reaches the eardrum of each ear, and the RECDs it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from umbo.chart import Chart, Figure, LevelAxis, Limit, Series, Texts, recd_chart
from umbo.record import USABLE_STATES, EarVerification, GradedRecd, VerifyAnswer
from umbo.report._eardrum_figure import eardrum_chart
from umbo.report._traces import recd_trace
from umbo.report._words import coupler_short, hertz, recd_origin, spaced

__all__ = ["eardrum_column", "recds_chart", "record_figure"]

#: Curves an ear in one chart, so that they can be told apart; the table lists the others.
_MOST_CURVES = 3


def record_figure(answer: VerifyAnswer, plots_px: float) -> Figure | None:
    """Draw the levels at the eardrum of all ears in one row; beside those of a single ear, its RECDs.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    plots_px : float
        Height of the plots; what stands around them comes on top. [px]

    Returns
    -------
    Figure or None
        The specification; None if the record holds no curve that can be drawn.
    """
    drums = [eardrum_column(side, ear, plots_px) for side, ear in answer.ears.items()]
    row = [chart for chart in drums if chart is not None]
    if len(answer.ears) == 1 or not row:
        row += [chart for side, ear in answer.ears.items() if (chart := _recd(side, ear.recds, plots_px)) is not None]
    if not row:
        return None
    alt = " ".join(chart.alt for chart in row)
    return Figure("record", (tuple(row),), title="Levels at the eardrum", alt=alt)


def recds_chart(answer: VerifyAnswer, height_px: float) -> Chart | None:
    """Draw the RECDs of two ears in one chart, where `record_figure` has not drawn them.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart or None
        The specification; None if there is nothing to draw, or it is drawn already.
    """
    drums = [eardrum_chart(side, ear) for side, ear in answer.ears.items()]
    if len(answer.ears) == 1 or not any(drums):
        return None
    pairs = [
        (f"{side} {_short(recd, ear.recds)}", recd)
        for side, ear in answer.ears.items()
        for recd in ear.recds[:_MOST_CURVES]
    ]
    traces = [trace for trace in (recd_trace(recd, label) for label, recd in pairs) if trace is not None]
    if not traces:
        return None
    chart = recd_chart("recds", traces, Texts(title="RECD, both ears"), height_px=height_px)
    return replace(chart, level=_trusted_axis(chart.series), limits=())


def eardrum_column(side: str, ear: EarVerification, height_px: float) -> Chart | None:
    """Draw the levels at one eardrum for a narrow column: short names, no percentiles.

    Parameters
    ----------
    side : {"right", "left"}
        Which ear.
    ear : EarVerification
        Its record.
    height_px : float
        Height of the plot. [px]

    Returns
    -------
    Chart or None
        The specification; None if nothing is known at the eardrum.
    """
    chart = eardrum_chart(side, ear, height_px=height_px)
    if chart is None:
        return None
    series = tuple(_named(one) for one in chart.series)
    return replace(
        chart,
        title=f"{side.capitalize()} ear: levels at the eardrum",
        subtitle="",
        level=replace(chart.level, label="dB SPL"),
        series=series,
        marks=tuple(replace(one, show_label=False) for one in chart.marks),
        limits=tuple(replace(one, label=f"trusted to {hertz(one.frequency_hz)}") for one in chart.limits),
        bands=tuple(band for band in chart.bands if band.input_level_db is None),
    )


def _named(series: Series) -> Series:
    """Keep the name of what is measured beside the plot; targets and noise are told by their line style."""
    measured = series.quantity.name in ("level at the eardrum", "maximum output")
    return replace(series, show_label=measured, label=series.label.removesuffix(" output"))


def _recd(side: str, recds: Sequence[GradedRecd], height_px: float) -> Chart | None:
    shown = recds[: 2 * _MOST_CURVES]
    traces = [trace for trace in (recd_trace(recd, _short(recd, shown)) for recd in shown) if trace is not None]
    if not traces:
        return None
    chart = recd_chart(f"recd-{side}", traces, Texts(title=f"RECD, {side} ear"), height_px=height_px)
    return replace(
        chart,
        level=_trusted_axis(chart.series),
        limits=tuple(_short_limits(chart.limits, shown)),
    )


def _short(recd: GradedRecd, among: Sequence[GradedRecd]) -> str:
    name = coupler_short(recd.coupler)
    return name if len({(r.source, r.coupling) for r in among}) == 1 else f"{name}, {recd_origin(recd)}"


def _short_limits(limits: Sequence[Limit], recds: Sequence[GradedRecd]) -> list[Limit]:
    """Name limits by the short names of their couplers, where they differ."""
    kept = {limit.frequency_hz: limit for limit in limits}
    found = []
    for limit in kept.values():
        mine = [r for r in recds if r.trusted_max_hz == limit.frequency_hz]
        rule = spaced(mine[0].trusted_limit) if mine else ""
        names = "" if len(kept) == 1 else " and ".join(dict.fromkeys(coupler_short(r.coupler) for r in mine)) + " "
        label = f"{names}to {hertz(limit.frequency_hz)} ({rule})" if mine else limit.label
        found.append(replace(limit, label=label if names else f"trusted {label}"))
    return found


def _trusted_axis(series: Sequence[Series]) -> LevelAxis:
    """Give what is trusted the room; the rest runs off the scale, which the chart marks."""
    edges = [0.0]
    for one in series:
        limit = np.inf if one.trusted_max_hz is None else one.trusted_max_hz
        spread = one.u_db or (0.0,) * len(one.level_db)
        for hz, db, u, state in zip(one.frequency_hz, one.level_db, spread, one.state, strict=True):
            if hz <= limit and state in USABLE_STATES:
                edges += [db - 2.0 * u, db + 2.0 * u]
    if len(edges) == 1:
        edges += [db for one in series for db in one.level_db]
    return LevelAxis.around(edges, "dB, ear less coupler", "dB", 10.0)
