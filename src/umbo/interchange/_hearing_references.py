"""Checks between the tables of a case that describe hearing: named sets and rules are there and fit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.ear import CONSTANT_RULE, correction_names
from umbo.interchange._fields import Key, RefusedError
from umbo.interchange._hearing_plan import correction_of
from umbo.interchange._wording import listed, plain, shown

if TYPE_CHECKING:
    from collections.abc import Collection

    from umbo.interchange._ear_tables import EarTable
    from umbo.interchange._hearing_tables import ThresholdsTable
    from umbo.interchange._model import CaseTable

__all__ = ["check_hearing"]


def check_hearing(case: CaseTable) -> None:
    """Refuse thresholds whose correction, and ears whose prediction of discomfort, leads nowhere.

    Parameters
    ----------
    case : CaseTable
        A case whose tables are right one by one.

    Raises
    ------
    RefusedError
        At the first name that neither the case nor umbo knows, or frequency a correction lacks.
    """
    for ear, entry in case.ear.entries().items():
        if entry.thresholds is not None and entry.thresholds.correction is not None:
            _check_correction(entry.thresholds, entry.thresholds.correction, case, ("ear", str(ear), "thresholds"))
        if entry.fitting.discomfort_prediction is not None:
            _check_prediction(
                entry.fitting.discomfort_prediction, entry, case, ("ear", str(ear), "fitting", "discomfort_prediction")
            )


def _check_correction(thresholds: ThresholdsTable, name: str, case: CaseTable, at: Key) -> None:
    _require((*at, "correction"), name, case.corrections, correction_names(), "corrections")
    table = correction_of(name, case.corrections)
    for frequency_hz in thresholds.frequency_hz:
        if frequency_hz in table.frequency_hz:
            continue
        lacks = f"has no value at {frequency_hz:g} Hz, where there is a threshold"
        if name in case.corrections:
            raise RefusedError(lacks, "add that frequency to the correction", ("corrections", name, "frequency_hz"))
        raise RefusedError(
            f"is {shown(name)}, which {lacks}",
            "leave that threshold out, or name a set that has it",
            (*at, "correction"),
        )


def _check_prediction(name: str, entry: EarTable, case: CaseTable, at: Key) -> None:
    _require(at, name, case.discomfort_rules, (CONSTANT_RULE,), "discomfort_rules")
    if entry.thresholds is None:
        raise RefusedError(
            f"is {shown(name)}, but the ear has no thresholds to predict from",
            "add its thresholds, or leave it out",
            at,
        )


def _require(at: Key, name: str, own: Collection[str], shipped: Collection[str], what: str) -> None:
    if name in own or name in shipped:
        return
    raise RefusedError(
        f"is {shown(name)}, but the case has no [{what}.{plain(name)}] and umbo ships none of that name "
        f"(it ships: {listed(list(shipped))})",
        "add that table, or name one that is there",
        at,
    )
