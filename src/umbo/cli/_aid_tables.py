"""The answer of ``umbo aid`` for a person at a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.cli._printing import console, print_findings, table_of
from umbo.core import CouplerKind

if TYPE_CHECKING:
    from rich.console import Console

    from umbo.record import AidAnswer, AidMeasure, AidRecord, MeasureChange, SheetItemRecord, SheetRecord

__all__ = ["print_aid_answer"]

_WORDS = {"pass": "pass", "fail": "FAIL", "cannot_tell": "cannot tell"}

#: Third octaves at which speech gain is shown. [Hz]
_SPEECH_HZ = (250, 500, 1000, 2000, 4000)

_CLOSINGS = {
    "pass": "Everything that was judged passes.",
    "cannot_tell": "Nothing fails, and not everything can be told.",
    "fail": "Something fails.",
}


def print_aid_answer(answer: AidAnswer) -> None:
    """Print tables of every aid, what they say against one another, and the closing line."""
    out = console()
    out.print(f"Case {answer.case}, client {answer.client}: aids by themselves", markup=False, style="bold")
    for side, aids in answer.ears.items():
        for aid in aids:
            _print_aid(out, side, aid)
    _print_comparisons(out, answer)
    print_findings(out, answer.findings)
    out.print()
    out.print(_CLOSINGS[answer.outcome], style="bold", markup=False)
    out.print(f"Caution: {answer.cautions[0]}", markup=False)


def _print_aid(out: Console, side: str, aid: AidRecord) -> None:
    run = "" if aid.run == "now" else f", run '{aid.run}'"
    title = f"{side} aid, {CouplerKind(aid.coupler).display_name}{run}"
    out.print()
    if aid.sheet is not None and aid.sheet.items:
        _print_sheet(out, title, aid.sheet)
    shown = set() if aid.sheet is None else {(item.key, item.frequency_hz) for item in aid.sheet.items}
    shown |= {("attack_ms", None), ("release_ms", None)}  # they have a table of their own
    rest = [m for m in aid.measures if (m.key, m.frequency_hz if m.key == "thd_percent" else None) not in shown]
    if rest:
        heads = ("measure", "at", "value", "u", "unit", "settings")
        rows = [_measure_row(measure) for measure in rest]
        out.print(table_of("not on the sheet" if shown else title, heads, rows))
    _print_steps(out, aid)
    _print_checks(out, aid)
    _print_speech(out, aid)
    for one in aid.unmeasured:
        out.print(f"  not measured: {one.what}: {one.why}", markup=False)
    print_findings(out, aid.findings)
    out.print(f"  {title}: {_WORDS[aid.outcome]}", style="bold", markup=False)


def _print_sheet(out: Console, title: str, sheet: SheetRecord) -> None:
    heads = ("item", "nominal", "measured", "u", "unit", "allowed", "outcome")
    single = [item for item in sheet.items if item.key != "gain_db"]
    rows = [_item_row(item) for item in single]
    points = [item for item in sheet.items if item.key == "gain_db"]
    if points:
        worst = max(points, key=lambda item: (item.outcome == "fail", item.outcome != "pass", abs(item.deviation)))
        rows.append(_response_row(worst, len(points), [item.outcome for item in points]))
    out.print(table_of(f"{title}, against {sheet.sheet} ({sheet.standard})", heads, rows))
    for reason in sheet.reasons:
        out.print(f"  likely: {reason.reason}", markup=False)
        out.print(f"      → {reason.action}", markup=False)
    for why in sheet.not_judged:
        out.print(f"  not judged: {why}", markup=False)


def _item_row(item: SheetItemRecord) -> tuple[str, ...]:
    at = "" if item.frequency_hz is None else f" at {item.frequency_hz:g} Hz"
    return (
        f"{item.label}{at}",
        f"{item.nominal:g}",
        f"{item.measured:.1f}" if item.unit != "mA" else f"{item.measured:.2f}",
        f"{item.u:.2g}",
        item.unit,
        _allowed(item),
        _WORDS[item.outcome],
    )


def _allowed(item: SheetItemRecord) -> str:
    low, high = (
        None if bound is None else f"{item.nominal + bound:.4g}"
        for bound in (item.lowest_deviation, item.highest_deviation)
    )
    if low is None:
        return f"up to {high}"
    return f"from {low}" if high is None else f"{low} to {high}"


def _response_row(worst: SheetItemRecord, count: int, outcomes: list[str]) -> tuple[str, ...]:
    """The response in one row: its worst point, and how many there are."""
    word = "fail" if "fail" in outcomes else "cannot_tell" if "cannot_tell" in outcomes else "pass"
    at = f"response, worst of {count} at {worst.frequency_hz:g} Hz"
    return (
        at, f"{worst.nominal:g}", f"{worst.measured:.1f}", f"{worst.u:.2g}", "dB", _allowed(worst), _WORDS[word],
    )  # fmt: skip


def _measure_row(measure: AidMeasure) -> tuple[str, ...]:
    at = "" if measure.frequency_hz is None else f"{measure.frequency_hz:.0f} Hz"
    value = f"{measure.value:.4g}" if measure.unit != "Hz" else f"{measure.value:.0f}"
    if measure.is_bound:
        value = f"or beyond {value}"
    return (
        measure.label,
        at,
        value,
        "" if measure.is_bound else f"{measure.u:.2g}",
        measure.unit.replace("1", ""),
        measure.conditions.settings,
    )


def _print_steps(out: Console, aid: AidRecord) -> None:
    if not aid.attack_release:
        return
    rows = [
        (
            f"{one.frequency_hz:g}",
            f"{one.attack_ms:.1f}",
            f"{one.attack_u_ms:.2g}",
            f"{one.release_ms:.1f}",
            f"{one.release_u_ms:.2g}",
            _fixed(one.overshoot_db, 1),
        )
        for one in aid.attack_release
    ]
    heads = ("Hz", "attack ms", "u ms", "release ms", "u ms", "overshoot dB")
    out.print(table_of("attack and release", heads, rows))


def _fixed(value: float, decimals: int) -> str:
    """A number without a negative zero."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}"


