"""What one RECD's shape says about the ear reading holds for every RECD made with that reading."""

from __future__ import annotations

from collections.abc import Sequence

from umbo.core import Finding, PointState, Severity, Transfer

__all__ = ["of_the_ear", "with_doubts"]

#: Findings whose cause lies in the ear half, so that another coupler's curve cannot clear them.
_EAR_CODES = ("blocked_probe", "leak", "middle_ear_space", "falling_high_frequencies")

#: State of the points a finding speaks of, and why: what a leak or a shallow probe did cannot be undone here.
_STATES = {
    "leak": (PointState.WITHDRAWN, "sound leaked past the tip when the ear was measured"),
    "coupler_leak": (PointState.WITHDRAWN, "the coupler leaked when it was measured"),
    "falling_high_frequencies": (PointState.STANDING_WAVE, "the probe tip was too shallow when the ear was measured"),
}


def of_the_ear(shapes: Sequence[Sequence[Finding]]) -> tuple[Finding, ...]:
    """Findings about the ear half, once each, from the shapes of all RECDs of the same insertions.

    Parameters
    ----------
    shapes : sequence of sequence of Finding
        Shape findings, one sequence for each coupler; for each code the heaviest finding is kept.
    """
    kept: dict[str, Finding] = {}
    for finding in (finding for shape in shapes for finding in shape):
        known = kept.get(finding.code)
        if finding.code in _EAR_CODES and (known is None or finding.severity.rank > known.severity.rank):
            kept[finding.code] = finding
    return tuple(kept.values())


def with_doubts(curve: Transfer, findings: Sequence[Finding]) -> Transfer:
    """Mark the points that findings speak of: withdrawn by a leak, standing wave by a shallow probe.

    Parameters
    ----------
    curve : Transfer
        RECD.
    findings : sequence of Finding
        What was noticed about it.
    """
    for finding in findings:
        if finding.code not in _STATES or finding.severity is Severity.INFO:
            continue
        state, reason = _STATES[finding.code]
        low, high = finding.from_hz or 0.0, finding.to_hz or float("inf")
        high = float("inf") if state is PointState.STANDING_WAVE else high
        where = (curve.frequency_hz >= low) & (curve.frequency_hz <= high)
        curve = curve.marked(state, where, reason)
    return curve
