"""From curves and findings to plain records."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from umbo.core import Curve, Difference, Finding, Level, Transfer, lies_within
from umbo.record._curves import CurveRecord, ExplainLine, FindingRecord
from umbo.record._plain import HZ_DECIMALS, rounded, state_words

__all__ = ["curve_fields", "curve_record", "explain_lines", "finding_records"]

#: Frequency at which a sum is printed in full, where the curve has it. [Hz]
_EXPLAIN_HZ = (4000.0, 2000.0, 1000.0)


def finding_records(findings: Iterable[Finding]) -> list[FindingRecord]:
    """Findings as records, worst first."""
    ordered = sorted(findings, key=lambda f: -f.severity.rank)
    return [
        FindingRecord(
            code=f.code,
            severity=f.severity.value,
            from_hz=f.from_hz,
            to_hz=f.to_hz,
            text=f.text,
            action=f.action,
            source=f.source,
        )
        for f in ordered
    ]


def _plane(curve: Curve) -> str:
    if isinstance(curve, Transfer):
        return f"{curve.start} to {curve.end}"
    if isinstance(curve, Level | Difference):
        return str(curve.plane)
    return ""


def curve_fields(curve: Curve) -> dict[str, Any]:
    """Fields of a curve record."""
    return {
        "quantity": curve.tags.quantity,
        "plane": _plane(curve),
        "unit": curve.unit,
        "bandwidth": str(curve.grid.bandwidth),
        "frequency_hz": rounded(curve.frequency_hz, HZ_DECIMALS),
        "level_db": rounded(curve.level_db),
        "u_db": rounded(curve.u_db),
        "state": state_words(curve),
    }


def curve_record(curve: Curve) -> CurveRecord:
    """A curve as a record."""
    return CurveRecord(**curve_fields(curve))


def explain_lines(curve: Curve) -> tuple[float | None, list[ExplainLine]]:
    """The sum behind one point of a curve, at the first of 4, 2 and 1 kHz it has."""
    for hz in _EXPLAIN_HZ:
        if lies_within(hz, *curve.frequency_hz[[0, -1]]):
            nearest = float(curve.frequency_hz[int(np.argmin(np.abs(np.log(curve.frequency_hz / hz))))])
            lines = [
                ExplainLine(
                    depth=t.depth,
                    sign=t.sign,
                    label=t.label,
                    level_db=round(t.level_db, 2),
                    unit=t.unit,
                    source=t.source,
                )
                for t in curve.terms(nearest)
            ]
            return round(nearest, HZ_DECIMALS), lines
    return None, []