def _print_checks(out: Console, aid: AidRecord) -> None:
    rows = [
        (
            one.check.replace("_", " "),
            "" if one.value is None else _fixed(one.value, 2),
            "" if one.u is None else f"{one.u:.2g}",
            one.unit.replace("1", ""),
            " / ".join(one.settings),
            _WORDS[one.outcome],
        )
        for one in aid.checks
    ]
    rows += [
        (
            one.route.replace("_", " "),
            f"{one.offset_db:+.2f}",
            f"{one.offset_u_db:.2g}",
            "dB",
            " / ".join(one.settings),
            _WORDS[one.outcome],
        )
        for one in aid.routes
    ]
    if rows:
        out.print(table_of("features", ("check", "value", "u", "unit", "settings", "outcome"), rows))
    told = [(one.outcome, one.sentence, one.action) for one in aid.checks]
    told += [(one.outcome, one.sentence, one.action) for one in aid.routes]
    for outcome, sentence, action in told:
        if outcome != "pass":
            out.print(f"  {sentence}", markup=False)
            out.print(f"      → {action}", markup=False)
    for hint in aid.hints:
        out.print(f"  hint: {hint.sentence}", markup=False)


def _print_speech(out: Console, aid: AidRecord) -> None:
    if not aid.speech:
        return
    rows = []
    for test in aid.speech:
        places = [_nearest(test.gain.frequency_hz, hz) for hz in _SPEECH_HZ]
        rows.append((f"{test.level_db_spl:g}", *(f"{test.gain.level_db[i]:.1f}" for i in places)))
    heads = ("speech, dB SPL", *(f"{hz} Hz" for hz in _SPEECH_HZ))
    out.print(table_of("gain of speech, dB", heads, rows))
    ratio = aid.level_compression
    if ratio is not None:
        places = [_nearest(ratio.frequency_hz, hz) for hz in _SPEECH_HZ]
        words = ", ".join(f"{ratio.ratio[i]:.2f} at {hz} Hz" for i, hz in zip(places, _SPEECH_HZ, strict=True))
        out.print(f"  compression between these levels: {words}", markup=False)


def _nearest(frequency_hz: list[float], wanted_hz: float) -> int:
    return min(range(len(frequency_hz)), key=lambda i: abs(frequency_hz[i] / wanted_hz - 1))


def _print_comparisons(out: Console, answer: AidAnswer) -> None:
    out.print()
    for side, changes in answer.changes.items():
        before = answer.since or "the earlier run"
        heads = ("item", "coupler", "earlier", "now", "change", "u", "unit", "")
        out.print(table_of(f"{side} aid against {before}", heads, _changes(changes)))
    for one in answer.check_source:
        name = CouplerKind(one.coupler).display_name
        out.print(f"  check source, {name}: {one.change_db:+.2f} dB (u {one.u_db:.2g} dB) since earlier", markup=False)
    for missing in answer.unmeasured:
        out.print(f"  not compared: {missing.what}: {missing.why}", markup=False)


def _changes(changes: list[MeasureChange]) -> list[tuple[str, ...]]:
    words = {True: "changed", False: "within 2 u"}
    by_frequency = ("thd_percent", "attack_ms", "release_ms", "compression_ratio", "knee_db_spl", "expansion_slope")
    return [
        (
            one.label + (f" at {one.frequency_hz:g} Hz" if one.key in by_frequency else ""),
            one.coupler,
            f"{one.earlier:.4g}",
            f"{one.now:.4g}",
            f"{_fixed(one.change, 2)}",
            f"{one.u:.2g}",
            one.unit.replace("1", ""),
            one.doubt or words[one.is_significant],
        )
        for one in changes
    ]
