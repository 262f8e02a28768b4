"""How thresholds were taken: method, reliability, masking, and what that does to their uncertainty."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from umbo import refdata
from umbo.core import Component
from umbo.errors import NotPossibleHereError

if TYPE_CHECKING:
    from umbo.core import Ear

__all__ = [
    "Masking",
    "Reliability",
    "ThresholdMethod",
    "estimate_u_db",
    "require_frequency_specific",
    "retest_u_db",
    "threshold_components",
]

_SOURCE = "engineering-judgement"


class ThresholdMethod(StrEnum):
    """How a threshold was found: three ways of behaviour, four of evoked responses."""

    CONVENTIONAL = "conventional"
    PLAY = "play"
    VRA = "vra"
    ABR_TONE = "abr_tone"
    ABR_CHIRP = "abr_chirp"
    ASSR = "assr"
    CLICK = "click"

    @property
    def display_name(self) -> str:
        """What the trade calls this method."""
        return _METHOD_TITLES[self]

    @property
    def is_evoked(self) -> bool:
        """Whether it reads evoked responses and not behaviour."""
        return self in (
            ThresholdMethod.ABR_TONE,
            ThresholdMethod.ABR_CHIRP,
            ThresholdMethod.ASSR,
            ThresholdMethod.CLICK,
        )


_METHOD_TITLES = {
    ThresholdMethod.CONVENTIONAL: "conventional audiometry",
    ThresholdMethod.PLAY: "play audiometry",
    ThresholdMethod.VRA: "visual reinforcement audiometry",
    ThresholdMethod.ABR_TONE: "tone-pip ABR",
    ThresholdMethod.ABR_CHIRP: "narrow-band-chirp ABR",
    ThresholdMethod.ASSR: "ASSR",
    ThresholdMethod.CLICK: "click ABR",
}


class Reliability(StrEnum):
    """How far the tester trusts the responses."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


class Masking(StrEnum):
    """Whether the other ear was masked."""

    MASKED = "masked"
    UNMASKED = "unmasked"
    NOT_NEEDED = "not_needed"


def require_frequency_specific(method: ThresholdMethod | None) -> None:
    """Refuse thresholds at single frequencies from a stimulus that excites them all.

    Parameters
    ----------
    method : ThresholdMethod or None
        How they were found; None where it is not stated.

    Raises
    ------
    NotPossibleHereError
        For clicks.
    """
    if method is ThresholdMethod.CLICK:
        raise NotPossibleHereError(
            "read click ABR as thresholds at single frequencies",
            "a click excites all frequencies at once, and its threshold belongs to none of them",
            "enter tone-pip or narrow-band-chirp thresholds, or leave these thresholds out",
        )


def retest_u_db(reliability: Reliability | None) -> float:
    """Standard uncertainty of one threshold on repetition.

    Parameters
    ----------
    reliability : Reliability or None
        As the tester judged it; where it is not stated, as for a good test.

    Returns
    -------
    float
        Standard uncertainty, k = 1. [dB]

    References
    ----------
    Table ``threshold_uncertainty``: ±5 dB read as k = 2 (from memory); fair and poor are engineering judgement.
    """
    return _read(f"retest_{reliability or Reliability.GOOD}")[0]


def estimate_u_db(method: ThresholdMethod | None) -> float:
    """Standard uncertainty of a hearing level estimated from evoked responses, against behaviour.

    Parameters
    ----------
    method : ThresholdMethod or None
        How it was found; where it is not stated, or not by evoked responses, as for tone-pip ABR.

    Returns
    -------
    float
        Standard uncertainty, k = 1. [dB]

    References
    ----------
    Table ``threshold_uncertainty``: Stapells, Gravel & Martin 1995 (abstract read) for tone-pip ABR; the others are
    engineering judgement.
    """
    return _read(_estimate_item(method))[0]


def threshold_components(
    quantity: str, ear: Ear, *, method: ThresholdMethod | None, reliability: Reliability | None, is_estimate: bool
) -> list[Component]:
    """Causes of error of thresholds, by the way they were taken.

    Parameters
    ----------
    quantity : str
        "threshold", "minimum response level" or "discomfort level": part of the identity of each cause.
    ear : Ear
        Side.
    method : ThresholdMethod or None
        How they were found; None where it is not stated.
    reliability : Reliability or None
        As the tester judged it; None where it is not stated.
    is_estimate : bool
        Whether they are estimated from evoked responses.

    Returns
    -------
    list of Component
        Each acts at every frequency by itself.
    """
    judged = "" if reliability is None else f", reliability {reliability}"
    found = [
        _component("retest", f"retest of the {quantity}{judged}", f"retest_{reliability or 'good'}", quantity, ear)
    ]
    if is_estimate:
        label = "behaviour against the estimate from evoked responses"
        found.append(_component("estimate", label, _estimate_item(method), quantity, ear))
    if method is ThresholdMethod.VRA:
        label = "threshold against the minimum response level"
        found.append(_component("minimum_response", label, "minimum_response", quantity, ear))
    return found


def _estimate_item(method: ThresholdMethod | None) -> str:
    known = (ThresholdMethod.ABR_CHIRP, ThresholdMethod.ASSR)
    return f"estimate_{method if method in known else ThresholdMethod.ABR_TONE}"


def _component(cause: str, label: str, item: str, quantity: str, ear: Ear) -> Component:
    u_db, source = _read(item)
    return Component(
        id=f"{cause}:{quantity}:{ear}",
        label=label,
        contribution_db=np.array([u_db]),
        across="none",
        evaluation="B",
        source=source,
    )


def _read(item: str) -> tuple[float, str]:
    """Value of a row of the table of uncertainties, and what it rests on. [dB]"""
    table = refdata.table("threshold_uncertainty", source=_SOURCE)
    return table.at(item, "value"), f"{table.text_at(item, 'note')} ({table.status_at(item, 'value')})"
