"""Uncertainty as labelled components with identity (JCGM 100:2008, first-order propagation).

A component is one cause of error, for example the calibration factor of one microphone. It has an identity:
where the same cause acts on both sides of a difference, it cancels; a different microphone does not. Each
curve keeps, per cause, the signed change of its values for one standard deviation of that cause, so a sum
of curves is a sum of contributions (JCGM 100 Eq. 10; the correlations of Eq. 13 are those of the shared
causes, as in F.1.2.3).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo.core._frozen import frozen
from umbo.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import ArrayLike

    from umbo.core._grids import FloatArray

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

    Raises
    ------
    InputError
        If the size is not finite, a word is unknown, or the degrees of freedom are not above zero.
    """

    id: str
    label: str
    contribution_db: FloatArray
    across: Literal["full", "none"]
    evaluation: Literal["A", "B"]
    source: str
    dof: float = inf

    def __post_init__(self) -> None:
        object.__setattr__(self, "contribution_db", frozen(self.contribution_db))
        asked = f"state the uncertainty '{self.label}'"
        if not np.all(np.isfinite(self.contribution_db)):
            raise InputError(asked, "its size is not finite everywhere", "give a finite size")
        if self.across not in ("full", "none") or self.evaluation not in ("A", "B"):
            raise InputError(
                asked,
                f"across='{self.across}', evaluation='{self.evaluation}' are not among full, none and A, B",
                "choose from these",
            )
        if not self.dof > 0:
            raise InputError(
                asked,
                f"{self.dof:g} degrees of freedom cannot be",
                "give the number of observations less the number of quantities estimated from them",
            )

    def scaled(self, factor: float) -> Component:
        """Scale the component as the curve is scaled.

        Parameters
        ----------
        factor : float
            What the curve is multiplied by. [1]

        Returns
        -------
        Component
            The same cause with scaled contributions.
        """
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

    Raises
    ------
    InputError
        If a cause is named twice or does not have one contribution per point.
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
        """State that there is no uncertainty: exact by convention, as a table's nominal value is.

        Parameters
        ----------
        size : int
            Number of points of the curve. [1]

        Returns
        -------
        Uncertainty
            Without components.
        """
        return cls(size)

    @classmethod
    def of(cls, size: int, components: Iterable[Component]) -> Uncertainty:
        """Gather components for a curve.

        Parameters
        ----------
        size : int
            Number of points of the curve. [1]
        components : iterable of Component
            A contribution of one value is spread over all points.

        Returns
        -------
        Uncertainty
            With these components.

        Raises
        ------
        InputError
            If a component has neither one value nor one per point.
        """
        spread = (
            replace(c, contribution_db=np.repeat(c.contribution_db, size)) if c.contribution_db.size == 1 else c
            for c in components
        )
        return cls(size, tuple(spread))

    def plus(self, other: Uncertainty, sign: float = 1.0) -> Uncertainty:
        """Give the uncertainty of ``a + sign * b``: contributions of the same cause add with their signs.

        Parameters
        ----------
        other : Uncertainty
            Uncertainty of ``b``.
        sign : float
            1 for a sum, −1 for a difference. [1]

        Returns
        -------
        Uncertainty
            Every cause of both, once.

        Raises
        ------
        InputError
            If the two belong to curves of different length, or do not agree on how a shared cause acts
            across frequency.
        """
        if self.size != other.size:
            raise InputError(
                "combine two uncertainties",
                f"one has {self.size} points, the other {other.size}",
                "bring both curves onto one grid first",
            )
        merged = {component.id: component for component in self.components}
        for component in other.components:
            mine = merged.get(component.id, component.scaled(0.0))
            if mine.across != component.across:
                raise InputError(
                    "combine two uncertainties",
                    f"the cause '{component.id}' moves all frequencies together in one and each by itself in the other",
                    "give two different causes two identities",
                )
            total = mine.contribution_db + sign * component.contribution_db
            merged[component.id] = replace(mine, contribution_db=total)
        return Uncertainty(self.size, tuple(merged.values()))

    def scaled(self, factor: ArrayLike) -> Uncertainty:
        """Give the uncertainty of a curve multiplied by a factor.

        Parameters
        ----------
        factor : float or array (n,)
            What the curve, or each of its points, is multiplied by. [1]

        Returns
        -------
        Uncertainty
            The same causes with scaled contributions.
        """
        by = np.asarray(factor, dtype=np.float64)
        parts = (replace(c, contribution_db=by * c.contribution_db) for c in self.components)
        return Uncertainty(self.size, tuple(parts))

    def with_component(self, component: Component) -> Uncertainty:
        """Add one more cause; to a cause that is there already, its contribution adds with its sign.

        Parameters
        ----------
        component : Component
            A contribution of one value is spread over all points.

        Returns
        -------
        Uncertainty
            These components and that one.
        """
        return self.plus(Uncertainty.of(self.size, [component]))

    def mapped(self, index: ArrayLike, weight: ArrayLike) -> Uncertainty:
        """Carry the contributions to new points, each a weighted sum of old points.

        A component without correlation across frequency adds its old points as a root sum of squares and
        keeps the sign of their sum, so that it still cancels against itself. That two new points which share
        an old one are then correlated is left out.

        Parameters
        ----------
        index : array-like (m, k), int
            The old points each new point uses. [1]
        weight : array-like (m, k)
            Their weights. [1]

        Returns
        -------
        Uncertainty
            For a curve of m points.
        """
        rows, weights = np.asarray(index), np.asarray(weight, dtype=np.float64)
        new = []
        for component in self.components:
            terms = weights * component.contribution_db[rows]
            total = terms.sum(axis=1)
            if component.across == "none":
                sign = np.where(total == 0, terms[:, 0], total)
                total = np.copysign(np.sqrt((terms**2).sum(axis=1)), sign)
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
        """Give the covariance between the points (JCGM 100 Eq. F.2).

        Returns
        -------
        array (n, n)
            Symmetric; the squares of ``u_db`` on its diagonal. [dB²]
        """
        matrix = np.zeros((self.size, self.size))
        for component in self.components:
            c = component.contribution_db
            matrix += np.outer(c, c) if component.across == "full" else np.diag(c**2)
        return matrix

    def draws_db(self, n: int, rng: np.random.Generator, shared: dict[str, FloatArray] | None = None) -> FloatArray:
        """Draw random errors of the curve, normally distributed, for Monte Carlo propagation (JCGM 101:2008).

        Parameters
        ----------
        n : int
            Number of draws. [1]
        rng : numpy.random.Generator
            Where randomness comes from.
        shared : dict, optional
            Draws already made, by identity, of unit standard deviation; the same causes in another curve reuse them.
            A cause that moves each frequency by itself is shared between curves of one length, which must stand on
            one grid. [1]

        Returns
        -------
        array (n, size)
            Errors to add to the curve. [dB]

        Raises
        ------
        InputError
            If the shared draws were made in another number.
        """
        known = {} if shared is None else shared
        total = np.zeros((n, self.size))
        for component in self.components:
            width = 1 if component.across == "full" else self.size
            key = f"{component.id}|{width}"
            if key not in known:
                known[key] = rng.standard_normal((n, width))
            if known[key].shape[0] != n:
                raise InputError(
                    f"draw {n} errors of '{component.label}'",
                    f"{known[key].shape[0]} are shared with another curve",
                    "draw the same number for every curve",
                )
            total += known[key] * component.contribution_db
        return total
