"""Uncertainty as labelled components with identity (JCGM 100:2008, first-order propagation).

A component is one cause of error, for example the calibration factor of one microphone. It has an identity: where the
same cause acts on both sides of a difference, it cancels; a different microphone does not. Each curve keeps, per cause,
the signed change of its values for one standard deviation of that cause, so a sum of curves is a sum of contributions
(JCGM 100 Eq. 13 and 16 with every input independent once causes are told apart).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from umbo.core._grids import FloatArray
from umbo.errors import InputError

__all__ = ["Component", "Uncertainty"]


@dataclass(frozen=True, slots=True, eq=False)
class Component:
    """One cause of error and what it does to a curve.

    Parameters
    ----------
    id : str
        Identity of the cause; equal ids are the same error, not two alike.
    label : str
        What the cause is, for a budget table.
    contribution_db : array (n,)
        Signed change of the curve for one standard deviation of the cause. [dB]
    across : "full" or "none"
        Whether one draw of the cause moves all frequencies together, or each by itself.
    evaluation : "A" or "B"
        From repeated observations (A) or from other knowledge (B), JCGM 100 clause 4.
    source : str
        Where the size comes from.
    dof : float
        Degrees of freedom, infinite for type B. [1]
    """

    id: str
    label: str
    contribution_db: FloatArray
    across: Literal["full", "none"]
    evaluation: Literal["A", "B"]
    source: str
    dof: float = float("inf")

    def __post_init__(self) -> None:
        array = np.array(self.contribution_db, dtype=np.float64, ndmin=1)
        if not np.all(np.isfinite(array)):
            raise InputError(
                f"state the uncertainty '{self.label}'",
                "its size is not finite everywhere",
                "give a finite size",
            )
        array.setflags(write=False)
        object.__setattr__(self, "contribution_db", array)

    def scaled(self, factor: float) -> Component:
        """The component of a curve multiplied by a factor. [1]"""
        return replace(self, contribution_db=factor * self.contribution_db)


@dataclass(frozen=True, slots=True, eq=False)
class Uncertainty:
    """All components of one curve, at most one per identity.

    Parameters
    ----------
    size : int
        Number of points of the curve. [1]
    components : tuple of Component
        Each with ``size`` contributions.
    """

    size: int
    components: tuple[Component, ...] = ()

    def __post_init__(self) -> None:
        ids = [component.id for component in self.components]
        if len(set(ids)) != len(ids):
            raise InputError(
                "state an uncertainty",
                f"a cause is named twice in {', '.join(sorted(ids))}",
                "add the two into one",
            )
        for component in self.components:
            if component.contribution_db.shape != (self.size,):
                raise InputError(
                    f"state the uncertainty '{component.label}'",
                    f"it has {component.contribution_db.size} values for a curve of {self.size} points",
                    "give one value per point",
                )

    @classmethod
    def none(cls, size: int) -> Uncertainty:
        """No component: the value is exact by convention (a table's nominal value)."""
        return cls(size)

    @classmethod
    def of(cls, size: int, components: Iterable[Component]) -> Uncertainty:
        """From components; a contribution of one value is spread over all points."""
        spread = (replace(c, contribution_db=np.broadcast_to(c.contribution_db, (size,))) for c in components)
        return cls(size, tuple(spread))

    def plus(self, other: Uncertainty, sign: float = 1.0) -> Uncertainty:
        """Uncertainty of ``a + sign * b``: contributions of the same cause add with their signs.

        Raises
        ------
        InputError
            If the two belong to curves of different length.
        """
        if self.size != other.size:
            raise InputError(
                "combine two uncertainties",
                f"one has {self.size} points, the other {other.size}",
                "bring both curves onto one grid first",
            )
        merged = {component.id: component for component in self.components}
        for component in other.components:
            mine = merged.get(component.id)
            total = sign * component.contribution_db + (0.0 if mine is None else mine.contribution_db)
            merged[component.id] = replace(mine or component, contribution_db=total)
        return Uncertainty(self.size, tuple(merged.values()))

    def scaled(self, factor: float) -> Uncertainty:
        """Uncertainty of a curve multiplied by a factor. [1]"""
        return Uncertainty(self.size, tuple(component.scaled(factor) for component in self.components))

    def with_component(self, component: Component) -> Uncertainty:
        """These components and one more cause."""
        return self.plus(Uncertainty.of(self.size, [component]))

    def mapped(self, index: ArrayLike, weight: ArrayLike) -> Uncertainty:
        """Contributions at new points, each a weighted sum of old points.

        Parameters
        ----------
        index : array (m, k), int
            The old points each new point uses.
        weight : array (m, k)
            Their weights; a component without correlation across frequency adds them as a root sum of squares. [1]
        """
        rows, weights = np.asarray(index), np.asarray(weight, dtype=np.float64)
        new = []
        for component in self.components:
            terms = weights * component.contribution_db[rows]
            total = terms.sum(axis=1) if component.across == "full" else np.sqrt((terms**2).sum(axis=1))
            new.append(replace(component, contribution_db=total))
        return Uncertainty(rows.shape[0], tuple(new))

    @property
    def u_db(self) -> FloatArray:
        """Combined standard uncertainty of each point (JCGM 100 Eq. 10). Shape (n,). [dB]"""
        total = np.zeros(self.size)
        for component in self.components:
            total += component.contribution_db**2
        return np.sqrt(total)

    def covariance_db2(self) -> FloatArray:
        """Covariance between the points. Shape (n, n). [dB²]"""
        matrix = np.zeros((self.size, self.size))
        for component in self.components:
            c = component.contribution_db
            matrix += np.outer(c, c) if component.across == "full" else np.diag(c**2)
        return matrix

    def draws_db(
        self, n: int, rng: np.random.Generator, shared: dict[str, FloatArray] | None = None
    ) -> FloatArray:
        """Random errors of the curve, for Monte Carlo propagation (JCGM 101:2008).

        Parameters
        ----------
        n : int
            Number of draws. [1]
        rng : numpy.random.Generator
            Where randomness comes from.
        shared : dict, optional
            Draws already made, by identity; the same causes in another curve reuse them.

        Returns
        -------
        array (n, size)
            Errors to add to the curve. [dB]
        """
        known = {} if shared is None else shared
        total = np.zeros((n, self.size))
        for component in self.components:
            width = 1 if component.across == "full" else self.size
            key = f"{component.id}|{width}"
            if key not in known:
                known[key] = rng.standard_normal((n, width))
            total += known[key] * component.contribution_db
        return total
