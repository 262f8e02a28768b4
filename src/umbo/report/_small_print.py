"""The small print of the record page: what everything rests on, and the cautions."""

from __future__ import annotations

from typing import Any

from umbo.record import EarVerification, SpeechRun, VerifyAnswer
from umbo.report._density import Density, first_few, shortened
from umbo.report._words import spaced

__all__ = ["small_print"]


def small_print(answer: VerifyAnswer, density: Density) -> list[dict[str, Any]]:
    """List what the record rests on: how thresholds were carried, targets, limits, calibrations, tables.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    density : Density
        How many lines of each.

    Returns
    -------
    list of dict
        ``name`` and ``lines`` of every entry that has any.
    """
    entries = (
        ("Hearing", _hearing(answer)),
        ("Targets", [str(t.method) for ear in answer.ears.values() for t in ear.targets]),
        ("Limit of output", [run.limit_source for ear in answer.ears.values() if (run := ear.maximum_output) and run.limit_source]),
        ("Stimuli", _stimuli(answer)),
        ("Head and microphone", [line for ear in answer.ears.values() for line in _head(ear)]),
        ("Middle ear as declared", [f"{side} ear {spaced(ear.middle_ear)}" for side, ear in answer.ears.items()]),
        ("Criteria after", [j.source for ear in answer.ears.values() for j in ear.verdict.judgements if _is_cited(j.criterion)]),
        ("Calibration", answer.calibrations),
        ("Reference tables", [", ".join(table.partition(":")[0] for table in answer.tables)]),
    )
    found = [
        {"name": name, "lines": first_few(dict.fromkeys(filter(None, lines)), density.notes, density.letters, "lines")}
        for name, lines in entries
    ]
    return [entry for entry in found if entry["lines"]]


def _hearing(answer: VerifyAnswer) -> list[str]:
    lines = []
    for side, ear in answer.ears.items():
        for name, hearing in (("thresholds", ear.thresholds), ("discomfort levels", ear.discomfort)):
            if hearing is not None:
                how = hearing.route if hearing.why_not is None else f"not at the eardrum: {hearing.why_not}"
                entered = _entered(hearing.explain[-1].source if False else "", hearing.entered.plane, hearing.entered.unit)
                lines.append(f"{side} ear {name}, {entered}: {how}")
    return lines


def _entered(_source: str, plane: str, unit: str) -> str:
    return f"{unit}, {spaced(plane.partition(':')[2] or plane)}"


def _stimuli(answer: VerifyAnswer) -> list[str]:
    lines = []
    for side, ear in answer.ears.items():
        levels = ", ".join(f"{run.input_db_spl:g}" for run in ear.speech)
        if levels:
            lines.append(f"{side} ear speech at {levels} dB SPL")
        if ear.maximum_output is not None:
            lines.append(f"{side} ear maximum output with {ear.maximum_output.input_db_spl:g} dB SPL")
    return lines


def _head(ear: EarVerification) -> list[str]:
    """Say where the microphone-location effect comes from, as the sums of the speech runs state it."""
    return list(dict.fromkeys(source for run in ear.speech if (source := _mle_source(run))))


def _mle_source(run: SpeechRun) -> str:
    sources = [line.source for line in run.explain if line.label.startswith("microphone-location effect")]
    return shortened(sources[-1], 120) if sources else ""


def _is_cited(criterion: str) -> bool:
    return criterion.partition("_")[0] in ("match", "rms")
