"""Levels: decibels at a place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import log
from typing import TYPE_CHECKING

import numpy as np

from umbo.core._curve import Curve, leaf, named, refused, require_same_grid
from umbo.core._difference import Difference
from umbo.core._frozen import frozen
from umbo.core._grids import Bandwidth
from umbo.core._origin import Origin
from umbo.core._states import States
from umbo.core._tags import merged_coupling, merged_ear, merged_stimulus, require_rms, require_same_take
from umbo.core._uncertainty import Uncertainty
from umbo.errors import BandwidthMismatchError, CombinationError, LevelSumError, PlaneMismatchError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import ArrayLike

    from umbo.core._grids import Grid
    from umbo.core._planes import Plane
    from umbo.core._tags import Tags
    from umbo.core._transfer import Transfer
    from umbo.core._uncertainty import Component

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
        """Make a level that comes from outside the sums: measured, tabulated or entered.

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

        Returns
        -------
        Level
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
            raise refused(f"add {named(other)} to the {self.tags.quantity}", self, other)
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

        if isinstance(other, Transfer):
            raise CombinationError(
                f"take the {other.tags.quantity} from the {self.tags.quantity}",
                f"a transfer is added in its direction, and this one leads from {other.start} to {other.end}",
                "write level + (-transfer) to go the other way",
            )
        if not isinstance(other, Level):
            raise refused(f"take {named(other)} from the {self.tags.quantity}", self, other)
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
            tags=replace(self.tags, quantity=label, ear=ear, coupling=coupling, statistic=None, stimulus=None),
            states=self.states.joined(other.states),
            uncertainty=self.uncertainty.plus(other.uncertainty, -1.0),
            origin=Origin(label, "difference", "dB", self.frequency_hz, values, ((1, self.origin), (-1, other.origin))),
            start=other.plane,
            end=self.plane,
        )

    def above(self, other: Level, *, quantity: str) -> Difference:
        """Compare with another level at the same plane: sensation level, deviation, excess over a limit.

        Parameters
        ----------
        other : Level
            The level to compare with, at the same plane, on the same grid, of the same ear.
        quantity : str
            What the difference is called.

        Returns
        -------
        Difference
            This level minus the other.

        Raises
        ------
        PlaneMismatchError, GridMismatchError, BandwidthMismatchError, EarMismatchError
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
        """Give the level another name, also in explanations; where it is and how it was made stay.

        Parameters
        ----------
        quantity : str
            The new name.

        Returns
        -------
        Level
            The same level.
        """
        origin = replace(self.origin, label=f"{quantity} {self.plane.phrase}")
        return replace(self, tags=replace(self.tags, quantity=quantity), origin=origin)

    def _require_bandwidth(self, grid: Grid) -> None:
        mine, wanted = self.grid.bandwidth, grid.bandwidth
        if mine != wanted and (Bandwidth.TONE not in (mine, wanted) or Bandwidth.PER_HERTZ in (mine, wanted)):
            raise BandwidthMismatchError(
                f"regrid the {self.tags.quantity}",
                f"it is given {mine.phrase} and the wanted grid {wanted.phrase}",
                "evaluate it again with the wanted bandwidth",
            )


def power_sum(one: Level, other: Level, *, quantity: str) -> Level:
    r"""Level of two incoherent sounds together.

    .. math:: L = 10 \lg\left(10^{L_1/10} + 10^{L_2/10}\right)

    Contributions to uncertainty are weighted by each sound's share of the power (JCGM 100 Eq. 10).

    Parameters
    ----------
    one, other : Level
        Levels at one plane, on one grid, of one ear and coupling, both with the statistic "rms".
    quantity : str
        What the sum is called.

    Returns
    -------
    Level
        At the same plane; its stimulus names both.

    Raises
    ------
    CombinationError
        If the two may not be added: PlaneMismatchError, GridMismatchError, BandwidthMismatchError,
        EarMismatchError, CouplingMismatchError, StatisticMismatchError, or dB HL values.
    """
    asked = f"add the powers of the {one.tags.quantity} and the {other.tags.quantity}"
    if one.plane != other.plane:
        raise PlaneMismatchError(
            asked,
            f"one is {one.plane.phrase} and the other {other.plane.phrase}",
            "carry both to one place first",
        )
    if one.unit == "dB HL":
        raise CombinationError(asked, "dB HL values are not sound pressures", "carry both to a sound pressure level")
    require_same_grid(asked, one, other)
    require_rms(asked, one.tags, other.tags)
    nepers = log(10) / 10  # 10^(L/10) = exp(nepers L); the sum of the two never leaves the logarithm
    values = np.logaddexp(nepers * one.level_db, nepers * other.level_db) / nepers
    share_one, share_other = (np.exp(nepers * (sound.level_db - values)) for sound in (one, other))
    parts = ((1, one.origin), (1, other.origin))
    return Level(
        grid=one.grid,
        level_db=values,
        tags=_together(asked, one.tags, other.tags, quantity),
        states=one.states.joined(other.states),
        uncertainty=one.uncertainty.scaled(share_one).plus(other.uncertainty.scaled(share_other)),
        origin=Origin(quantity, "sum of powers", one.unit, one.frequency_hz, values, parts),
        plane=one.plane,
    )


def _together(asked: str, one: Tags, other: Tags, quantity: str) -> Tags:
    return replace(
        one,
        quantity=quantity,
        ear=merged_ear(asked, one, other),
        coupling=merged_coupling(asked, one, other),
        stimulus=merged_stimulus(one, other),
        source=one.source if one.source == other.source else None,
    )
