"""Targets at the eardrum, the speech they belong to, and targets imported from a method that is licensed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import (
    Bandwidth,
    Ear,
    Finding,
    FloatArray,
    Grid,
    Level,
    Plane,
    PointState,
    States,
    Statistic,
    Tags,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["Method", "Target", "imported_target", "speech_in_field"]

#: Overall level of the tabulated long-term average speech spectrum (Byrne et al. 1994, Table II). [dB SPL]
_LTASS_OVERALL_DB = 70.0


@dataclass(frozen=True, slots=True)
class Method:
    """What a target comes from; printed beside every use.

    Parameters
    ----------
    name, version, options : str
        Method, its version, and the options chosen.
    """

    name: str
    version: str
    options: str

    def __str__(self) -> str:
        return ", ".join(part for part in (self.name, self.version, self.options) if part)


@dataclass(frozen=True, slots=True)
class Target:
    """A wanted level at the eardrum.

    Parameters
    ----------
    level : Level
        At the eardrum. [dB SPL]
    method : Method
        What it comes from.
    input_db_spl : float or None
        Speech input it belongs to; none for a limit of maximum output. [dB SPL]
    findings : tuple of Finding
        What should be said about its use.
    """

    level: Level
    method: Method
    input_db_spl: float | None
    findings: tuple[Finding, ...] = ()


def speech_in_field(frequency_hz: FloatArray, overall_db_spl: float, *, ear: Ear | None) -> Level:
    """Long-term average speech spectrum at an overall level, in the free field (Byrne et al. 1994, combined).

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies; those between third-octaves are interpolated and marked. [Hz]
    overall_db_spl : float
        Overall level. [dB SPL]
    ear : Ear or None
        Side it will be compared at.

    Returns
    -------
    Level
        Third-octave band levels. [dB SPL]
    """
    table = refdata.table("ltass", source="byrne-1994")
    column = "combined_70db_overall_db_spl"
    read = refdata.interpolate(table, column, frequency_hz)
    levels = read.require_inside() + overall_db_spl - _LTASS_OVERALL_DB
    reason = f"between tabulated frequencies of table {table.name}"
    states = States.ok(frequency_hz.size).marked(PointState.INTERPOLATED, read.interpolated, reason)
    tags = Tags(
        quantity=f"speech {overall_db_spl:g} dB",
        ear=ear,
        stimulus=f"speech {overall_db_spl:g}",
        statistic=Statistic.TARGET,
        coupling=None,
        source=None,
    )
    return Level.given(
        Grid(frequency_hz, Bandwidth.THIRD_OCTAVE),
        levels,
        plane=Plane.free_field(),
        tags=tags,
        source=table.brief(column),
        states=states,
    )


def imported_target(
    frequency_hz: Sequence[float],
    level_db: Sequence[float],
    *,
    method: Method,
    ear: Ear,
    input_db_spl: float | None,
) -> Target:
    """A target made by another program and imported as numbers.

    Parameters
    ----------
    frequency_hz : sequence of float
        Frequencies. [Hz]
    level_db : sequence of float
        Levels at the eardrum. [dB SPL]
    method : Method
        What made them, with version and options.
    ear : Ear
        Side.
    input_db_spl : float or None
        Speech input; none for a limit of maximum output. [dB SPL]
    """
    is_limit = input_db_spl is None
    name = "limit of maximum output" if is_limit else f"target, speech {input_db_spl:g} dB"
    tags = Tags(
        quantity=name,
        ear=ear,
        stimulus=None if is_limit else f"speech {input_db_spl:g}",
        statistic=Statistic.LIMIT if is_limit else Statistic.TARGET,
        coupling=None,
        source=None,
    )
    grid = Grid(np.asarray(frequency_hz, dtype=np.float64), Bandwidth.TONE if is_limit else Bandwidth.THIRD_OCTAVE)
    level = Level.given(grid, list(level_db), plane=Plane.eardrum(), tags=tags, source=f"imported: {method}")
    return Target(level, method, input_db_spl)
