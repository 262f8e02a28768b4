"""Findings: what was noticed, on what evidence, and what to do next."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Finding", "Severity"]


class Severity(StrEnum):
    """How much a finding weighs."""

    INFO = "info"
    WARN = "warn"
    STOP = "stop"

    @property
    def rank(self) -> int:
        """0 for info, 1 for warn, 2 for stop."""
        return list(Severity).index(self)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a person should know about a measurement or a fitting.

    Parameters
    ----------
    code : str
        Stable identifier in snake_case.
    severity : Severity
        ``info`` informs, ``warn`` limits what can be said, ``stop`` forbids a verdict that rests on it.
    text : str
        One sentence with the evidence in numbers.
    action : str
        What to do next, as an instruction.
    source : str
        The rule's source, or "common practice, no source".
    from_hz, to_hz : float or None
        Frequencies concerned. [Hz]
    """

    code: str
    severity: Severity
    text: str
    action: str
    source: str
    from_hz: float | None = None
    to_hz: float | None = None
