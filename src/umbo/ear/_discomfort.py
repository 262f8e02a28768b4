"""Discomfort levels that were measured at the eardrum, or that are only predicted from thresholds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo import refdata
from umbo.core import Component, Ear, Grid, Level, Plane, PlaneKind, PointState, States, Statistic, Tags
from umbo.ear._hearing_level import NO_DISCOMFORT
from umbo.ear._threshold_methods import threshold_components
from umbo.errors import InputError, NotPossibleHereError

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "CONSTANT_RULE",
    "DiscomfortRule",
    "discomfort_rule",
    "eardrum_discomfort",
    "predicted_discomfort",
]

#: Name of the one prediction rule that umbo ships.
CONSTANT_RULE = "constant-100-db-spl"

#: Reason carried by points where the prediction contradicts the threshold.
_BELOW_THRESHOLD = "the predicted discomfort level does not lie above the threshold here"


@dataclass(frozen=True, slots=True, kw_only=True)
class DiscomfortRule:
    r"""A straight line from threshold to discomfort level, with its spread.

    .. math:: L_{discomfort} = a + b\,T

    Parameters
    ----------
    name : str
        What it is called wherever its result is printed.
    scale : {"HL", "SPL"}
        Whether both levels are on the dial, or both at the eardrum.
    slope : float
        Slope b, 0 to 1.5; 0 for a constant. [dB/dB]
    intercept_db : float
        Intercept a. [dB HL or dB SPL]
    u_db : float
        Standard deviation of people about the line, above 0. [dB]
    source : str
        Where the line and its spread come from.

    Raises
    ------
    InputError
        If the slope or the spread lies outside its range.
    """

    name: str
    scale: Literal["HL", "SPL"]
    slope: float
    intercept_db: float
    u_db: float
    source: str

    def __post_init__(self) -> None:
        asked = f"use the discomfort rule '{self.name}'"
        if not 0 <= self.slope <= 1.5:
            raise InputError(asked, f"its slope is {self.slope:g}", "give a slope from 0 to 1.5")
        if not 0 < self.u_db < np.inf or not np.isfinite(self.intercept_db):
            raise InputError(
                asked, "its spread is not above 0 dB, or its intercept not finite", "state both in decibels"
            )

    @property
    def phrase(self) -> str:
        """How a sum names it: the line in numbers."""
        line = f"{self.intercept_db:g} dB {self.scale}"
        return f"'{self.name}', {line}" + (
            f" + {self.slope:g} × threshold" if self.slope else " whatever the threshold"
        )


def discomfort_rule(name: str) -> DiscomfortRule:
    """Look the shipped rule up.

    A constant of 100 dB SPL, taken at the eardrum: the 50 % point of discomfort in normal and impaired ears was about
    100 dB SPL (Dirks & Kamm 1976). Only abstracts were read, and where those decibels were measured is not in them;
    that they hold at the eardrum is an assumption. The constant of about 100 dB HL that two other abstracts state is
    for normal hearing and is not used for ears with a loss. No published rule by threshold was found. People differ:
    the spread of 10 dB is engineering judgement. An output below the prediction is therefore not shown to be safe; this
    ear's own discomfort levels are always better.

    Parameters
    ----------
    name : str
        :data:`CONSTANT_RULE`.

    Returns
    -------
    DiscomfortRule
        The rule.

    Raises
    ------
    InputError
        For any other name.
    """
    if name != CONSTANT_RULE:
        raise InputError(
            f"predict discomfort levels by '{name}'",
            f"the only rule that umbo ships is '{CONSTANT_RULE}'",
            "name that one, or give a rule of your own with its source",
        )
    table = refdata.table("loudness_discomfort", source="dirks-kamm-1976")
    spread = refdata.table("loudness_discomfort", source="engineering-judgement")
    return DiscomfortRule(
        name=name,
        scale="SPL",
        slope=0.0,
        intercept_db=table.at("ldl_50_percent", "value"),
        u_db=spread.at("spread", "value"),
        source=f"Dirks & Kamm 1976, {table.brief('value')}; spread: engineering judgement",
    )


def predicted_discomfort(thresholds: Level, rule: DiscomfortRule) -> Level:
    r"""Predict discomfort levels from thresholds, labelled as predicted and with the spread of people.

    .. math:: L_{discomfort}(f) = a + b\,T(f), \quad u^2 = u_{rule}^2 + b^2 u_T^2

    Parameters
    ----------
    thresholds : Level
        On the dial for a rule in dB HL, at the eardrum for one in dB SPL.
    rule : DiscomfortRule
        Chosen by name, never by default.

    Returns
    -------
    Level
        At the same plane, on the same frequencies. Where the threshold is only a bound, or reaches the prediction, the
        point is withdrawn.

    Raises
    ------
    NotPossibleHereError
        If the thresholds are not where the rule wants them.
    """
    wanted = PlaneKind.DIAL if rule.scale == "HL" else PlaneKind.EARDRUM
    if thresholds.plane.kind is not wanted:
        raise NotPossibleHereError(
            f"predict discomfort levels by '{rule.name}'",
            f"the rule wants thresholds in dB {rule.scale}, and these are {thresholds.plane.phrase}",
            "carry the thresholds there first, or use another rule",
        )
    ear = thresholds.tags.ear
    predicted = rule.intercept_db + rule.slope * thresholds.level_db
    states = thresholds.states.marked(PointState.WITHDRAWN, thresholds.level_db >= predicted, _BELOW_THRESHOLD)
    spread = Component(
        id=f"predicted_discomfort:{ear}",
        label="this ear's discomfort level against the prediction",
        contribution_db=np.array([rule.u_db]),
        across="full",
        evaluation="B",
        source=rule.source,
    )
    inherited = thresholds.uncertainty.scaled(rule.slope).components if rule.slope else ()
    return Level.given(
        thresholds.grid,
        predicted,
        plane=thresholds.plane,
        tags=replace(thresholds.tags, quantity="predicted discomfort level", statistic=Statistic.LIMIT),
        source=f"predicted by {rule.phrase}; {rule.source}",
        components=(*inherited, spread),
        states=states,
    )


def eardrum_discomfort(
    frequency_hz: Sequence[float], level_db: Sequence[float], *, ear: Ear, no_response: Sequence[bool], source: str
) -> Level:
    """Discomfort levels that a probe measured at the eardrum: no conversion is needed.

    Parameters
    ----------
    frequency_hz, level_db : sequence of float (n,)
        Frequencies, ascending, and levels. [Hz], [dB SPL]
    ear : Ear
        Side.
    no_response : sequence of bool (n,)
        Where there was no discomfort at the level: that level is a bound and the point is withdrawn.
    source : str
        Where they come from.

    Returns
    -------
    Level
        At the eardrum. [dB SPL]

    Raises
    ------
    InputError
        If there is not one level and one mark per frequency, or the frequencies do not ascend.
    """
    grid, name = Grid.tones(list(frequency_hz)), "discomfort level"
    table = refdata.table("threshold_uncertainty", source="engineering-judgement")
    probe = Component(
        id=f"probe_at_eardrum:{ear}",
        label="probe against the eardrum",
        contribution_db=np.array([table.at("probe_at_eardrum", "value")]),
        across="full",
        evaluation="B",
        source=f"{table.text_at('probe_at_eardrum', 'note')} (engineering judgement)",
    )
    return Level.given(
        grid,
        list(level_db),
        plane=Plane.eardrum(),
        tags=Tags(quantity=name, ear=ear, stimulus=None, statistic=Statistic.LIMIT, coupling=None, source=None),
        source=source,
        components=[*threshold_components(name, ear, method=None, reliability=None, is_estimate=False), probe],
        states=States.ok(grid.size).marked(PointState.WITHDRAWN, list(no_response), NO_DISCOMFORT),
    )
