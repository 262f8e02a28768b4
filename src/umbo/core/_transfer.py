"""Transfers: decibels from one place to another."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from umbo.core._curve import Curve, leaf, require_same_grid
from umbo.core._grids import Grid
from umbo.core._level import Level
from umbo.core._origin import Origin
from umbo.core._planes import Plane
from umbo.core._states import States
from umbo.core._tags import Tags, merged_coupling, merged_ear
from umbo.core._uncertainty import Component, Uncertainty
from umbo.errors import CombinationError, PlaneMismatchError

__all__ = ["Transfer"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Transfer(Curve):
    """The difference in decibels between the levels at two planes for one and the same sound.

    Parameters
    ----------
    start, end : Plane
        From where to where: ``Level@start + transfer = Level@end``.
    """

    start: Plane
    end: Plane

    @classmethod
    def given(
        cls,
        grid: Grid,
        level_db: ArrayLike,
        *,
        start: Plane,
        end: Plane,
        tags: Tags,
        source: str,
        components: Iterable[Component] = (),
        states: States | None = None,
    ) -> Transfer:
        """A transfer that comes from outside the sums: a table, a model, an imported curve.

        Parameters
        ----------
        grid : Grid
            Frequencies and bandwidth.
        level_db : array (n,)
            Level at ``end`` minus level at ``start``. [dB]
        start, end : Plane
            From where to where.
        tags : Tags
            What.
        source : str
            Where the values come from.
        components : iterable of Component
            Causes of error; a contribution of one value is spread over all points.
        states : States, optional
            Every point is ok when left out.
        """
        return cls(
            grid=grid,
            level_db=np.asarray(level_db, dtype=np.float64),
            tags=tags,
            states=states or States.ok(grid.size),
            uncertainty=Uncertainty.of(grid.size, components),
            origin=leaf(grid, level_db, f"{tags.quantity} ({start} to {end})", source, "dB"),
            start=start,
            end=end,
        )

    def __neg__(self) -> Transfer:
        return replace(
            self,
            level_db=-self.level_db,
            uncertainty=self.uncertainty.scaled(-1.0),
            origin=Origin(
                f"{self.tags.quantity}, reversed",
                "",
                "dB",
                self.frequency_hz,
                -self.level_db,
                ((-1, self.origin),),
            ),
            start=self.end,
            end=self.start,
        )

    def __add__(self, other: object) -> Transfer:
        if isinstance(other, Level):
            raise CombinationError(
                f"add the {other.tags.quantity} to the {self.tags.quantity}",
                "a level is carried by a transfer, not the other way round",
                "write level + transfer",
            )
        if not isinstance(other, Transfer):
            return NotImplemented
        asked = f"chain the {self.tags.quantity} and the {other.tags.quantity}"
        if self.end != other.start:
            raise PlaneMismatchError(
                asked,
                f"the first ends {self.end.phrase}; the second starts {other.start.phrase}",
                f"use a second transfer that starts {self.end.phrase}",
            )
        require_same_grid(asked, self, other)
        values = self.level_db + other.level_db
        label = f"transfer, {self.start} to {other.end}"
        tags = replace(
            self.tags,
            quantity=label,
            ear=merged_ear(asked, self.tags, other.tags),
            coupling=merged_coupling(asked, self.tags, other.tags),
        )
        return Transfer(
            grid=self.grid,
            level_db=values,
            tags=tags,
            states=self.states.joined(other.states),
            uncertainty=self.uncertainty.plus(other.uncertainty),
            origin=Origin(
                label, "sum", "dB", self.frequency_hz, values, ((1, self.origin), (1, other.origin))
            ),
            start=self.start,
            end=other.end,
        )

    def __sub__(self, other: object) -> Transfer:
        return self + (-other) if isinstance(other, Transfer) else NotImplemented

    def named(self, quantity: str) -> Transfer:
        """The same transfer under another name, also in explanations."""
        return replace(
            self, tags=replace(self.tags, quantity=quantity), origin=replace(self.origin, label=quantity)
        )
