"""The page of an aid by itself: what is printed, as plain data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from umbo.record import (
    AidAnswer,
    AidMeasure,
    AidRecord,
    AttackReleaseRecord,
    FindingRecord,
    SheetItemRecord,
    SheetRecord,
)
from umbo.report._density import shortened
from umbo.report._words import OUTCOMES, coupler_name, coupler_short, hertz, number, signed, spaced

__all__ = ["aid_case", "aid_page"]

#: Word of the mark of an aid.
_MARKS = {"pass": "Passes", "cannot_tell": "Cannot be told", "fail": "Fails"}
_FACT_LETTERS = 40
_WEIGHTS = {"stop": "Stop", "warn": "Warning"}
#: Octaves at which compression of speech is told. [Hz]
_SPEECH_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0)

#: Numbers of the second table: not on a sheet, or without a tolerance.
_OTHERS = ("reference_test_gain_db", "response_low_hz", "response_high_hz", "compression_ratio", "knee_db_spl")


def aid_page(answer: AidAnswer, side: str, aids: list[AidRecord]) -> dict[str, Any]:
    """Make everything on the page of one aid but its figure.

    Parameters
    ----------
    answer : AidAnswer
        The answer.
    side : str
        "right" or "left".
    aids : list of AidRecord
        That aid in each coupler; the first carries the page.

    Returns
    -------
    dict
        Plain data for the template.
    """
    outcomes = [aid.outcome for aid in aids]
    outcome = next((word for word in ("fail", "cannot_tell") if word in outcomes), "pass")
    changes = [change for ear, every in answer.changes.items() if ear == side for change in every]
    return {
        "title": f"{side.capitalize()} hearing aid by itself",
        "mark": {"kind": outcome, "word": _MARKS[outcome]},
        "sheets": [_sheet(aid, aid.sheet) for aid in aids if aid.sheet is not None and aid.sheet.items],
        "others": [
            *(_other(m, aid) for aid in aids for m in aid.measures if _is_other(m, aid)),
            *(_times(one) for aid in aids for one in aid.attack_release),
            *(row for aid in aids for row in _compression(aid)),
        ],
        "features": [row for aid in aids for row in _features(aid)],
        "remarks-title": "Remarks",
        "findings": _findings(finding for aid in aids for finding in aid.findings),
        "unmeasured": [
            f"{coupler_short(aid.coupler)}, {one.what}: {one.why}" for aid in aids for one in aid.unmeasured
        ],
        "changes": [change.sentence for change in changes if change.is_significant],
    }


def aid_case(answer: AidAnswer) -> dict[str, Any]:
    """Make what concerns the whole case: who and when, the box, comparisons, what it rests on.

    Parameters
    ----------
    answer : AidAnswer
        The answer.

    Returns
    -------
    dict
        Plain data for the template.
    """
    return {
        "facts": [{"name": name, "value": shortened(value, _FACT_LETTERS)} for name, value in _facts(answer)],
        "remarks-title": "Both aids and the box",
        "findings": _findings(answer.findings),
        "unmeasured": [f"{one.what}: {one.why}" for one in answer.unmeasured],
        "changes": [],
        "small": _small(answer),
        "cautions": answer.cautions,
    }


def _facts(answer: AidAnswer) -> tuple[tuple[str, str], ...]:
    names = [coupler_short(aid.coupler) for aids in answer.ears.values() for aid in aids]
    return (
        ("Client", answer.client),
        ("Measured", answer.measured or "date not stated"),
        ("Case", answer.case),
        ("Coupler", ", ".join(dict.fromkeys(names))),
        ("Software", answer.software),
    )


def _sheet(aid: AidRecord, sheet: SheetRecord) -> dict[str, Any]:
    points = [item for item in sheet.items if item.key == "gain_db"]
    rows = [_item(item) for item in sheet.items if item.key != "gain_db"]
    if points:
        rows.append(_response(points))
    return {
        "title": f"Against {sheet.sheet} ({sheet.standard or 'standard not stated'}), {coupler_name(aid.coupler)}",
        "rows": rows,
        "reasons": [reason.reason for reason in sheet.reasons],
        "actions": [reason.action for reason in sheet.reasons],
        "not_judged": sheet.not_judged,
        "source": "; ".join(dict.fromkeys(item.tolerance_source for item in sheet.items)),
    }


def _item(item: SheetItemRecord) -> dict[str, str]:
    at = "" if item.frequency_hz is None else f", {hertz(item.frequency_hz)}"
    decimals = 2 if item.unit == "mA" else 1
    return {
        "name": f"{_capital(item.label)}{at}",
        "nominal": f"{item.nominal:g}".replace("-", "−"),
        "measured": number(item.measured, decimals),
        "u": f"{item.u:.2g}",
        "unit": item.unit,
        "allowed": _allowed(item),
        "kind": item.outcome,
        "word": OUTCOMES[item.outcome],
    }


def _allowed(item: SheetItemRecord) -> str:
    low, high = (
        None if bound is None else number(item.nominal + bound, 2).rstrip("0").rstrip(".")
        for bound in (item.lowest_deviation, item.highest_deviation)
    )
    if low is None:
        return f"up to {high}"
    return f"from {low}" if high is None else f"{low} to {high}"


def _response(points: list[SheetItemRecord]) -> dict[str, str]:
    """The response in one row: its worst point."""
    order = ("pass", "cannot_tell", "fail")
    worst = max(points, key=lambda item: (order.index(item.outcome), abs(item.deviation)))
    row = _item(worst)
    return row | {"name": f"Response, worst of {len(points)} points, {hertz(worst.frequency_hz or 0.0)}"}


def _is_other(measure: AidMeasure, aid: AidRecord) -> bool:
    judged = set() if aid.sheet is None else {item.key for item in aid.sheet.items}
    apart = ("battery_current_ma", "attack_ms", "release_ms")
    return measure.key in _OTHERS or (measure.key not in judged and measure.key not in apart)


def _other(measure: AidMeasure, aid: AidRecord) -> dict[str, str]:
    at = "" if measure.frequency_hz is None or measure.unit == "Hz" else f" at {hertz(measure.frequency_hz)}"
    decimals = 2 if measure.unit == "1" else 1
    value = hertz(measure.value) if measure.unit == "Hz" else number(measure.value, decimals)
    unit = "" if measure.unit in ("1", "Hz") else f" {measure.unit}"
    spread = "or beyond" if measure.is_bound else f"u {measure.u:.2g}"
    where = f"{coupler_short(aid.coupler)}, {spaced(measure.conditions.settings)}"
    return {"name": f"{measure.label}{at}", "value": f"{value}{unit} ({spread}; {where})"}


def _features(aid: AidRecord) -> list[dict[str, str]]:
    rows = [
        {
            "name": _capital(spaced(one.check)),
            "sentence": one.sentence,
            "action": one.action,
            "kind": one.outcome,
            "word": OUTCOMES[one.outcome],
        }
        for one in aid.checks
    ]
    rows += [
        {
            "name": _capital(spaced(one.route)),
            "sentence": one.sentence,
            "action": one.action,
            "kind": one.outcome,
            "word": OUTCOMES[one.outcome],
        }
        for one in aid.routes
    ]
    return rows


def _times(one: AttackReleaseRecord) -> dict[str, str]:
    """Attack and release at one frequency."""
    value = f"{number(one.attack_ms)} / {number(one.release_ms)} ms"
    return {"name": f"attack / release at {hertz(one.frequency_hz)}", "value": value}


def _compression(aid: AidRecord) -> list[dict[str, str]]:
    """Compression between the softest and the loudest speech, at the octaves."""
    ratio = aid.level_compression
    if ratio is None:
        return []
    hz = ratio.frequency_hz
    places = [(f, min(range(len(hz)), key=lambda i: abs(hz[i] / f - 1))) for f in _SPEECH_HZ]
    words = ", ".join(f"{number(ratio.ratio[i], 2)} at {hertz(f)}" for f, i in places)
    softest, loudest = aid.speech[0].level_db_spl, aid.speech[-1].level_db_spl
    return [{"name": f"compression of speech from {softest:g} to {loudest:g} dB SPL", "value": words}]


def _findings(findings: Iterable[FindingRecord]) -> list[dict[str, str]]:
    """Stops and warnings, each once."""
    weighty = {finding.text: finding for finding in findings if finding.severity in _WEIGHTS}
    return [
        {"weight": _WEIGHTS[finding.severity], "text": finding.text, "action": finding.action}
        for finding in sorted(weighty.values(), key=lambda finding: finding.severity != "stop")
    ]


def _small(answer: AidAnswer) -> list[dict[str, str]]:
    level = "taken as exact" if answer.box_u_db is None else f"u {answer.box_u_db:g} dB"
    drift = "; ".join(
        f"check source {coupler_short(one.coupler)} {signed(one.change_db)} dB (u {one.u_db:.2g})"
        for one in answer.check_source
    )
    return [
        {"name": "Calibration", "text": "; ".join(answer.calibrations)},
        {"name": "Box", "text": f"{answer.box}, level {level}{f'; {drift}' if drift else ''}"},
        {"name": "Tables", "text": ", ".join(entry.partition(":")[0] for entry in answer.tables)},
    ]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
