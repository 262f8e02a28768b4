"""What has to be asked about entered thresholds of one ear."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import Finding, Severity, Transducer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from umbo.core import Ear, FloatArray, Level

__all__ = [
    "at_limit_finding",
    "below_map_finding",
    "method_findings",
    "recorder_finding",
    "start_finding",
    "two_references_finding",
]

_JUDGEMENT = "engineering judgement, no source"

#: Where the two insert-earphone references of the ear simulator meet. [Hz]
_CONVENTIONAL_TO_HZ = 8000.0


def check_value(item: str) -> float:
    """Where a check begins: a row of the table ``threshold_checks``. [the row's unit]"""
    return refdata.table("threshold_checks", source="engineering-judgement").at(item, "value")


def start_finding(frequency_hz: Sequence[float]) -> Finding | None:
    """Whether there is at least one low and one high frequency to start with.

    A frequency that was tested without response counts: it was tested.

    Parameters
    ----------
    frequency_hz : sequence of float (n,)
        Frequencies that were tested, ascending. [Hz]

    Returns
    -------
    Finding or None
        A warning, or None where both are there.
    """
    hz = frequency_hz
    low, high = check_value("start_low_max"), check_value("start_high_min")
    missing = [
        f"none {side} {edge:g} Hz" for side, edge, there in
        (("up to", low, hz[0] <= low), ("from", high, hz[-1] >= high)) if not there
    ]  # fmt: skip
    if not missing:
        return None
    text = f"There are thresholds at {_list(hz)}, but {' and '.join(missing)}: too few to start from."
    action = (
        "Measure at least one low and one high frequency in each ear; fill in between only with the mark that says so."
    )
    return Finding("audiogram_incomplete", Severity.WARN, text, action, _JUDGEMENT)


def at_limit_finding(
    frequency_hz: Sequence[float],
    level_db: Sequence[float],
    no_response: Sequence[bool],
    *,
    is_earphone_hl: bool,
    highest_level_db: Sequence[float] | None,
) -> Finding | None:
    """Whether a threshold equals the highest level of the audiometer: a missing answer may have been stored as one.

    Parameters
    ----------
    frequency_hz, level_db : sequence of float (n,)
        Frequencies, and thresholds as they were entered. [Hz], [dB in their scale]
    no_response : sequence of bool (n,)
        Points already known to be bounds; they are not asked about.
    is_earphone_hl : bool
        Whether they are dB HL by an earphone: for a sound field and for evoked responses there is no usual limit.
    highest_level_db : sequence of float (n,) or None
        The equipment's own highest levels; None for the usual ones of earphones. [dB in their scale]

    Returns
    -------
    Finding or None
        A warning that names the frequencies.
    """
    if highest_level_db is not None:
        limit = dict(zip(frequency_hz, highest_level_db, strict=True))
        whose, source = "the highest level of this equipment", "highest levels as declared"
    elif is_earphone_hl:
        table = refdata.table("audiometer_limit", source="iec-60645-1-undated")
        hz, levels = table.series("highest_level_db_hl")
        limit = dict(zip(hz.tolist(), levels.tolist(), strict=True))
        whose = "the highest level an audiometer usually has"
        source = f"IEC 60645-1 ({table.info('highest_level_db_hl').status})"
    else:
        return None
    points = zip(frequency_hz, level_db, no_response, strict=True)
    found = [f for f, db, silent in points if not silent and limit.get(f) == db]
    if not found:
        return None
    text = f"At {_list(found)} the threshold equals {whose}: was there a response?"
    action = "Set no_response = true where there was none: a bound is not a threshold."
    return Finding("threshold_at_limit", Severity.WARN, text, action, source, min(found), max(found))


def below_map_finding(at_eardrum: Level) -> Finding | None:
    """Whether a threshold at the eardrum lies so far below the minimum audible pressure that its reference is wrong.

    Parameters
    ----------
    at_eardrum : Level
        Thresholds at the eardrum. [dB SPL]

    Returns
    -------
    Finding or None
        A warning that names the frequencies; bounds, and frequencies beyond the table, are not asked about.

    References
    ----------
    Minimum audible pressure by the method of Bentler & Pavlovic 1989 (table ``map_eardrum``); the margin of 10 dB is
    engineering judgement.
    """
    table = refdata.table("map_eardrum", source="bentler-pavlovic-1989")
    read = refdata.interpolate(table, "map_eardrum_db_spl", at_eardrum.frequency_hz)
    lowest = np.asarray(read.values.filled(-np.inf)) - check_value("below_map")
    found = at_eardrum.frequency_hz[at_eardrum.states.is_usable & (at_eardrum.level_db < lowest)]
    if not found.size:
        return None
    margin = check_value("below_map")
    text = (
        f"At {_list(found)} the threshold at the eardrum lies more than {margin:g} dB below the minimum audible "
        "pressure: nobody hears that."
    )
    action = "Check the transducer, its coupler and the scale of the thresholds."
    source = "Bentler & Pavlovic 1989 (1 source); margin: engineering judgement"
    return Finding("threshold_below_audibility", Severity.WARN, text, action, source, float(found[0]), float(found[-1]))


def method_findings(ear: Ear, transducer: Transducer, *, is_minimum_response: bool) -> tuple[Finding, ...]:
    """What the way of testing means for the numbers of one ear.

    Parameters
    ----------
    ear : Ear
        Side the thresholds were assigned to.
    transducer : Transducer
        What they were taken with.
    is_minimum_response : bool
        Whether they come from visual reinforcement.

    Returns
    -------
    tuple of Finding
        None, one or two.
    """
    found = []
    if transducer is Transducer.SOUND_FIELD:
        text = (
            f"The thresholds were taken in a sound field and are assigned to the {ear} ear: they are the better ear's."
        )
        action = "Test each ear by earphones as soon as it can be done; do not take the other ear to be the same."
        found.append(Finding("sound_field_better_ear", Severity.WARN, text, action, "common practice, no source"))
    if is_minimum_response:
        text = "Visual reinforcement gives minimum response levels: the thresholds may be better."
        action = "Read them as minimum response levels; repeat with play audiometry when the child is old enough."
        found.append(Finding("minimum_response_levels", Severity.INFO, text, action, "common practice, no source"))
    return tuple(found)


def recorder_finding(*, corrected_by_recorder: bool | None) -> Finding | None:
    """Whether it was said that the recorder had not corrected its nHL values.

    Parameters
    ----------
    corrected_by_recorder : bool or None
        As declared; None where it was not.

    Returns
    -------
    Finding or None
        A note where it was not said.
    """
    if corrected_by_recorder is not None:
        return None
    text = "It is not stated whether the recorder had corrected its nHL values already; the numbers cannot tell."
    action = "Look into the recorder's settings and state corrected_by_recorder; if it had, declare the scale eHL."
    return Finding("recorder_correction_not_stated", Severity.INFO, text, action, "common practice, no source")


def two_references_finding(frequency_hz: Sequence[float]) -> Finding | None:
    """Whether insert thresholds reach over the two earphones the ear-simulator references belong to.

    Parameters
    ----------
    frequency_hz : sequence of float (n,)
        Frequencies, ascending, of thresholds referred to the occluded-ear simulator. [Hz]

    Returns
    -------
    Finding or None
        A note where they stand on both sides of 8 kHz.
    """
    if not (frequency_hz[0] <= _CONVENTIONAL_TO_HZ < frequency_hz[-1]):
        return None
    at = (("iso-389-5-2006", "er2_oes_db_spl"), ("iso-389-2-1994", "er3a_oes_db_spl"))
    high, low = (refdata.table("retspl_insert", source=s).at(_CONVENTIONAL_TO_HZ, column) for s, column in at)
    text = (
        "Thresholds above 8 kHz are referred to an earphone for extended high frequencies, those up to 8 kHz to the "
        f"conventional one; at 8 kHz their references differ by {high - low:g} dB."
    )
    action = "If one earphone took both, expect a step of that size at 8 kHz."
    return Finding("two_insert_references", Severity.INFO, text, action, "ISO 389-2:1994, ISO 389-5:2006 (2 sources)")


def _list(frequency_hz: Sequence[float] | FloatArray) -> str:
    return ", ".join(f"{f:g}" for f in frequency_hz) + " Hz"
