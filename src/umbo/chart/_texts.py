"""The words around a standard chart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from umbo.chart._layers import Note

__all__ = ["Texts"]


@dataclass(frozen=True, slots=True)
class Texts:
    """Title and other words of a standard chart.

    Parameters
    ----------
    title : str
        Empty for the chart's own title.
    subtitle : str
        What was measured, with what.
    caption : str
        Small text below.
    notes : tuple of Note
        Numbered remarks; charts of several panels do not draw them.
    """

    title: str = ""
    subtitle: str = ""
    caption: str = ""
    notes: tuple[Note, ...] = ()
