"""What a recording's own checks notice, as findings with a next action."""

from __future__ import annotations

from dataclasses import dataclass

from umbo.calibration import Recording
from umbo.core import Finding, Severity
from umbo.dsp import (
    TakeCheck,
    check_clipping,
    check_clock,
    check_dropouts,
    check_level_drift,
    check_offset,
    check_outliers,
    check_repeats_agree,
    split_repeats,
)

__all__ = ["Noticed", "recording_findings"]

#: Weight and next action of each check, by its code.
_ANSWERS = {
    "clipping": (Severity.STOP, "Lower the input gain and measure again."),
    "dropout": (Severity.STOP, "Measure again; close other programs that use the sound card."),
    "offset": (Severity.INFO, "Nothing to do for a band level; have the microphone amplifier looked at."),
    "disagreement": (Severity.WARN, "Wait until it is quiet and nothing moves, then measure again."),
    "drift": (Severity.WARN, "Check that tip and tube sit still, then measure again."),
    "outlier": (Severity.WARN, "Wait until it is quiet, then measure again."),
    "clock": (Severity.WARN, "Play and record with one sound card, or with both at the same clock."),
}

_FEWEST_TO_COMPARE = 2


@dataclass(frozen=True, slots=True)
class Noticed:
    """What the checks of one recording found.

    Parameters
    ----------
    clipped : bool
        Whether it reaches its ceiling: then no point of it may be believed.
    findings : tuple of Finding
        Everything that was noticed.
    """

    clipped: bool
    findings: tuple[Finding, ...]


def recording_findings(recording: Recording, stimulus: Recording, *, repeats: int) -> Noticed:
    """Run every check that fits a repeated recording.

    Parameters
    ----------
    recording : Recording
        ``repeats`` back-to-back periods of the stimulus.
    stimulus : Recording
        One period as it was played.
    repeats : int
        Number of periods. [1]

    Raises
    ------
    RecordingError
        If the recording is not that long.
    """
    samples, rate = recording.samples_fs, recording.sampling_rate_hz
    periods = split_repeats(samples, stimulus.samples_fs.size, repeats)
    checks = [check_clipping(samples, rate), check_dropouts(samples, rate), check_offset(samples)]
    if repeats >= _FEWEST_TO_COMPARE:
        checks += [
            check_repeats_agree(periods),
            check_level_drift(periods),
            check_outliers(periods, rate),
            check_clock(periods, rate),
        ]
    findings = tuple(_finding(check, recording.name) for check in checks if check.found)
    return Noticed(any(finding.code == "clipping" for finding in findings), findings)


def _finding(check: TakeCheck, name: str) -> Finding:
    severity, action = _ANSWERS[check.code]
    text = f"Recording '{name}': {check.text}."
    return Finding(check.code, severity, text, action, "check of the recording itself")
