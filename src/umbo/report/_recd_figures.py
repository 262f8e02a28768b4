"""Figures of RECDs: one chart an ear, or the couplers side by side where they share one ear curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from umbo.chart import Chart, CouplerRun, Figure, Texts, coupler_comparison, recd_chart
from umbo.errors import InputError
from umbo.record import GradedRecd, RecdAnswer
from umbo.report._traces import coupler_trace, ear_trace, known_trace, recd_trace
from umbo.report._words import coupler_name, recd_origin

__all__ = ["coupler_comparison_figure", "recd_figure", "recd_label"]

_PANELS_A_ROW = 2


def recd_figure(answer: RecdAnswer) -> Chart | Figure:
    """Draw the RECDs of a case.

    Where an ear was measured with several couplers, its ear curve is drawn against each of them.

    Parameters
    ----------
    answer : RecdAnswer
        What ``umbo recd`` found.

    Returns
    -------
    Chart or Figure
        The specification.

    Raises
    ------
    InputError
        If no ear has an RECD.
    """
    rows: list[tuple[Chart, ...]] = []
    for side, recds in answer.ears.items():
        for n, group in enumerate(_sharing_ear_curve(recds), 1):
            figure = _group_figure(f"recd-{side}-{n}", side, group)
            rows += figure.rows if isinstance(figure, Figure) else [(figure,)]
    if not rows:
        raise InputError(
            f"draw the RECDs of the case '{answer.case}'",
            "no coupler and probe-tip reading belong together",
            "record the same source in the ear and in a coupler",
        )
    if len(rows) == 1 and len(rows[0]) == 1:
        return rows[0][0]
    alt = " ".join(chart.alt for row in rows for chart in row)
    return Figure("recd", tuple(rows), title="Real-ear-to-coupler differences", alt=alt)


def coupler_comparison_figure(recds: Sequence[GradedRecd], *, identity: str = "couplers", title: str = "") -> Figure:
    """Draw one ear curve against each coupler it was compared with, and the RECDs below.

    Parameters
    ----------
    recds : sequence of GradedRecd
        RECDs of one ear that share its ear curve, at least one.
    identity : str
        Id of the figure.
    title : str
        Empty for the figure's own title.

    Returns
    -------
    Figure
        The specification.

    Raises
    ------
    InputError
        If there is no RECD, or they do not share one ear curve.
    """
    if not recds or len(_sharing_ear_curve(recds)) != 1:
        raise InputError(
            "compare couplers",
            f"{len(recds)} RECDs with {len(_sharing_ear_curve(recds))} different ear curves were given",
            "give RECDs of one ear, source and coupling that share the curve measured in the ear",
        )
    first = recds[0]
    ear = ear_trace(first, "in the ear")
    runs = [run for run in (_run(recd) for recd in recds) if run is not None]
    if ear is None or not runs:
        raise InputError("compare couplers", "no point lies between 125 Hz and 16 kHz", "measure in that range")
    noise = known_trace(first.frequency_hz, first.ear_noise_db, "noise in the ear")
    subtitle = f"{recd_origin(first)}; {_insertions(first)}"
    figure = coupler_comparison(identity, ear, runs, Texts(title=title, subtitle=subtitle), ear_noise=noise)
    panels, below = figure.rows[0], figure.rows[1:]
    split = tuple(panels[i : i + _PANELS_A_ROW] for i in range(0, len(panels), _PANELS_A_ROW))
    return Figure(identity, (*split, *below), title=figure.title, alt=figure.alt, subtitle=figure.subtitle)


def recd_label(recd: GradedRecd, among: Sequence[GradedRecd]) -> str:
    """Name an RECD by its coupler, and by its source and coupling where the others differ in them."""
    name = coupler_name(recd.coupler)
    varied = {(other.source, other.coupling) for other in among}
    return name if len(varied) == 1 else f"{name}, {recd_origin(recd)}"


def _group_figure(identity: str, side: str, group: Sequence[GradedRecd]) -> Chart | Figure:
    if len(group) > 1:
        figure = coupler_comparison_figure(group, identity=identity)
        named = tuple(tuple(_prefixed(chart, f"{side} ear") for chart in row) for row in figure.rows)
        return Figure(identity, named, title=figure.title, alt=figure.alt)
    recd = group[0]
    traces = [trace for trace in (recd_trace(recd, recd_label(recd, group)),) if trace is not None]
    if not traces:
        raise InputError(f"draw an RECD of the {side} ear", "no point lies on the axis", "measure in 125 Hz to 16 kHz")
    texts = Texts(
        title=f"RECD of the {side} ear, {coupler_name(recd.coupler)}",
        subtitle=f"{recd_origin(recd)}; {_insertions(recd)}; grade {recd.grade}",
    )
    return recd_chart(identity, traces, texts)


def _prefixed(chart: Chart, words: str) -> Chart:
    return replace(chart, title=f"{words}: {chart.title}", alt=f"{words.capitalize()}. {chart.alt}")


def _run(recd: GradedRecd) -> CouplerRun | None:
    name = coupler_name(recd.coupler)
    level, difference = coupler_trace(recd, name), recd_trace(recd, name)
    if level is None or difference is None:
        return None
    return CouplerRun(name, level, difference, known_trace(recd.frequency_hz, recd.coupler_noise_db, "noise"))


def _sharing_ear_curve(recds: Sequence[GradedRecd]) -> list[list[GradedRecd]]:
    """Group RECDs whose ear half is the same measurement, in the order given."""
    groups: dict[tuple[object, ...], list[GradedRecd]] = {}
    for recd in recds:
        key = (recd.source, recd.coupling, tuple(recd.frequency_hz), tuple(recd.ear_curve_db))
        groups.setdefault(key, []).append(recd)
    return list(groups.values())


def _insertions(recd: GradedRecd) -> str:
    return "1 insertion" if recd.insertions == 1 else f"{recd.insertions} insertions"
