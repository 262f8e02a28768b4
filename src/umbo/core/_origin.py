"""Origins: every number can say where it came from, term by term."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo.core._frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterator

    from umbo.core._grids import FloatArray
    from umbo.core._regrid import RegridPlan

__all__ = ["NAME_WIDTH", "ExplainedTerm", "Origin"]

#: Letters of the column of names in an explanation; a longer name widens it (layout choice). [1]
NAME_WIDTH = 58


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
        Terms it was made from, each with its sign, 1 or −1. [1]
    plan : RegridPlan or None
        How its points were taken from those of its one part, when a change of grid made it.
    """

    label: str
    source: str
    unit: str
    frequency_hz: FloatArray
    level_db: FloatArray
    parts: tuple[tuple[int, Origin], ...] = ()
    plan: RegridPlan | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "frequency_hz", frozen(self.frequency_hz))
        object.__setattr__(self, "level_db", frozen(self.level_db))

    def value_at(self, frequency_hz: float) -> float:
        """Give the value of this term, log-interpolated to a frequency and held at the ends.

        Parameters
        ----------
        frequency_hz : float
            Frequency looked for. [Hz]

        Returns
        -------
        float
            Value. [dB]
        """
        return float(self._weight_at(frequency_hz) @ self.level_db)

    def terms(self, frequency_hz: float) -> Iterator[ExplainedTerm]:
        """Walk through this term and, one level deeper, the terms it was made from.

        A change of grid on the way is followed back to the points it took its values from, so that every sum
        and difference adds up at every depth.

        Parameters
        ----------
        frequency_hz : float
            Frequency looked for. [Hz]

        Yields
        ------
        ExplainedTerm
            The term itself first.
        """
        yield from self._terms(self._weight_at(frequency_hz), 0, 1)

    def _terms(self, weight: FloatArray, depth: int, sign: int) -> Iterator[ExplainedTerm]:
        value = float(weight @ self.level_db)
        yield ExplainedTerm(depth, sign, self.label, value, self.unit, self.source)
        for part_sign, part in self.parts:
            yield from part._terms(self._weight_on(part, weight), depth + 1, part_sign)  # noqa: SLF001

    def _weight_at(self, frequency_hz: float) -> FloatArray:
        """Weights of the points in a value between them: hat functions over log frequency."""
        number = np.arange(self.frequency_hz.size)
        position = np.interp(np.log(frequency_hz), np.log(self.frequency_hz), number)
        return np.clip(1.0 - np.abs(number - position), 0.0, 1.0)

    def _weight_on(self, part: Origin, weight: FloatArray) -> FloatArray:
        """Weights on the points of a part that give what these weights give here."""
        if self.plan is not None:
            carried = np.zeros(part.frequency_hz.size)
            np.add.at(carried, self.plan.index, weight[:, np.newaxis] * self.plan.weight)
            return carried
        if self.frequency_hz.size == part.frequency_hz.size and np.allclose(
            self.frequency_hz, part.frequency_hz, rtol=1e-9, atol=0
        ):
            return weight
        return part._weight_at(float(np.exp(weight @ np.log(self.frequency_hz))))


@dataclass(frozen=True, slots=True)
class ExplainedTerm:
    """One line of an explanation.

    Parameters
    ----------
    depth : int
        0 for the result, 1 for the terms it is made of, and so on. [1]
    sign : int
        1 when the term is added, −1 when it is taken away. [1]
    label : str
        What the term is.
    level_db : float
        Its value. [dB]
    unit : str
        Unit of the value.
    source : str
        Where it comes from.
    """

    depth: int
    sign: int
    label: str
    level_db: float
    unit: str
    source: str

    @property
    def name(self) -> str:
        """What the term is, indented by its depth, with the sign it is taken with."""
        mark = "" if self.depth == 0 else ("+ " if self.sign > 0 else "− ")
        return f"{'  ' * self.depth}{mark}{self.label}"

    def line(self, width: int) -> str:
        """Write the term on one line.

        Parameters
        ----------
        width : int
            Letters of the column of names. [1]
        """
        return f"{self.name:<{width}}{self.level_db:8.1f} {self.unit:<7} {self.source}".rstrip()

    def __str__(self) -> str:
        return self.line(NAME_WIDTH)
