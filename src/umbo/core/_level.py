"""Levels: decibels at a place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from umbo.core._curve import Curve, leaf, require_same_grid
from umbo.core._difference import Difference
from umbo.core._grids import Grid
from umbo.core._origin import Origin
from umbo.core._planes import Plane
from umbo.core._states import States
from umbo.core._tags import Tags, merged_coupling, merged_ear, require_same_take
from umbo.core._uncertainty import Component, Uncertainty
from umbo.errors import CombinationError, LevelSumError, PlaneMismatchError

if TYPE_CHECKING:
    from umbo.core._transfer import Transfer

__all__ = ["Level", "power_sum"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Level(Curve):
    """A level at a plane, in dB SPL (re 20 µPa), dB HL on a dial, or dB FS in a file.

    ``level + transfer`` carries it to another plane; ``level - level`` is the transfer between their planes.

    Parameters
    ----------
    plane : Plane
        Where the level is.
    """

    plane: Plane

    @classmethod
    def given(
        cls,
        grid: Grid,
        level_db: ArrayLike,
        *,
        plane: Plane,
        tags: Tags,
        source: str,
        components: Iterable[Component] = (),
        states: States | None = None,
    ) -> Level:
        """A level that comes from outside the sums: measured, tabulated or entered.

        Parameters
        ----------
        grid : Grid
            Frequencies and bandwidth.
        level_db : array (n,)
            Values in the plane's unit. [dB]
        plane : Plane
            Where.
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
            origin=leaf(grid, level_db, f"{tags.quantity} {plane.phrase}", source, plane.unit),
            plane=plane,
        )

    @property
    def unit(self) -> str:
        """Unit of the values, by the plane: "dB SPL", "dB HL" or "dB FS"."""
        return self.plane.unit

    def __add__(self, other: object) -> Level:
        from umbo.core._transfer import Transfer  # noqa: PLC0415  (levels and transfers define each other)

        if isinstance(other, Level):
            raise LevelSumError(
                "add two levels",
                f"the {self.tags.quantity} and the {other.tags.quantity} are both levels, and levels add as powers",
                "use power_sum(a, b), or add a transfer",
            )
        if not isinstance(other, Transfer):
            return NotImplemented
        return self._carried(other)

    def _carried(self, transfer: Transfer) -> Level:
        asked = f"add the {transfer.tags.quantity} to the {self.tags.quantity}"
        if self.plane != transfer.start:
            raise PlaneMismatchError(
                asked,
                f"this level is {self.plane.phrase}; the transfer starts {transfer.start.phrase}",
                f"use a transfer that starts {self.plane.phrase}",
            )
        require_same_grid(asked, self, transfer)
        ear = merged_ear(asked, self.tags, transfer.tags)
        coupling = merged_coupling(asked, self.tags, transfer.tags)
        values = self.level_db + transfer.level_db
        label = f"{self.tags.quantity} {transfer.end.phrase}"
        parts = ((1, self.origin), (1, transfer.origin))
        return Level(
            grid=self.grid,
            level_db=values,
            tags=replace(self.tags, ear=ear, coupling=coupling),
            states=self.states.joined(transfer.states),
            uncertainty=self.uncertainty.plus(transfer.uncertainty),
            origin=Origin(label, "sum", transfer.end.unit, self.frequency_hz, values, parts),
            plane=transfer.end,
        )

    def __sub__(self, other: object) -> Transfer:
        from umbo.core._transfer import Transfer  # noqa: PLC0415

        if not isinstance(other, Level):
            return NotImplemented
        asked = f"take the transfer from the {other.tags.quantity} to the {self.tags.quantity}"
        if self.plane == other.plane:
            raise PlaneMismatchError(
                asked,
                f"both levels are {self.plane.phrase}",
                "use level.above(other) for a difference at one place",
            )
        require_same_grid(asked, self, other)
        require_same_take(asked, self.tags, other.tags)
        ear = merged_ear(asked, self.tags, other.tags)
        coupling = merged_coupling(asked, self.tags, other.tags)
        values = self.level_db - other.level_db
        label = f"transfer, {other.plane} to {self.plane}"
        return Transfer(
            grid=self.grid,
            level_db=values,
            tags=replace(
                self.tags, quantity=label, ear=ear, coupling=coupling, statistic=None, stimulus=None
            ),
            states=self.states.joined(other.states),
            uncertainty=self.uncertainty.plus(other.uncertainty, -1.0),
            origin=Origin(
                label, "difference", "dB", self.frequency_hz, values, ((1, self.origin), (-1, other.origin))
            ),
            start=other.plane,
            end=self.plane,
        )

    def above(self, other: Level, *, quantity: str) -> Difference:
        """How far this level lies above another at the same plane: sensation level, deviation, excess over a limit.

        Parameters
        ----------
        other : Level
            The level to compare with, at the same plane, on the same grid, of the same ear.
        quantity : str
            What the difference is called.

        Raises
        ------
        PlaneMismatchError, GridMismatchError, EarMismatchError
            If the two are not comparable.
        """
        asked = f"compare the {self.tags.quantity} with the {other.tags.quantity}"
        if self.plane != other.plane:
            raise PlaneMismatchError(
                asked,
                f"one is {self.plane.phrase} and the other {other.plane.phrase}",
                "carry both to one place first",
            )
        require_same_grid(asked, self, other)
        values = self.level_db - other.level_db
        parts = ((1, self.origin), (-1, other.origin))
        return Difference(
            grid=self.grid,
            level_db=values,
            tags=replace(self.tags, quantity=quantity, ear=merged_ear(asked, self.tags, other.tags)),
            states=self.states.joined(other.states),
            uncertainty=self.uncertainty.plus(other.uncertainty, -1.0),
            origin=Origin(quantity, "difference", "dB", self.frequency_hz, values, parts),
            plane=self.plane,
        )

    def named(self, quantity: str) -> Level:
        """The same level under another name; where it is and how it was made stay."""
        return replace(self, tags=replace(self.tags, quantity=quantity))


