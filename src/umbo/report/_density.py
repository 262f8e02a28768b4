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
    grounds : int
        Reasons of the grades of the RECDs.
    findings, recds, criteria, notes : int
        On the page; notes are the lines of one entry of the small print.
    sum_depth : int
        Depth of the printed sum; 0 for none.
    has_sum_tree : bool
        Whether the sum stands as a tree with its sources, or in one line.
    has_audibility : bool
        Whether what is audible of speech stands below the verdict of each ear.
    letters, note_letters : int
        Of one text, and of one line of the small print.
    least_figure_pt : float
        Height the figure needs for this density to be chosen. [pt]
    """

    reasons: int
    actions: int
    grounds: int
    findings: int
    recds: int
    criteria: int
    notes: int
    sum_depth: int
    has_sum_tree: bool
    has_audibility: bool
    letters: int
    note_letters: int
    least_figure_pt: float


#: From everything to a page that always fits.
DENSITIES = (
    Density(99, 99, 99, 99, 12, 40, 20, 4, True, True, 600, 600, 220.0),
    Density(5, 5, 9, 9, 8, 24, 8, 4, True, True, 400, 300, 215.0),
    Density(4, 4, 7, 7, 8, 24, 6, 4, False, True, 400, 220, 210.0),
    Density(3, 3, 5, 5, 8, 24, 6, 4, False, True, 400, 180, 205.0),
    Density(3, 2, 4, 4, 8, 16, 4, 4, False, True, 300, 140, 195.0),
    Density(2, 2, 3, 3, 6, 12, 4, 4, False, True, 260, 120, 185.0),
    Density(2, 1, 2, 3, 6, 12, 3, 4, False, True, 220, 100, 180.0),
    Density(1, 1, 2, 2, 6, 12, 3, 4, False, True, 220, 90, 175.0),
    Density(1, 1, 1, 2, 6, 12, 2, 4, False, True, 220, 80, 172.0),
    Density(1, 1, 1, 1, 6, 12, 2, 3, False, True, 190, 80, 168.0),
    Density(1, 1, 1, 1, 6, 8, 2, 1, False, True, 160, 70, 165.0),
    Density(1, 1, 1, 1, 6, 8, 1, 1, False, True, 130, 70, 160.0),
    Density(1, 1, 1, 1, 4, 8, 1, 1, False, False, 100, 70, 0.0),
)


def first_few(texts: Iterable[str], most: int, letters: int) -> list[str]:
    """Show the first texts, cut where too long; the last one says how many more there are.

    Parameters
    ----------
    texts : iterable of str
        All of them.
    most : int
        How many are shown, at least one.
    letters : int
        Letters of one text.
    """
    all_texts: Sequence[str] = list(texts)
    shown = [shortened(text, letters) for text in all_texts[:most]]
    rest = len(all_texts) - len(shown)
    if rest and shown:
        shown[-1] += f" ({rest} more)"
    return shown


def shortened(text: str, letters: int) -> str:
    """Cut a text at a word where it is too long, and end it in an ellipsis."""
    if len(text) <= letters:
        return text
    cut = text[: letters - 1]
    word = cut.rfind(" ")
    return (cut[:word] if word > letters // 2 else cut).rstrip(" ,;:.") + "…"
