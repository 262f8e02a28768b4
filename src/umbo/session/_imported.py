"""Targets imported with a case, as levels at the eardrum."""

from __future__ import annotations

import numpy as np

from umbo.core import Finding, Severity
from umbo.ear import UNAIDED_SOURCE, unaided_gain
from umbo.errors import UmboError
from umbo.prescription import Method, Target, imported_gain_target, imported_target
from umbo.session._plan import EarPlan, TargetSet

__all__ = ["imported_of", "imported_targets"]


def imported_of(entry: TargetSet, ear: EarPlan, age_months: float | None) -> Target:
    """Make one imported target a level at the eardrum.

    Parameters
    ----------
    entry : TargetSet
        As imported.
    ear : EarPlan
        Which ear.
    age_months : float or None
        The client's age: an insertion gain needs this ear's unaided gain. [month]

    Raises
    ------
    UmboError
        If an insertion gain is for a child, or where no unaided gain or speech is known at its frequencies.
    """
    method = Method(entry.method, entry.version, entry.options)
    if entry.kind != "insertion_gain" or entry.level_db_spl is None:
        level = entry.level_db_spl if entry.kind == "speech" else None
        return imported_target(entry.frequency_hz, entry.level_db, method=method, ear=ear.ear, input_db_spl=level)
    hz = np.asarray(entry.frequency_hz)
    return imported_gain_target(
        entry.frequency_hz,
        entry.level_db,
        method=method,
        ear=ear.ear,
        input_db_spl=entry.level_db_spl,
        reug=unaided_gain(hz, age_months, ear=ear.ear, field="free", source=UNAIDED_SOURCE),
        age_months=age_months,
    )


def imported_targets(ear: EarPlan, age_months: float | None) -> tuple[tuple[Target, ...], tuple[Finding, ...]]:
    """Every imported target of an ear, and a finding for each that cannot be used.

    Parameters
    ----------
    ear : EarPlan
        With its imported targets.
    age_months : float or None
        The client's age. [month]
    """
    targets, refused = [], []
    for entry in ear.targets:
        try:
            targets.append(imported_of(entry, ear, age_months))
        except UmboError as error:
            text = f"The imported target '{entry.name}' is not used: {error.disagrees}."
            action = f"{error.do[0].upper()}{error.do[1:]}."
            source = "Keefe et al. 1994; Dempster & Mackenzie 1990"
            refused.append(Finding("imported_target_not_used", Severity.WARN, text, action, source))
    return tuple(targets), tuple(refused)
