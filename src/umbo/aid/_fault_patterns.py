"""What several failures together point to: rules as data."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from umbo.aid._measure import Item
from umbo.core import Outcome

__all__ = ["FAULT_PATTERNS", "FaultPattern", "LikelyReason", "Sign", "likely_reasons"]


class Sign(StrEnum):
    """How an item came out."""

    LOW = "low"
    HIGH = "high"
    NORMAL = "normal"


class _Group(StrEnum):
    """Items that say the same of an aid."""

    OUTPUT = "output"
    GAIN = "gain"
    DISTORTION = "distortion"
    NOISE = "noise"
    CURRENT = "current"


_GROUP_OF = {
    Item.HFA_OSPL90: _Group.OUTPUT,
    Item.SPA_OSPL90: _Group.OUTPUT,
    Item.HFA_FULL_ON_GAIN: _Group.GAIN,
    Item.SPA_FULL_ON_GAIN: _Group.GAIN,
    Item.DISTORTION: _Group.DISTORTION,
    Item.INPUT_NOISE: _Group.NOISE,
    Item.BATTERY_CURRENT: _Group.CURRENT,
}


@dataclass(frozen=True, slots=True)
class FaultPattern:
    """One rule: these signs together, then this reason.

    Parameters
    ----------
    code : str
        Stable identifier.
    signs : tuple of (str, Sign)
        What has to be so, by group of items: output, gain, distortion, noise, current.
    reason, action : str
        What is likely, and what to do.
    source : str
        Where the rule comes from.
    """

    code: str
    signs: tuple[tuple[str, Sign], ...]
    reason: str
    action: str
    source: str


@dataclass(frozen=True, slots=True)
class LikelyReason:
    """What the failures of an aid have in common.

    Parameters
    ----------
    code : str
        Identifier of the rule.
    reason, action, source : str
        What is likely, what to do, and where the rule comes from.
    also : tuple of str
        Groups that failed too and that the rule does not explain.
    """

    code: str
    reason: str
    action: str
    source: str
    also: tuple[str, ...]


_SOURCE = "common practice, no source"

#: The rules, the most specific first.
FAULT_PATTERNS = (
    FaultPattern(
        "receiver_fault",
        (
            (_Group.OUTPUT, Sign.LOW),
            (_Group.GAIN, Sign.LOW),
            (_Group.DISTORTION, Sign.HIGH),
            (_Group.CURRENT, Sign.HIGH),
        ),
        "Output and gain are low, distortion and current are high: the receiver is likely at fault.",
        "Do not fine-tune: return the aid for repair, and verify it again afterwards.",
        _SOURCE,
    ),
    FaultPattern(
        "receiver_distorts",
        ((_Group.DISTORTION, Sign.HIGH), (_Group.CURRENT, Sign.HIGH)),
        "Distortion and current are high: the receiver is likely at fault.",
        "Do not fine-tune: return the aid for repair.",
        _SOURCE,
    ),
    FaultPattern(
        "receiver_or_wax",
        ((_Group.OUTPUT, Sign.LOW), (_Group.GAIN, Sign.LOW)),
        "Gain and output are low together: the sound does not get out, for wax or the receiver.",
        "Change the wax filter, clear hook and tube, check coupler and seal, and measure again before fine-tuning.",
        _SOURCE,
    ),
    FaultPattern(
        "microphone_port",
        ((_Group.GAIN, Sign.LOW), (_Group.OUTPUT, Sign.NORMAL)),
        "Gain is low and output is normal: the sound does not get in, by a blocked microphone port.",
        "Clean the microphone port or change its filter, and measure again before fine-tuning.",
        _SOURCE,
    ),
    FaultPattern(
        "microphone_noise",
        ((_Group.NOISE, Sign.HIGH), (_Group.GAIN, Sign.NORMAL)),
        "Input noise is high at normal gain: expansion was off where the sheet has it on, or the microphone is noisy.",
        "Compare the settings with those of the sheet; if they agree, have the microphone looked at.",
        _SOURCE,
    ),
)


def likely_reasons(signs: Iterable[tuple[Item, float, Outcome]]) -> tuple[LikelyReason, ...]:
    """Say what failures together point to.

    Parameters
    ----------
    signs : iterable of (Item, float, Outcome)
        Each item that was judged, its deviation from nominal [the item's unit], and its outcome.

    Returns
    -------
    tuple of LikelyReason
        The rules whose signs are all there, the most specific first; a rule whose signs are part of one already found
        is left out. Empty where nothing failed, or what failed fits no rule.
    """
    found: dict[str, Sign] = {}
    for item, deviation, outcome in signs:
        group = _GROUP_OF.get(item)
        if group is None or outcome is Outcome.CANNOT_TELL:
            continue
        failed = outcome is Outcome.FAIL
        sign = (Sign.LOW if deviation < 0 else Sign.HIGH) if failed else Sign.NORMAL
        if failed or group not in found:
            found[group] = sign
    failures = {group for group, sign in found.items() if sign is not Sign.NORMAL}
    out: list[LikelyReason] = []
    explained: set[str] = set()
    for pattern in FAULT_PATTERNS:
        wanted = {group for group, sign in pattern.signs if sign is not Sign.NORMAL}
        if all(found.get(group) is sign for group, sign in pattern.signs) and not wanted <= explained:
            explained |= wanted
            also = tuple(sorted(str(group) for group in failures - wanted))
            out.append(LikelyReason(pattern.code, pattern.reason, pattern.action, pattern.source, also))
    return tuple(out)
