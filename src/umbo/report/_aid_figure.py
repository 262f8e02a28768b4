"""Figures of an aid by itself: output, gain against its data sheet, output over input, two couplers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from umbo.chart import AidOutput, Chart, Figure, Symbol, Texts, Trace, gain_chart, input_output_chart, output_chart
from umbo.errors import InputError
from umbo.record import AidAnswer, AidRecord, CurveRecord, InputOutputRecord, SheetRecord, TwoCouplersRecord
from umbo.report._traces import curve_trace
from umbo.report._words import coupler_name, hertz

__all__ = ["aid_charts", "aid_figure"]

_PANELS_A_ROW = 2
_HEIGHT_PX = 200.0


def aid_figure(answer: AidAnswer) -> Chart | Figure:
    """Draw every aid of an answer: output, gain, output over input.

    Parameters
    ----------
    answer : AidAnswer
        What ``umbo aid`` found.

    Returns
    -------
    Chart or Figure
        The specification.

    Raises
    ------
    InputError
        If there is no curve.
    """
    rows: list[tuple[Chart, ...]] = []
    for side in answer.ears:
        rows += _rows(aid_charts(answer, side, _HEIGHT_PX))
    if not rows:
        raise InputError(
            f"draw the aids of the case '{answer.case}'", "it holds no curve", "record a sweep or level steps"
        )
    alt = " ".join(chart.alt for row in rows for chart in row)
    return Figure("aid", tuple(rows), title="Aids by themselves", alt=alt)


def _rows(charts: Sequence[Chart]) -> list[tuple[Chart, ...]]:
    return [tuple(charts[i : i + _PANELS_A_ROW]) for i in range(0, len(charts), _PANELS_A_ROW)]


def aid_charts(answer: AidAnswer, side: str, height_px: float) -> list[Chart]:
    """Charts of one aid: those of each coupler, then the two couplers side by side.

    Parameters
    ----------
    answer : AidAnswer
        The answer.
    side : str
        "right" or "left".
    height_px : float
        Height of each plot. [px]
    """
    present = [aid for ear, aids in answer.ears.items() if ear == side for aid in aids if aid.run == "now"]
    pairs = [pair for ear, found in answer.between_couplers.items() if ear == side for pair in found]
    out: list[Chart | None] = []
    for aid in present[:1] if pairs else present:
        name = f"{side.capitalize()} aid, {coupler_name(aid.coupler)}"
        out += [make(side, aid, name, height_px) for make in (_output, _gain, _steps, _speech)]
    out += [_couplers(side, n, pair, height_px) for n, pair in enumerate(pairs, 1)]
    return [chart for chart in out if chart is not None]


def _couplers(side: str, number: int, pair: TwoCouplersRecord, height_px: float) -> Chart | None:
    """The response in both couplers, each to its own end."""
    traces = (curve_trace(pair.large, "2 cc"), curve_trace(pair.small, "0.4 cc"))
    outputs = [AidOutput(trace, 60.0) for trace in traces if trace is not None]
    if not outputs:
        return None
    texts = Texts(title=f"{side.capitalize()} aid, two couplers: response", subtitle="reference test setting")
    chart = output_chart(f"aid-{side}-couplers-{number}", outputs, texts, height_px=height_px)
    symbols = (Symbol.DOT, Symbol.SQUARE)
    return replace(
        chart, series=tuple(replace(one, symbol=symbol) for one, symbol in zip(chart.series, symbols, strict=False))
    )


def _output(side: str, aid: AidRecord, name: str, height_px: float) -> Chart | None:
    curves = [
        (aid.curves.output_90, "OSPL90", _input(aid, "hfa_ospl90_db_spl", 90.0)),
        (aid.curves.response, "response", _input(aid, "reference_test_gain_db", 60.0)),
    ]
    outputs = _traces(curves)
    if not outputs:
        return None
    texts = Texts(title=f"{name}: output")
    return output_chart(f"aid-{side}-{aid.coupler}-output", outputs, texts, height_px=height_px)


def _input(aid: AidRecord, key: str, otherwise_db: float) -> float:
    """Input level of a measure, as its conditions say. [dB SPL]"""
    found = next((m.conditions.input_db_spl for m in aid.measures if m.key == key), None)
    return otherwise_db if found is None else found


def _traces(curves: Sequence[tuple[CurveRecord | None, str, float]]) -> list[AidOutput]:
    out = []
    for record, label, level in curves:
        trace = None if record is None else curve_trace(record, label)
        if trace is not None:
            out.append(AidOutput(trace, level))
    return out


def _gain(side: str, aid: AidRecord, name: str, height_px: float) -> Chart | None:
    curves = [
        (aid.curves.full_on_gain, "full-on", _input(aid, "hfa_full_on_gain_db", 50.0)),
        (aid.curves.response_gain, "reference", _input(aid, "reference_test_gain_db", 60.0)),
    ]
    gains = _traces(curves)
    if not gains:
        return None
    nominal, allowed = _nominal(aid.sheet)
    return gain_chart(
        f"aid-{side}-{aid.coupler}-gain",
        gains,
        Texts(title=f"{name}: gain"),
        nominal=nominal,
        allowed=allowed,
        height_px=height_px,
    )


def _nominal(sheet: SheetRecord | None) -> tuple[Trace | None, tuple[list[float], list[float]] | None]:
    """The response of the data sheet with what is allowed around it, where it was judged."""
    points = [] if sheet is None else [item for item in sheet.items if item.key == "gain_db"]
    known = [(point.frequency_hz, point) for point in points if point.frequency_hz is not None]
    if len(known) < 2:
        return None, None
    trace = Trace("nominal", [hz for hz, _ in known], [point.nominal for _, point in known])
    low = [point.nominal + (point.lowest_deviation or 0.0) for _, point in known]
    return trace, (low, [point.nominal + (point.highest_deviation or 0.0) for _, point in known])


def _steps(side: str, aid: AidRecord, name: str, height_px: float) -> Chart | None:
    if not aid.input_output:
        return None
    curves = [
        Trace(hertz(one.frequency_hz), one.input_db_spl, one.output_db_spl, one.u_db, one.state)
        for one in aid.input_output
    ]
    texts = Texts(title=f"{name}: output over input")
    return input_output_chart(
        f"aid-{side}-{aid.coupler}-steps",
        curves,
        texts,
        knees=[remark for one in aid.input_output for remark in _remarks(one, aid)],
        height_px=height_px,
    )


def _speech(side: str, aid: AidRecord, name: str, height_px: float) -> Chart | None:
    """Gain of speech at each level."""
    curves = [(test.gain, f"{test.level_db_spl:g} dB", test.level_db_spl) for test in aid.speech]
    gains = _traces(curves)
    if not gains:
        return None
    texts = Texts(title=f"{name}: gain of speech")
    chart = gain_chart(f"aid-{side}-{aid.coupler}-speech", gains, texts, height_px=height_px)
    return replace(chart, series=tuple(replace(one, symbol=None) for one in chart.series))


def _remarks(curve: InputOutputRecord, aid: AidRecord) -> list[tuple[float, float, str]]:
    """Where the compressing line stands, with its ratio."""
    ratio = next(
        (m for m in aid.measures if m.key == "compression_ratio" and m.frequency_hz == curve.frequency_hz), None
    )
    if ratio is None:
        return []
    middle = len(curve.input_db_spl) // 2
    words = f"{hertz(curve.frequency_hz)}: compression ratio {ratio.value:.2f} (u {ratio.u:.2g})"
    return [(curve.input_db_spl[middle], curve.output_db_spl[middle], words)]
