"""What has to be asked about the thresholds of two ears together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.core import Ear, Finding, Severity, Transducer
from umbo.ear._threshold_checks import check_value
from umbo.ear._threshold_methods import Masking

if TYPE_CHECKING:
    from collections.abc import Mapping

    from umbo.core import Level

__all__ = ["asymmetry_finding", "crossing_finding", "identical_field_finding"]


def _common(right: Level, left: Level) -> list[tuple[float, int, int]]:
    """Frequencies of both ears with their rows."""
    rows = {f: i for i, f in enumerate(left.frequency_hz.tolist())}
    return [(f, i, rows[f]) for i, f in enumerate(right.frequency_hz.tolist()) if f in rows]


def _at_least_db(one: Level, i: int, other: Level, j: int) -> float | None:
    """How far one threshold surely lies above another; None where the other is only a bound. [dB]"""
    return float(one.level_db[i] - other.level_db[j]) if other.states.at(j).is_usable else None


def asymmetry_finding(right: Level, left: Level) -> Finding | None:
    """Whether the ears differ by 15 dB or more at two frequencies (engineering judgement): a reason to refer.

    No response counts as at least the level that was tried; where the better ear gave no response, nothing is known.

    Parameters
    ----------
    right, left : Level
        Thresholds on the dial. [dB HL]

    Returns
    -------
    Finding or None
        A warning that names the worse ear and the frequencies.
    """
    least = check_value("asymmetry")
    for worse, better in ((right, left), (left, right)):
        apart = [(f, _at_least_db(worse, i, better, j)) for f, i, j in _common(worse, better)]
        found = [(f, db) for f, db in apart if db is not None and db >= least]
        if len(found) < 2:
            continue
        listed = ", ".join(f"{db:g} dB at {f:g} Hz" for f, db in found)
        text = f"The {worse.tags.ear} ear is worse by {listed}."
        action = "Refer an asymmetry that is not explained yet; check masking and that the ears are not exchanged."
        hz = [f for f, _ in found]
        return Finding(
            "asymmetric_thresholds", Severity.WARN, text, action, "engineering judgement, no source", min(hz), max(hz)
        )
    return None


def identical_field_finding(right: Level, left: Level, transducers: Mapping[Ear, Transducer]) -> Finding | None:
    """Whether two ears carry the same sound-field thresholds, as when one result was entered twice.

    Parameters
    ----------
    right, left : Level
        Thresholds on the dial. [dB HL]
    transducers : mapping of Ear to Transducer
        What each ear was tested with.

    Returns
    -------
    Finding or None
        A warning where both are from a sound field and equal at every common frequency.
    """
    common = _common(right, left)
    in_field = all(transducer is Transducer.SOUND_FIELD for transducer in transducers.values())
    if not common or not in_field or any(right.level_db[i] != left.level_db[j] for _, i, j in common):
        return None
    text = "Both ears carry the same sound-field thresholds: one result of the better ear, entered twice."
    action = "Assign it to no ear that was not tested by itself; test each ear by earphones."
    return Finding("identical_sound_field", Severity.WARN, text, action, "common practice, no source")


def crossing_finding(
    right: Level, left: Level, transducers: Mapping[Ear, Transducer], masking: Mapping[Ear, Mapping[float, Masking]]
) -> Finding | None:
    """Whether an unmasked threshold may be the other ear's: it lies far above that one.

    Parameters
    ----------
    right, left : Level
        Thresholds on the dial. [dB HL]
    transducers : mapping of Ear to Transducer
        What each ear was tested with.
    masking : mapping of Ear to mapping of float to Masking
        By frequency; empty where it is not stated, which counts as unmasked. [Hz]

    Returns
    -------
    Finding or None
        A warning from 40 dB on with supra-aural and circumaural, and from 55 dB on with insert earphones (common
        practice, from memory).
    """
    for worse, better in ((right, left), (left, right)):
        ear = worse.tags.ear
        if ear is None or transducers[ear] is Transducer.SOUND_FIELD:
            continue
        insert = transducers[ear] is Transducer.INSERT
        least = check_value("crossing_insert" if insert else "crossing_supra_aural")
        apart = [(f, _at_least_db(worse, i, better, j)) for f, i, j in _common(worse, better)]
        far = [f for f, db in apart if db is not None and db >= least]
        hz = [f for f in far if not masking[ear] or masking[ear].get(f) is Masking.UNMASKED]
        if not hz:
            continue
        stated = "unmasked" if masking[ear] else "without a word on masking"
        text = (
            f"At {', '.join(f'{f:g}' for f in hz)} Hz the {ear} ear lies {least:g} dB or more above the other one, "
            f"{stated}: the other ear may have heard it."
        )
        action = "Repeat with the other ear masked, and state masking."
        return Finding(
            "threshold_may_be_the_other_ears",
            Severity.WARN,
            text,
            action,
            "common practice, from memory",
            min(hz),
            max(hz),
        )
    return None
