"""From the tables of a case to thresholds, discomfort levels and their rules in the plan of a session."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.core import Coupling
from umbo.ear import CorrectionSet, DiscomfortRule, Masking, correction_set, discomfort_rule
from umbo.session import ThresholdSet

if TYPE_CHECKING:
    from collections.abc import Mapping

    from umbo.interchange._hearing_tables import (
        CorrectionTable,
        DiscomfortRuleTable,
        DiscomfortTable,
        ThresholdsTable,
    )

__all__ = ["correction_of", "discomfort_set", "prediction_rule", "threshold_set"]


def threshold_set(table: ThresholdsTable | None, corrections: Mapping[str, CorrectionTable]) -> ThresholdSet | None:
    """Thresholds of a plan.

    Parameters
    ----------
    table : ThresholdsTable or None
        As entered.
    corrections : mapping of str to CorrectionTable
        Sets the case brings along; they come before those that umbo ships.
    """
    if table is None:
        return None
    return ThresholdSet(
        scale=table.scale,
        transducer=table.transducer,
        coupler=table.coupler,
        coupling=None if table.coupling is None else Coupling(table.coupling),
        frequency_hz=table.frequency_hz,
        level_db=table.level_db,
        no_response=table.no_response or (False,) * len(table.frequency_hz),
        correction=None if table.correction is None else correction_of(table.correction, corrections),
        corrected_by_recorder=table.corrected_by_recorder,
        method=table.method,
        reliability=table.reliability,
        masking=_masking(table),
        highest_level_db=table.highest_level_db,
        redd_db=table.redd_db,
        fill_in_hz=table.fill_in_hz or (),
    )


def _masking(table: ThresholdsTable) -> tuple[Masking, ...]:
    if table.masking is None:
        return ()
    if isinstance(table.masking, str):
        return (Masking(table.masking),) * len(table.frequency_hz)
    return tuple(Masking.MASKED if flag else Masking.UNMASKED for flag in table.masking)


def discomfort_set(table: DiscomfortTable | None) -> ThresholdSet | None:
    """Discomfort levels of a plan.

    Parameters
    ----------
    table : DiscomfortTable or None
        As entered.
    """
    if table is None:
        return None
    return ThresholdSet(
        scale=table.scale,
        transducer=table.transducer,
        coupler=table.coupler,
        coupling=None if table.coupling is None else Coupling(table.coupling),
        frequency_hz=table.frequency_hz,
        level_db=table.level_db,
        no_response=table.no_response or (False,) * len(table.frequency_hz),
        redd_db=table.redd_db,
    )


def correction_of(name: str, corrections: Mapping[str, CorrectionTable]) -> CorrectionSet:
    """Look a correction set up: the case's own first, then those that umbo ships.

    Parameters
    ----------
    name : str
        As the case names it.
    corrections : mapping of str to CorrectionTable
        Sets the case brings along.

    Raises
    ------
    InputError
        If neither knows the name.
    """
    table = corrections.get(name)
    if table is None:
        return correction_set(name)
    if table.level_db is not None:
        return CorrectionSet.fixed(
            table.frequency_hz,
            table.level_db,
            name=name,
            version=table.version,
            made_for=table.method,
            source=table.source,
        )
    return CorrectionSet(
        name=name,
        version=table.version,
        made_for=table.method,
        frequency_hz=table.frequency_hz,
        slope=table.slope or (),
        intercept_db=table.intercept_db or (),
        source=table.source,
    )


def prediction_rule(name: str | None, rules: Mapping[str, DiscomfortRuleTable]) -> DiscomfortRule | None:
    """Look a rule that predicts discomfort levels up: the case's own first, then the one that umbo ships.

    Parameters
    ----------
    name : str or None
        As the case names it; None where none was chosen.
    rules : mapping of str to DiscomfortRuleTable
        Rules the case brings along.

    Raises
    ------
    InputError
        If neither knows the name.
    """
    if name is None:
        return None
    table = rules.get(name)
    if table is None:
        return discomfort_rule(name)
    return DiscomfortRule(
        name=name,
        scale=table.scale,
        slope=table.slope,
        intercept_db=table.intercept_db,
        u_db=table.u_db,
        source=table.source,
    )
