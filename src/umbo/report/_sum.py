"""How one number of the record was made: the sum, term by term."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from umbo.record import ExplainLine, VerifyAnswer
from umbo.report._density import shortened
from umbo.report._words import hertz, number, signed

__all__ = ["printed_sum"]

_PLANES = re.compile(r" \([a-z_]+(:\w+)? to [a-z_]+(:\w+)?\)$")
_PLAIN_SOURCES = ("sum", "difference")
_SPEECH_AT_DB = 65.0
_SOURCE_LETTERS = 90


def printed_sum(answer: VerifyAnswer, depth: int) -> dict[str, Any] | None:
    """Make the printed sum of the first ear that has one: speech nearest 65 dB, else maximum output, else threshold.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    depth : int
        Terms deeper than this are left out; -1 leaves out all.

    Returns
    -------
    dict or None
        ``title`` and ``lines``; None if there is no sum to print.
    """
    for side, ear in answer.ears.items():
        runs = sorted(ear.speech, key=lambda run: abs(run.input_db_spl - _SPEECH_AT_DB))
        candidates = [*runs, ear.maximum_output, ear.thresholds]
        for one in candidates:
            if one is not None and one.explain and one.explain_at_hz is not None and depth >= 0:
                lines = [line for line in _without_repeats(one.explain) if line.depth <= depth]
                title = f"{side.capitalize()} ear, {hertz(one.explain_at_hz)}"
                return {"title": title, "lines": [_line(line) for line in lines]}
    return None


def _without_repeats(lines: Sequence[ExplainLine]) -> list[ExplainLine]:
    """Join a term with its only part where the part says the same: a regridded curve and its origin."""
    kept: list[ExplainLine] = []
    for n, line in enumerate(lines):
        parts = _parts(lines, n)
        if len(parts) == 1 and parts[0].label == line.label and parts[0].level_db == line.level_db:
            continue
        shallower = n > 0 and lines[n - 1] not in kept and lines[n - 1].depth == line.depth - 1
        kept.append(line.model_copy(update={"depth": line.depth - 1, "sign": lines[n - 1].sign}) if shallower else line)
    return kept


def _parts(lines: Sequence[ExplainLine], parent: int) -> list[ExplainLine]:
    """Give the direct terms of a sum."""
    found = []
    for line in lines[parent + 1 :]:
        if line.depth <= lines[parent].depth:
            break
        if line.depth == lines[parent].depth + 1:
            found.append(line)
    return found


def _line(line: ExplainLine) -> dict[str, Any]:
    source = "" if line.source in _PLAIN_SOURCES else shortened(line.source, _SOURCE_LETTERS)
    if line.depth == 0:
        value = number(line.level_db)
    else:
        value = signed(line.level_db) if line.sign > 0 else f"−({number(line.level_db)})"
        value = f"−{number(line.level_db)}" if line.sign < 0 <= line.level_db else value
    return {
        "depth": line.depth,
        "label": _PLANES.sub("", line.label),
        "value": f"{value} {line.unit}",
        "source": source,
    }
