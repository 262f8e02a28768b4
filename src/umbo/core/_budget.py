"""Uncertainty budgets: the table that says which cause contributes how much."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core._uncertainty import Uncertainty

__all__ = ["Budget", "BudgetLine"]


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One cause: its standard uncertainty in the result, its share of the variance, its evaluation and source."""

    id: str
    label: str
    u_db: float
    share: float
    evaluation: str
    source: str


@dataclass(frozen=True, slots=True)
class Budget:
    """Uncertainty budget of one value (JCGM 100, Annex H form).

    Parameters
    ----------
    quantity : str
        What the value is.
    frequency_hz : float
        Where on the curve. [Hz]
    lines : tuple of BudgetLine
        Largest first.
    u_db : float
        Combined standard uncertainty, k = 1. [dB]
    dof : float
        Effective degrees of freedom (Welch-Satterthwaite, JCGM 100 Eq. G.2b). [1]
    """

    quantity: str
    frequency_hz: float
    lines: tuple[BudgetLine, ...]
    u_db: float
    dof: float

    @classmethod
    def of(cls, quantity: str, frequency_hz: float, uncertainty: Uncertainty, index: int) -> Budget:
        """Budget of the point ``index`` of a curve."""
        sizes = {c.id: abs(float(c.contribution_db[index])) for c in uncertainty.components}
        variance = sum(size**2 for size in sizes.values())
        lines = tuple(
            BudgetLine(
                c.id,
                c.label,
                sizes[c.id],
                sizes[c.id] ** 2 / variance if variance else 0.0,
                c.evaluation,
                c.source,
            )
            for c in sorted(uncertainty.components, key=lambda c: -sizes[c.id])
        )
        loss = sum(sizes[c.id] ** 4 / c.dof for c in uncertainty.components)  # Eq. G.2b denominator
        dof = variance**2 / loss if loss else float("inf")
        return cls(quantity, frequency_hz, lines, float(np.sqrt(variance)), dof)

    def __str__(self) -> str:
        lines = [f"uncertainty of the {self.quantity} at {self.frequency_hz:.0f} Hz"]
        lines += [
            f"  {line.label:<44}{line.u_db:7.2f} dB {100 * line.share:5.1f} %  {line.evaluation}  {line.source}"
            for line in self.lines
        ]
        lines.append(f"  {'combined standard uncertainty (k = 1)':<44}{self.u_db:7.2f} dB")
        return "\n".join(lines)
