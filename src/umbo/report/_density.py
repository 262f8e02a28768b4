"""How much of a record is printed on one page: what is left out is counted, never silently dropped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

__all__ = ["DENSITIES", "Density", "first_few", "shortened"]


@dataclass(frozen=True, slots=True)
class Density:
    """What is shown of each kind, at most.

    Attributes
    ----------
    reasons, actions : int
        Per ear.
    findings, recds, criteria, notes : int
        On the page; notes are the lines of one entry of the small print.
    sum_depth : int
        Depth of the printed sum; -1 for none.
    letters : int
        Of one text.
    least_figure_pt : float
        Height the figure needs for this density to be chosen. [pt]
    """

    reasons: int
    actions: int
    findings: int
    recds: int
    criteria: int
    notes: int
    sum_depth: int
    letters: int
    least_figure_pt: float


#: From everything to a page that always fits.
DENSITIES = (
    Density(99, 99, 99, 12, 40, 20, 4, 600, 330.0),
    Density(4, 4, 8, 8, 24, 8, 3, 400, 320.0),
    Density(3, 3, 6, 6, 24, 6, 3, 260, 310.0),
    Density(2, 2, 4, 6, 16, 4, 2, 220, 290.0),
    Density(2, 2, 3, 4, 12, 3, 2, 170, 250.0),
    Density(1, 1, 2, 4, 12, 2, 1, 130, 200.0),
    Density(1, 1, 1, 4, 12, 2, -1, 90, 0.0),
)


def first_few(texts: Iterable[str], most: int, letters: int, what: str) -> list[str]:
    """Show the first texts, cut where too long, and say how many more there are.

    Parameters
    ----------
    texts : iterable of str
        All of them.
    most : int
        How many are shown.
    letters : int
        Letters of one text.
    what : str
        What they are, for the sentence about the rest: "reasons".
    """
    all_texts: Sequence[str] = list(texts)
    shown = [shortened(text, letters) for text in all_texts[:most]]
    rest = len(all_texts) - len(shown)
    return [*shown, f"{rest} more {what} in the machine-readable record."] if rest else shown


def shortened(text: str, letters: int) -> str:
    """Cut a text at a word where it is too long, and end it in an ellipsis."""
    if len(text) <= letters:
        return text
    cut = text[: letters - 1]
    word = cut.rfind(" ")
    return (cut[:word] if word > letters // 2 else cut).rstrip(" ,;:.") + "…"
