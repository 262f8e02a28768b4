"""Transfers: decibels from one place to another."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from umbo.core._curve import Curve, leaf, named, refused, require_same_grid
from umbo.core._frozen import frozen
from umbo.core._level import Level
from umbo.core._origin import Origin
from umbo.core._states import States
from umbo.core._tags import merged_coupling, merged_ear
from umbo.core._uncertainty import Uncertainty
from umbo.errors import CombinationError, PlaneMismatchError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import ArrayLike

    from umbo.core._grids import Grid
    from umbo.core._planes import Plane
    from umbo.core._tags import Tags
    from umbo.core._uncertainty import Component

__all__ = ["Transfer"]

#: Source of an origin node that only turns a transfer around.
REVERSED = "reversed"


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
        """Make a transfer that comes from outside the sums: a table, a model, an imported curve.

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

        Returns
        -------
        Transfer
            With one term in its origin.

        Raises
        ------
        InputError
            If values, states and components do not fit the grid, or a value is not finite.
        """
        return cls(
            grid=grid,
            level_db=frozen(level_db),
            tags=tags,
            states=states or States.ok(grid.size),
            uncertainty=Uncertainty.of(grid.size, components),
            origin=leaf(grid, level_db, f"{tags.quantity} ({start} to {end})", source, "dB"),
            start=start,
            end=end,
        )

    def __neg__(self) -> Transfer:
        if self.origin.source == REVERSED:
            origin = self.origin.parts[0][1]
        else:
            label = f"{self.tags.quantity} ({self.end} to {self.start})"
            parts = ((-1, self.origin),)
            origin = Origin(label, REVERSED, "dB", self.frequency_hz, -self.level_db, parts)
        return replace(
            self,
            level_db=-self.level_db,
            uncertainty=self.uncertainty.scaled(-1.0),
            origin=origin,
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
            raise refused(f"add {named(other)} to the {self.tags.quantity}", self, other)
        asked = f"chain the {self.tags.quantity} and the {other.tags.quantity}"
        if self.end != other.start:
            raise PlaneMismatchError(
                asked,
                f"the first ends {self.end.phrase}; the second starts {other.start.phrase}",
                f"use a second transfer that starts {self.end.phrase}",
            )
        return self._chained(asked, other)

    def __sub__(self, other: object) -> Transfer:
        if isinstance(other, Level):
            raise CombinationError(
                f"take the {other.tags.quantity} from the {self.tags.quantity}",
                "a level is carried by a transfer, not taken from it",
                "write level + transfer, or level - level for a transfer",
            )
        if not isinstance(other, Transfer):
            raise refused(f"take {named(other)} from the {self.tags.quantity}", self, other)
        asked = f"take the {other.tags.quantity} from the {self.tags.quantity}"
        if self.end != other.end:
            raise PlaneMismatchError(
                asked,
                f"the first ends {self.end.phrase}; the second ends {other.end.phrase}",
                "use two transfers that end in one place, or write -second + first for two that start in one",
            )
        return self._chained(asked, -other)

    def _chained(self, asked: str, other: Transfer) -> Transfer:
        require_same_grid(asked, self, other)
        values = self.level_db + other.level_db
        label = f"transfer, {self.start} to {other.end}"
        mine, theirs = self.tags, other.tags
        parts = ((1, self.origin), (1, other.origin))
        return Transfer(
            grid=self.grid,
            level_db=values,
            tags=replace(
                mine,
                quantity=label,
                ear=merged_ear(asked, mine, theirs),
                coupling=merged_coupling(asked, mine, theirs),
                stimulus=mine.stimulus if mine.stimulus is not None else theirs.stimulus,
                statistic=mine.statistic if mine.statistic is not None else theirs.statistic,
                source=mine.source if mine.source is not None else theirs.source,
            ),
            states=self.states.joined(other.states),
            uncertainty=self.uncertainty.plus(other.uncertainty),
            origin=Origin(label, "sum", "dB", self.frequency_hz, values, parts),
            start=self.start,
            end=other.end,
        )

    def named(self, quantity: str) -> Transfer:
        """Give the transfer another name, also in explanations; its planes and how it was made stay.

        Parameters
        ----------
        quantity : str
            The new name.

        Returns
        -------
        Transfer
            The same transfer.
        """
        origin = replace(self.origin, label=f"{quantity} ({self.start} to {self.end})")
        return replace(self, tags=replace(self.tags, quantity=quantity), origin=origin)
