"""What a recording's own checks notice, as findings."""

from __future__ import annotations

from dataclasses import dataclass

from umbo import dsp
from umbo.calibration import Recording
from umbo.core import Finding, Severity

__all__ = ["Noticed", "recording_findings"]


@dataclass(frozen=True, slots=True)
class Noticed:
    """What the checks of one recording found.

    Parameters
    ----------
    clipped : bool
        Whether it reaches full scale: then no point of it may be believed.
    findings : tuple of Finding
        Everything that was noticed.
    """

    clipped: bool
    findings: tuple[Finding, ...]


def recording_findings(recording: Recording, stimulus: Recording, *, repeats: int) -> Noticed:
    """Check a recording."""
    return Noticed(False, ())
