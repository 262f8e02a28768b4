"""What has to be asked about thresholds as a plan states them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from umbo.core import CouplerKind, Ear, Finding, Level, Statistic, Transducer
from umbo.ear import (
    ThresholdMethod,
    asymmetry_finding,
    at_limit_finding,
    below_map_finding,
    correction_finding,
    crossing_finding,
    estimate_findings,
    identical_field_finding,
    method_findings,
    recorder_finding,
    start_finding,
    two_references_finding,
)
from umbo.session._plan import EarPlan, ThresholdSet

if TYPE_CHECKING:
    from umbo.session._hearing import Hearing

__all__ = ["at_eardrum_findings", "between_ears", "entered_findings"]


def entered_findings(
    entry: ThresholdSet, ear: Ear, ehl_db: Sequence[float], statistic: Statistic
) -> tuple[Finding, ...]:
    """What has to be asked before thresholds go anywhere.

    Parameters
    ----------
    entry : ThresholdSet
        As entered.
    ear : Ear
        Side.
    ehl_db : sequence of float (n,)
        Levels on the dial, estimated where they were. [dB HL]
    statistic : Statistic
        ``THRESHOLD`` or ``LIMIT``; discomfort levels are not asked about how complete they are.

    Returns
    -------
    tuple of Finding
        In the order of entering.
    """
    found: list[Finding | None] = []
    if entry.scale == "nHL" and entry.correction is not None:
        found += [
            recorder_finding(corrected_by_recorder=entry.corrected_by_recorder),
            correction_finding(entry.correction, entry.method),
        ]
    if entry.scale in ("nHL", "eHL"):
        recorded = entry.level_db if entry.scale == "nHL" else None
        follows = entry.correction is not None and entry.correction.is_level_dependent
        found += estimate_findings(entry.frequency_hz, recorded, ehl_db, is_level_dependent=follows)
    if statistic is Statistic.THRESHOLD and entry.transducer is not None:
        in_field = entry.transducer is Transducer.SOUND_FIELD
        found += [
            start_finding(entry.frequency_hz),
            at_limit_finding(
                entry.frequency_hz,
                entry.level_db,
                entry.no_response,
                is_earphone_hl=entry.scale == "HL" and not in_field,
                highest_level_db=entry.highest_level_db,
            ),
            *method_findings(ear, entry.transducer, is_minimum_response=entry.method is ThresholdMethod.VRA),
        ]
    return tuple(finding for finding in found if finding is not None)


def at_eardrum_findings(at_eardrum: Level, entry: ThresholdSet, statistic: Statistic) -> tuple[Finding, ...]:
    """What has to be asked about thresholds once they are at the eardrum.

    Parameters
    ----------
    at_eardrum : Level
        Carried there. [dB SPL]
    entry : ThresholdSet
        As entered.
    statistic : Statistic
        ``THRESHOLD`` or ``LIMIT``.

    Returns
    -------
    tuple of Finding
        None, one or two.
    """
    found = []
    if statistic is Statistic.THRESHOLD:
        found.append(below_map_finding(at_eardrum))
    if entry.transducer is Transducer.INSERT and entry.coupler is CouplerKind.OES:
        found.append(two_references_finding(entry.frequency_hz))
    return tuple(finding for finding in found if finding is not None)


def between_ears(ears: Mapping[Ear, EarPlan], hearing: Mapping[Ear, Hearing | None]) -> tuple[Finding, ...]:
    """What has to be asked about two ears together.

    Parameters
    ----------
    ears : mapping of Ear to EarPlan
        As declared.
    hearing : mapping of Ear to Hearing or None
        Thresholds of each ear.

    Returns
    -------
    tuple of Finding
        Asymmetry, sound-field thresholds entered twice, thresholds that may be the other ear's.
    """
    right, left = hearing.get(Ear.RIGHT), hearing.get(Ear.LEFT)
    entries = {side: ear.thresholds for side, ear in ears.items() if ear.thresholds is not None}
    if right is None or left is None or len(entries) < len(Ear):
        return ()
    transducers = {side: entry.transducer or Transducer.INSERT for side, entry in entries.items()}
    masking = {side: dict(zip(e.frequency_hz, e.masking, strict=bool(e.masking))) for side, e in entries.items()}
    found = (
        identical_field_finding(right.entered, left.entered, transducers),
        asymmetry_finding(right.entered, left.entered),
        crossing_finding(right.entered, left.entered, transducers, masking),
    )
    return tuple(finding for finding in found if finding is not None)
