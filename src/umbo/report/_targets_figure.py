"""The figure of compared prescriptions: for each ear and input, wanted levels and their differences."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby

from umbo.chart import (
    Chart,
    Figure,
    Prescribed,
    PrescribedKind,
    Texts,
    Trace,
    prescription_chart,
    prescription_differences,
)
from umbo.errors import InputError
from umbo.record import EarTargets, InputTargets, TargetsAnswer, WantedLevels
from umbo.report._traces import known_trace, on_axis, thresholds_of

__all__ = ["targets_figure"]


def targets_figure(answer: TargetsAnswer) -> Figure:
    """Draw prescriptions side by side.

    Parameters
    ----------
    answer : TargetsAnswer
        What ``umbo targets`` found.

    Returns
    -------
    Figure
        For each ear and each input one chart of wanted levels, and below it one of differences from their median.

    Raises
    ------
    InputError
        If no method prescribes anything and nothing was imported.
    """
    rows = [
        (chart,) for side, ear in answer.ears.items() for one in ear.inputs for chart in _charts(side, ear, one, answer)
    ]
    if not rows:
        raise InputError(
            f"draw the prescriptions of the case '{answer.case}'",
            "none prescribes anything here, and no target is imported for these inputs",
            "look at the sentences that say why",
        )
    alt = " ".join(chart.alt for row in rows for chart in row)
    return Figure("targets", tuple(rows), title="Prescriptions side by side", alt=alt, caption=_caption(answer))


def _charts(side: str, ear: EarTargets, one: InputTargets, answer: TargetsAnswer) -> list[Chart]:
    prescribed = _prescribed(one, answer)
    if not prescribed:
        return []
    name = f"targets-{side}-{one.input_db_spl:g}".replace(".", "-")
    title = f"{side.capitalize()} ear, speech at {one.input_db_spl:g} dB"
    wanted = prescription_chart(
        name,
        "right" if side == "right" else "left",
        prescribed,
        Texts(title=f"{title}: wanted level", subtitle=_subtitle(one, answer)),
        input_level_db=one.input_db_spl,
        median=known_trace(one.frequency_hz, one.median_db_spl, "median"),
        thresholds=thresholds_of(ear.thresholds),
        discomfort=thresholds_of(ear.discomfort),
    )
    texts = Texts(title=f"{title}: difference from the median of the open prescriptions")
    below = prescription_differences(f"{name}-differences", prescribed, texts, input_level_db=one.input_db_spl)
    return [wanted] if below is None else [wanted, below]


def _subtitle(one: InputTargets, answer: TargetsAnswer) -> str:
    """Where imported targets come from, and which methods prescribe nothing."""
    said = [
        "imported: " + ", ".join(part for part in (entry.name, entry.version, entry.options) if part)
        for entry in one.imported
    ]
    missing = [answer.prescriptions[entry.method].name for entry in one.methods if entry.wanted is None]
    return "; ".join([*said, *([f"not computed: {', '.join(missing)}"] if missing else [])])


def _prescribed(one: InputTargets, answer: TargetsAnswer) -> list[Prescribed]:
    found = []
    for place, entry in enumerate(one.methods):
        prescription = answer.prescriptions[entry.method]
        if entry.wanted is not None:
            found.append(_drawn(entry.wanted, prescription.name, PrescribedKind(prescription.prescribes), place))
    for place, imported in enumerate(one.imported, len(one.methods)):
        found.append(_drawn(imported.wanted, imported.name, PrescribedKind.IMPORTED, place))
    return [entry for entry in found if entry is not None]


def _drawn(wanted: WantedLevels, label: str, kind: PrescribedKind, place: int) -> Prescribed | None:
    """One method as it stands; None if no point lies on the axis."""
    rows = on_axis(wanted.frequency_hz)
    if not rows:
        return None
    level = dict(zip(rows, (wanted.aided_db_spl[i] for i in rows), strict=True))
    off = {i: db for i in rows if (db := wanted.from_median_db[i]) is not None}
    return Prescribed(
        kind,
        place,
        _trace(wanted, level, rows, label),
        [_trace(wanted, off, stretch, label) for stretch in _stretches(rows, off)],
    )


def _stretches(rows: list[int], known: Mapping[int, float]) -> list[list[int]]:
    """Neighbouring rows that have a value: no line is drawn where there is none."""
    groups = groupby(rows, key=lambda i: i in known)
    return [list(group) for has_value, group in groups if has_value]


def _trace(wanted: WantedLevels, values: Mapping[int, float], rows: list[int], label: str) -> Trace:
    hz, db = [wanted.frequency_hz[i] for i in rows], [values[i] for i in rows]
    return Trace(label, hz, db, state=[wanted.state[i] for i in rows])


def _caption(answer: TargetsAnswer) -> str:
    recalled = [entry.name for entry in answer.prescriptions.values() if entry.status]
    said = f"Some or all constants from memory: {', '.join(recalled)}. " if recalled else ""
    return f"{said}The median is the middle of these methods, not the truth. Uncertainties are not drawn."
