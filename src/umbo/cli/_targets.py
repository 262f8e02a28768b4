"""``umbo targets``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from umbo.cli._printing import console, dump, print_findings, progress, table_of, write_chart
from umbo.core import Ear
from umbo.errors import InputError
from umbo.interchange import open_case
from umbo.prescription import METHODS
from umbo.record import (
    USABLE_STATES,
    EarTargets,
    FindingRecord,
    InputTargets,
    TargetsAnswer,
    WantedLevels,
    targets_answer,
)
from umbo.session import Plan, compare_prescriptions

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["targets"]

_BOTH = "both"

#: Finding that the list of methods says in full.
_RECALLED = "prescription_from_memory"

_UNUSABLE = "* no threshold is known there: no number that could be used"


def targets(
    case: Path,
    *,
    ear: str,
    inputs_db_spl: Sequence[float],
    methods: Sequence[str],
    as_json: bool,
    plot: Path | None,
) -> int:
    """Compare prescriptions; what a method refuses is a sentence, and the exit status is 0."""
    keys = _keys(methods)
    folder = open_case(case, needs_measurement=False)
    ears = _ears(ear, folder.plan)
    with progress(as_json) as tell:
        tell("comparing prescriptions")
        found = compare_prescriptions(folder.plan, folder, ears=ears, methods=keys, inputs_db_spl=inputs_db_spl)
    answer = targets_answer(found, keys)
    if plot is not None:
        from umbo.report import targets_figure  # noqa: PLC0415

        write_chart(plot, targets_figure(answer))
    if as_json:
        dump(answer)
    else:
        _print(answer)
    return 0


def _keys(methods: Sequence[str]) -> tuple[str, ...]:
    for key in methods:
        if key not in METHODS:
            raise InputError(
                f"compare the prescription '{key}'",
                f"the open prescriptions are {', '.join(METHODS)}",
                "name one of these",
            )
    return tuple(dict.fromkeys(methods)) or tuple(METHODS)


def _ears(word: str, plan: Plan) -> tuple[Ear, ...]:
    if word == _BOTH:
        return tuple(plan.ears)
    if word not in list(Ear):
        raise InputError(
            f"compare prescriptions for the ear '{word}'",
            f"an ear is {', '.join(Ear)} or {_BOTH}",
            "name one of these",
        )
    return (Ear(word),)


def _print(answer: TargetsAnswer) -> None:
    out = console()
    age = "age not known" if answer.age_months is None else f"{answer.age_months:.0f} months"
    out.print(f"Case {answer.case}, client {answer.client}, {age}", markup=False, style="bold")
    for side, ear in answer.ears.items():
        _print_ear(out, side, ear, answer)
    _print_methods(out, answer)
    print_findings(out, answer.findings)
    for caution in answer.cautions:
        out.print(f"Caution: {caution}", markup=False)


def _print_ear(out: Console, side: str, ear: EarTargets, answer: TargetsAnswer) -> None:
    out.print()
    if ear.why_not is not None:
        out.print(f"{side} ear: {ear.why_not}", markup=False)
    for one in ear.inputs:
        _print_input(out, side, one, answer)
    if ear.no_insertion_gain is not None:
        out.print(f"  no insertion gain: {ear.no_insertion_gain}", markup=False)
    for limit in ear.imported_limits:
        out.print(f"  imported limit of maximum output: {limit.method}", markup=False)
    if ear.imported_for_other_inputs:
        levels = ", ".join(f"{level:g}" for level in ear.imported_for_other_inputs)
        out.print(f"  Targets were imported for speech of {levels} dB too: ask with --input.", markup=False)
    print_findings(out, ear.findings)


def _print_input(out: Console, side: str, one: InputTargets, answer: TargetsAnswer) -> None:
    """Wanted levels, gains and differences as tables with one row a method, then what was refused."""
    rows = _rows(one, answer)
    hz = sorted({f for wanted in rows.values() for f in wanted.frequency_hz})
    middle = dict(zip(one.frequency_hz, one.median_db_spl, strict=True))
    title = f"{side} ear, speech at {one.input_db_spl:g} dB SPL"
    blocks: tuple[tuple[str, Callable[[WantedLevels], Sequence[float | None] | None], bool], ...] = (
        ("wanted level at the eardrum, dB SPL", lambda wanted: wanted.aided_db_spl, False),
        ("aided gain, dB", lambda wanted: wanted.aided_gain_db, False),
        ("insertion gain, dB", lambda wanted: wanted.insertion_gain_db, False),
        ("difference from the median, dB", lambda wanted: wanted.from_median_db, True),
    )
    for n, (what, column, signed) in enumerate(blocks):
        shown = [
            (name, *_cells(wanted, values, hz, signed=signed))
            for name, wanted in rows.items()
            if (values := column(wanted)) is not None
        ]
        if n == 0 and middle:
            shown.append(("median", *(f"{middle[f]:.1f}" if f in middle else "" for f in hz)))
        if shown:
            heads = ("", *(f"{f:g}" if f < 1000 else f"{f / 1000:g}k" for f in hz))
            out.print(table_of(f"{title}: {what}", heads, shown))
    if any(word not in USABLE_STATES for wanted in rows.values() for word in wanted.state):
        out.print(f"  {_UNUSABLE}", markup=False)
    for entry in one.methods:
        if entry.why_not is not None:
            out.print(f"  not computed: {entry.why_not}", markup=False)
    for imported in one.imported:
        said = ", ".join(part for part in (imported.name, imported.version, imported.options) if part)
        out.print(f"  imported: {said}", markup=False)
        if imported.why_not is not None:
            out.print(f"      without gain: {imported.why_not}", markup=False)
    _print_cautions(out, one, answer)


def _rows(one: InputTargets, answer: TargetsAnswer) -> dict[str, WantedLevels]:
    """What is wanted, by the name of the row."""
    open_ones = {
        answer.prescriptions[entry.method].name: entry.wanted for entry in one.methods if entry.wanted is not None
    }
    imported = {
        f"imported: {entry.name}" + (f" ({n})" if len(one.imported) > 1 else ""): entry.wanted
        for n, entry in enumerate(one.imported, 1)
    }
    return open_ones | imported


def _cells(
    wanted: WantedLevels, values: Sequence[float | None], frequency_hz: Sequence[float], *, signed: bool
) -> list[str]:
    """One cell a frequency; a point that may not be used carries a mark."""
    found = {
        hz: "" if value is None else _number(value, signed=signed)
        for hz, value in zip(wanted.frequency_hz, values, strict=True)
    }
    for hz, word in zip(wanted.frequency_hz, wanted.state, strict=True):
        if found[hz] and word not in USABLE_STATES:
            found[hz] = "*"
    return [found.get(hz, "") for hz in frequency_hz]


def _number(value: float, *, signed: bool) -> str:
    rounded = round(value, 1) + 0.0
    return f"{rounded:+.1f}" if signed and rounded else f"{rounded:.1f}"


def _print_cautions(out: Console, one: InputTargets, answer: TargetsAnswer) -> None:
    """What is said about the use of several methods, once; that constants are from memory stands with the methods."""
    first: dict[str, FindingRecord] = {}
    others: dict[str, list[str]] = {}
    for entry in one.methods:
        for finding in entry.findings:
            if finding.code == _RECALLED:
                continue
            if finding.code in first:
                others.setdefault(finding.code, []).append(answer.prescriptions[entry.method].name)
            first.setdefault(finding.code, finding)
    for code, finding in first.items():
        print_findings(out, [finding])
        if code in others:
            out.print(f"      the same holds for {', '.join(others[code])}", markup=False)


def _print_methods(out: Console, answer: TargetsAnswer) -> None:
    out.print()
    out.print("Methods", style="bold")
    for key, entry in answer.prescriptions.items():
        status = entry.status or "constants read in the sources of the tables"
        out.print(f"  {entry.name}, {entry.version} ({key}): {status}", markup=False)
        out.print(f"      {entry.options}; {entry.reference}", markup=False)
        out.print(f"      for {entry.suits}", markup=False)
        out.print(f"      not for {entry.not_for}", markup=False)
