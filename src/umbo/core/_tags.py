"""Tags: what a curve must agree on before it may be combined with another."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from umbo.errors import CouplingMismatchError, EarMismatchError, StatisticMismatchError, StimulusMismatchError

__all__ = ["Coupling", "Ear", "Source", "Statistic", "Tags"]


class Ear(StrEnum):
    """Side of the head."""

    RIGHT = "right"
    LEFT = "left"


class Coupling(StrEnum):
    """What joins the sound source to the ear or coupler."""

    FOAM_TIP = "foam_tip"
    MOULD = "mould"
    DOME = "dome"


class Source(StrEnum):
    """What made the sound that was measured."""

    INSERT = "insert"
    AID = "aid"


class Statistic(StrEnum):
    """What a level states about a signal that varies in time."""

    RMS = "rms"
    P30 = "p30"
    P65 = "p65"
    P99 = "p99"
    THRESHOLD = "threshold"
    LIMIT = "limit"
    TARGET = "target"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tags:
    """What was measured, apart from where and at which frequencies.

    There are no defaults: ``None`` says "does not depend on it" and has to be written.

    Parameters
    ----------
    quantity : str
        What the curve is, in the field's words: "sweep response", "RECD", "RETSPL", "threshold".
    ear : Ear or None
        Side; none for a coupler or table value that serves either ear.
    stimulus : str or None
        What excited the system, with its level where that matters; none for a value that does not depend on
        it.
    statistic : Statistic or None
        What of a varying signal; none for a transfer.
    coupling : Coupling or None
        What joined source and load; none where that has no influence.
    source : Source or None
        What made the sound; none where that has no influence.
    """

    quantity: str
    ear: Ear | None
    stimulus: str | None
    statistic: Statistic | None
    coupling: Coupling | None
    source: Source | None


def merged_ear(asked: str, one: Tags, other: Tags) -> Ear | None:
    """Side of a combination; two different sides are refused."""
    if one.ear is not None and other.ear is not None and one.ear != other.ear:
        raise EarMismatchError(
            asked,
            f"the {one.quantity} belongs to the {one.ear} ear and the {other.quantity} to the {other.ear} ear",
            "take both from the same ear",
        )
    return one.ear if one.ear is not None else other.ear


def merged_coupling(asked: str, one: Tags, other: Tags) -> Coupling | None:
    """Coupling of a combination; two different couplings are refused."""
    if one.coupling is not None and other.coupling is not None and one.coupling != other.coupling:
        mine, theirs = one.coupling.replace("_", " "), other.coupling.replace("_", " ")
        raise CouplingMismatchError(
            asked,
            f"the {one.quantity} was taken with a {mine} and the {other.quantity} with a {theirs}",
            "measure both with one coupling, or add a named coupling correction",
        )
    return one.coupling if one.coupling is not None else other.coupling


def merged_stimulus(one: Tags, other: Tags) -> str | None:
    """Stimulus of two sounds together: both names, in alphabetical order."""
    return " and ".join(sorted({name for name in (one.stimulus, other.stimulus) if name})) or None


def require_same_take(asked: str, one: Tags, other: Tags) -> None:
    """Refuse a difference of levels that were not excited and evaluated alike."""
    if one.stimulus != other.stimulus:
        raise StimulusMismatchError(
            asked,
            f"the {one.quantity} was taken with {_say(one.stimulus, 'stimulus')} and the {other.quantity} "
            f"with {_say(other.stimulus, 'stimulus')}",
            "use the same stimulus on both sides",
        )
    if one.statistic != other.statistic:
        raise StatisticMismatchError(
            asked,
            f"the {one.quantity} has {_say(one.statistic, 'statistic')} and the {other.quantity} has "
            f"{_say(other.statistic, 'statistic')}",
            "compare the same statistic",
        )
    if one.source != other.source:
        raise StimulusMismatchError(
            asked,
            f"the {one.quantity} was excited by {_say(one.source, 'source')} and the {other.quantity} by "
            f"{_say(other.source, 'source')}",
            "use the same sound source on both sides",
        )


def require_rms(asked: str, one: Tags, other: Tags) -> None:
    """Refuse to add powers of anything but rms levels."""
    for tags in (one, other):
        if tags.statistic is not Statistic.RMS:
            raise StatisticMismatchError(
                asked,
                f"powers add for rms levels only, and the {tags.quantity} has {_say(tags.statistic, 'statistic')}",
                "use the rms level of each sound",
            )


def _say(value: str | None, what: str) -> str:
    return f"no stated {what}" if value is None else f"the {what} '{value}'"
