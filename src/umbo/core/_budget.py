"""Uncertainty budgets: the table that says which cause contributes how much."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from umbo.core._uncertainty import Uncertainty

__all__ = ["Budget", "BudgetLine"]

#: From here on the degrees of freedom say nothing more and are not printed (layout choice). [1]
_MANY_DOF = 10_000.0


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One cause of error in a budget.

    Parameters
    ----------
    id : str
        Identity of the cause.
    label : str
        What the cause is.
    u_db : float
        Its standard uncertainty in the result. [dB]
    share : float
        Its share of the variance of the result, 0 to 1. [1]
    evaluation : str
        "A" from repeated observations or "B" from other knowledge (JCGM 100 clause 4).
    source : str
        Where its size comes from.
    """

    id: str
    label: str
    u_db: float
    share: float
    evaluation: str
    source: str

    def __str__(self) -> str:
        size = f"{self.u_db:7.2f} dB {100 * self.share:5.1f} %"
        return f"  {self.label:<44}{size}  {self.evaluation}  {self.source}".rstrip()


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
        Largest first; a cause that has cancelled stays, with 0 dB.
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
        """Draw up the budget of one point of a curve.

        Parameters
        ----------
        quantity : str
            What the value is.
        frequency_hz : float
            Frequency of the point. [Hz]
        uncertainty : Uncertainty
            Components of the curve.
        index : int
            Which point. [1]

        Returns
        -------
        Budget
            One line per component.
        """
        sizes = {c.id: abs(float(c.contribution_db[index])) for c in uncertainty.components}
        variance = sum(size**2 for size in sizes.values())  # JCGM 100 Eq. 10
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
        dof = variance**2 / loss if loss else inf
        return cls(quantity, frequency_hz, lines, sqrt(variance), dof)

    def __str__(self) -> str:
        lines = [f"uncertainty of the {self.quantity} at {self.frequency_hz:.0f} Hz"]
        lines += [str(line) for line in self.lines]
        lines.append(f"  {'combined standard uncertainty (k = 1)':<44}{self.u_db:7.2f} dB")
        if self.dof < _MANY_DOF:
            lines.append(f"  {'effective degrees of freedom':<44}{self.dof:7.1f}")
        return "\n".join(lines)
