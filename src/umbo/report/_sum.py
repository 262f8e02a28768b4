"""How one number of the record was made: the sum, term by term."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from umbo.record import ExplainLine, VerifyAnswer
from umbo.report._density import Density, shortened
from umbo.report._words import hertz, number, signed

__all__ = ["printed_sum"]

_PLANES = re.compile(r" \([a-z_]+(:\w+)? to [a-z_]+(:\w+)?\)$")
_PLAIN_SOURCES = ("sum", "difference")
_SPEECH_AT_DB = 65.0
_SOURCE_LETTERS = 90


def printed_sum(answer: VerifyAnswer, density: Density) -> dict[str, Any] | None:
    """Make the printed sum of the first ear that has one: speech nearest 65 dB, else maximum output, else threshold.

    Parameters
    ----------
    answer : VerifyAnswer
        The record.
    density : Density
        Whether the sum is a tree with its sources, one line, or left out; and how deep it goes.

    Returns
    -------
    dict or None
        ``title``, ``lines`` (of the tree, or none) and ``text`` (of the line); None if there is no sum to print.
    """
    for side, ear in answer.ears.items():
        runs = sorted(ear.speech, key=lambda run: abs(run.input_db_spl - _SPEECH_AT_DB))
        for one in (*runs, ear.maximum_output, ear.thresholds):
            if one is not None and one.explain and one.explain_at_hz is not None and density.sum_depth > 0:
                terms = [line for line in _without_repeats(one.explain) if line.depth <= density.sum_depth]
                lines = [_line(line) for line in terms] if density.has_sum_tree else []
                title = f"{side} ear, {hertz(one.explain_at_hz)}"
                return {"title": title, "lines": lines, "text": "" if lines else _in_words(terms)}
    return None


def _in_words(terms: Sequence[ExplainLine]) -> str:
    """Write the sum as one line: what it gives, and the terms with their own sums in brackets."""
    return f"{_label(terms[0])} {number(terms[0].level_db)} {terms[0].unit} = {_terms_in_words(terms, 0)}."


def _terms_in_words(terms: Sequence[ExplainLine], parent: int) -> str:
    words = ""
    for n in _part_rows(terms, parent):
        term = terms[n]
        inner = _terms_in_words(terms, n)
        sign = "−" if term.sign < 0 else "+"
        value = number(term.level_db) if term.level_db >= 0.0 else f"({number(term.level_db)})"
        joint = f" {sign} " if words or sign == "−" else ""
        words += f"{joint}{_label(term)} {value}{f' [{inner}]' if inner else ''}"
    return words


def _label(line: ExplainLine) -> str:
    return _PLANES.sub("", line.label)


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
    return [lines[n] for n in _part_rows(lines, parent)]


def _part_rows(lines: Sequence[ExplainLine], parent: int) -> list[int]:
    """Give the rows of the direct terms of a sum."""
    found = []
    for n in range(parent + 1, len(lines)):
        if lines[n].depth <= lines[parent].depth:
            break
        if lines[n].depth == lines[parent].depth + 1:
            found.append(n)
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
        "label": _label(line),
        "value": f"{value} {line.unit}",
        "source": source,
    }