def power_sum(one: Level, other: Level, *, quantity: str) -> Level:
    r"""Level of two incoherent sounds together.

    .. math:: L = 10 \lg\left(10^{L_1/10} + 10^{L_2/10}\right)

    Contributions to uncertainty are weighted by each sound's share of the power (JCGM 100 Eq. 10).

    Parameters
    ----------
    one, other : Level
        Levels at one plane, on one grid, of one ear, with one statistic "rms".
    quantity : str
        What the sum is called.

    Raises
    ------
    PlaneMismatchError, GridMismatchError, EarMismatchError, CombinationError
        If the two may not be added.
    """
    asked = f"add the powers of the {one.tags.quantity} and the {other.tags.quantity}"
    if one.plane != other.plane:
        raise PlaneMismatchError(
            asked,
            f"one is {one.plane.phrase} and the other {other.plane.phrase}",
            "carry both to one place first",
        )
    if one.unit == "dB HL":
        raise CombinationError(
            asked, "dB HL values are not sound pressures", "carry both to a sound pressure level"
        )
    require_same_grid(asked, one, other)
    p1, p2 = 10 ** (one.level_db / 10), 10 ** (other.level_db / 10)
    share = p1 / (p1 + p2)
    values = 10 * np.log10(p1 + p2)
    parts = ((1, one.origin), (1, other.origin))
    uncertainty = _weighted(one.uncertainty, share).plus(_weighted(other.uncertainty, 1 - share))
    return Level(
        grid=one.grid,
        level_db=values,
        tags=replace(one.tags, quantity=quantity, ear=merged_ear(asked, one.tags, other.tags)),
        states=one.states.joined(other.states),
        uncertainty=uncertainty,
        origin=Origin(quantity, "sum of powers", one.unit, one.frequency_hz, values, parts),
        plane=one.plane,
    )


def _weighted(uncertainty: Uncertainty, share: np.ndarray[tuple[int], np.dtype[np.float64]]) -> Uncertainty:
    parts = (replace(c, contribution_db=share * c.contribution_db) for c in uncertainty.components)
    return Uncertainty(uncertainty.size, tuple(parts))
