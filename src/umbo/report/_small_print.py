"""The small print of the record page: what everything rests on."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from umbo.record import EarVerification, ThresholdRecord, VerifyAnswer
from umbo.report._density import Density, first_few, shortened
from umbo.report._words import coupler_name, spaced

__all__ = ["small_print"]

_SOURCE_LETTERS = 120
_TABLE_NOTE = "deviation where it decided; heard = bands known to have average speech above threshold (informs only)"


def small_print(answer: VerifyAnswer, density: Density) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """List what the record rests on: how thresholds were carried, targets, limits, stimuli, calibrations, tables.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    density : Density
        How many lines of each.

    Returns
    -------
    tuple of two lists of dict
        ``name`` and ``lines`` of every entry that has any, in two columns of about the same length.
    """
    entries: tuple[tuple[str, Iterable[str]], ...] = (
        ("Hearing", _by_ear(answer, _hearing)),
        ("Targets", _by_ear(answer, lambda ear: [str(target.method) for target in ear.targets])),
        ("Limit of output", _by_ear(answer, _limit)),
        ("Sounds", _by_ear(answer, _sounds)),
        ("Head and aid microphone", _by_ear(answer, _head)),
        ("Middle ear, as declared", _by_ear(answer, lambda ear: [spaced(ear.middle_ear)])),
        ("Criteria", _criteria(answer)),
        ("Audibility", _by_ear(answer, _audibility)),
        ("Calibration", answer.calibrations),
        ("Reference tables", [", ".join(table.partition(":")[0] for table in answer.tables)]),
    )
    found = [
        {"name": name, "lines": first_few((line for line in lines if line), density.notes, density.note_letters)}
        for name, lines in entries
    ]
    return _two_columns([entry for entry in found if entry["lines"]])


def _two_columns(entries: list[dict[str, Any]]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Split where the two halves differ least in letters."""
    sizes = [len(entry["name"]) + sum(len(line) + 2 for line in entry["lines"]) for entry in entries]
    best = min(range(len(entries) + 1), key=lambda n: abs(sum(sizes[:n]) - sum(sizes[n:])))
    return entries[:best], entries[best:]


def _by_ear(answer: VerifyAnswer, say: Callable[[EarVerification], Iterable[str]]) -> list[str]:
    """Say something of every ear, once where both are alike."""
    sides: dict[str, list[str]] = {}
    for side, ear in answer.ears.items():
        for line in dict.fromkeys(say(ear)):
            sides.setdefault(line, []).append(side)
    alone = len(answer.ears) == 1
    return [
        line if alone else f"{'both ears' if len(found) == len(answer.ears) else f'{found[0]} ear'}: {line}"
        for line, found in sides.items()
    ]


def _hearing(ear: EarVerification) -> list[str]:
    named = (("thresholds", ear.thresholds), ("discomfort levels", ear.discomfort))
    routes: dict[str, list[str]] = {}
    for name, hearing in named:
        if hearing is not None:
            routes.setdefault(_route(hearing), []).append(name)
    return [f"{' and '.join(names)} {route}" for route, names in routes.items()]


def _route(hearing: ThresholdRecord) -> str:
    entered = next((line.source for line in hearing.explain if line.source.startswith("entered")), "entered")
    dial = spaced(hearing.entered.plane.partition(":")[2] or hearing.entered.plane)
    route = hearing.route if hearing.why_not is None else f"not carried to the eardrum ({hearing.why_not})"
    return f"{entered}, {dial}; {route}"


def _limit(ear: EarVerification) -> list[str]:
    """Name the limit of the output; the route of discomfort levels is said already."""
    source = None if ear.maximum_output is None else ear.maximum_output.limit_source
    if source is None:
        return []
    said = "" if ear.discomfort is None else f", {ear.discomfort.route}"
    return [source.removesuffix(said)]


def _sounds(ear: EarVerification) -> list[str]:
    places = " and ".join(dict.fromkeys(_place(run.coupler) for run in ear.speech))
    levels = ", ".join(f"{run.input_db_spl:g}" for run in ear.speech)
    lines = [f"speech at {levels} dB SPL {places}"] if levels else []
    if ear.maximum_output is not None:
        run = ear.maximum_output
        lines.append(f"maximum output with {run.input_db_spl:g} dB SPL {_place(run.coupler)}")
    return lines


def _place(coupler: str | None) -> str:
    return "in the ear" if coupler is None else f"in the {coupler_name(coupler)}"


def _head(ear: EarVerification) -> list[str]:
    """Say where the microphone-location effect comes from, as the sums of the speech runs state it."""
    found = [
        [line.source for line in run.explain if line.label.startswith("microphone-location effect")]
        for run in ear.speech
    ]
    return [f"effect from: {shortened(sources[-1], _SOURCE_LETTERS)}" for sources in found if sources]


def _audibility(ear: EarVerification) -> list[str]:
    """Name the index and say what it is not."""
    found = (run.audibility.index for run in ear.speech if run.audibility is not None)
    return [
        f"no percentage of words; audible to = where peaks of speech meet the threshold; index of {index.method}, 95 % "
        f"of {index.draws} draws"
        for index in found
        if index is not None
    ]


def _criteria(answer: VerifyAnswer) -> list[str]:
    judged = [j for ear in answer.ears.values() for j in ear.verdict.judgements]
    sources = dict.fromkeys(j.source for j in judged if j.criterion.partition("_")[0] in ("match", "rms", "slope"))
    return [*_guidances(answer), _TABLE_NOTE, *sources] if judged else []


def _guidances(answer: VerifyAnswer) -> list[str]:
    """Name the guidances speech was judged by."""
    return _by_ear(answer, lambda ear: [] if ear.guidance is None else [f"'{ear.guidance.key}', {ear.guidance.title}"])
