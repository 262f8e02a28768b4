"""Sizes of the rules for two ears and two visits, from their table."""

from __future__ import annotations

from umbo import refdata

__all__ = ["RULE_SOURCE", "rule"]

#: How findings of these rules name their source.
RULE_SOURCE = "engineering judgement, no source"


def rule(item: str) -> float:
    """One size out of the table of engineering judgements, in the unit of its row."""
    return refdata.table("fit_tolerances", source="engineering-judgement").at(item, "value")
