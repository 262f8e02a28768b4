"""Differences: decibels between two levels at one place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from umbo.core._curve import Curve

if TYPE_CHECKING:
    from umbo.core._planes import Plane

__all__ = ["Difference"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Difference(Curve):
    """Decibels by which one level lies above another at the same plane.

    It has no arithmetic of its own: a sensation level or a deviation is the end of a sum, not a term of one.

    Parameters
    ----------
    plane : Plane
        Where the two levels are.
    """

    plane: Plane
