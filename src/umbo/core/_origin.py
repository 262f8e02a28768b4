"""Origins: every number can say where it came from, term by term."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from umbo.core._grids import FloatArray

__all__ = ["ExplainedTerm", "Origin"]


@dataclass(frozen=True, slots=True, eq=False)
class Origin:
    """One node of the sum a curve was made by.

    Parameters
    ----------
    label : str
        What this term is.
    source : str
        Where it comes from: a recording, a table with edition, a rule.
    unit : str
        "dB SPL", "dB HL", "dB".
    frequency_hz, level_db : array (n,)
        The term itself, on the grid it was made on. [Hz], [dB]
    parts : tuple of (int, Origin)
        Terms it was made from, with their signs.
    """

    label: str
    source: str
    unit: str
    frequency_hz: FloatArray
    level_db: FloatArray
    parts: tuple[tuple[int, Origin], ...] = ()

    def value_at(self, frequency_hz: float) -> float:
        """Value of this term, log-interpolated to a frequency and held at the ends. [Hz] -> [dB]"""
        return float(np.interp(np.log(frequency_hz), np.log(self.frequency_hz), self.level_db))

    def terms(self, frequency_hz: float, depth: int = 0, sign: int = 1) -> Iterator[ExplainedTerm]:
        """This term and, indented below it, the terms it was made from."""
        yield ExplainedTerm(depth, sign, self.label, self.value_at(frequency_hz), self.unit, self.source)
        for part_sign, part in self.parts:
            yield from part.terms(frequency_hz, depth + 1, part_sign)


@dataclass(frozen=True, slots=True)
class ExplainedTerm:
    """One line of an explanation."""

    depth: int
    sign: int
    label: str
    level_db: float
    unit: str
    source: str

    def __str__(self) -> str:
        mark = "" if self.depth == 0 else ("+ " if self.sign > 0 else "− ")
        name = f"{'  ' * self.depth}{mark}{self.label}"
        return f"{name:<58}{self.level_db:8.1f} {self.unit:<7} {self.source}".rstrip()
