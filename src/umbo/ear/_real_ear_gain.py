"""Real-ear gains from readings in one ear: unaided, occluded, aided, insertion gain and insertion loss (F8)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from umbo.core import Finding, Severity, lies_within
from umbo.ear._unaided_gain import RESONANCE_U, UNAIDED_SOURCE, resonance_hz
from umbo.errors import PlaneMismatchError

if TYPE_CHECKING:
    from umbo.core import BoolArray, Curve, Level, Transfer

__all__ = [
    "Openness",
    "insertion_gain",
    "insertion_loss",
    "openness",
    "real_ear_gain",
    "reference_microphone_finding",
    "unaided_response_finding",
]

#: The unaided response peaks here, and by at least this much, when the probe is where it should be (common practice, no
#: source). [Hz], [dB]
_PEAK_FROM_HZ, _PEAK_TO_HZ, _PEAK_DB = 2000.0, 5000.0, 8.0

#: Where that peak is looked for (engineering judgement). [Hz]
_SOUGHT_HZ = (500.0, 10e3)

#: Insertion loss up to which a fitting is called open, and from which it is called occluding (engineering
#: judgement). [dB]
_OPEN_DB, _OCCLUDING_DB = 5.0, 10.0

#: Where insertion loss is judged (engineering judgement: below, room noise; above, probe placement). [Hz]
_LOSS_HZ = (250.0, 6000.0)

#: A difference of two runs from which amplified sound is named (engineering judgement), and where it is looked
#: for. [dB], [Hz]
_LEAKAGE_DB, _LEAKAGE_HZ = 3.0, (500.0, 8000.0)

_JUDGEMENT = "engineering judgement, no source"


@dataclass(frozen=True, slots=True)
class Openness:
    """How far a muted aid leaves the ear its own gain.

    Parameters
    ----------
    word : {"open", "partly open", "occluding"}
        Up to 5 dB of loss, between, 10 dB and more.
    loss_db, u_db : float
        Largest loss and its standard uncertainty. [dB]
    at_hz : float
        Where. [Hz]
    """

    word: Literal["open", "partly open", "occluding"]
    loss_db: float
    u_db: float
    at_hz: float


def real_ear_gain(response: Level, field: Level, name: Literal["REUG", "REOG", "REAG"]) -> Transfer:
    r"""Gain from the field to the ear, from a response and the sound that made it.

    .. math:: REUG = REUR - L_{in} \qquad (1)
    .. math:: REOG = REOR - L_{in} \qquad (2)
    .. math:: REAG = REAR - L_{in} \qquad (3)

    Parameters
    ----------
    response : Level
        At the probe tip or the eardrum: open ear, aid muted in place, or aided. [dB SPL]
    field : Level
        The same stimulus in the field or at the reference microphone. [dB SPL]
    name : {"REUG", "REOG", "REAG"}
        What it is.

    Returns
    -------
    Transfer
        From the field to the place in the ear. [dB]

    Raises
    ------
    CombinationError
        If the two differ in stimulus, statistic, source, ear, grid or bandwidth, or are at one place.
    """
    return (response - field).named(name)  # Eqs. (1), (2), (3)


def insertion_gain(aided: Transfer, unaided: Transfer) -> Transfer:
    r"""Real-ear insertion gain: what the fitted aid adds to the open ear.

    .. math:: REIG = REAG - REUG \qquad (4)

    Parameters
    ----------
    aided, unaided : Transfer
        REAG and REUG of one ear, with the probe in one place. [dB]

    Returns
    -------
    Transfer
        What was wrong at the probe with both readings alike cancels. [dB]

    Raises
    ------
    PlaneMismatchError
        If the probe was at two places, or the two are referred to different places in the field.
    CombinationError
        For two ears or grids.

    Notes
    -----
    An insertion gain is for adults: a child's REUG is not the one the targets were made with.
    """
    _require_one_probe("form an insertion gain", aided, unaided)
    return (aided - unaided).named("REIG")  # Eq. (4)


def insertion_loss(occluded: Transfer, unaided: Transfer) -> Transfer:
    r"""Insertion loss: what the muted aid takes from the open ear, negative where it does.

    .. math:: IL = REOG - REUG \qquad (5)

    Parameters
    ----------
    occluded, unaided : Transfer
        REOG and REUG of one ear, with the probe in one place. [dB]

    Returns
    -------
    Transfer
        0 dB for an ear that is left open. [dB]

    Raises
    ------
    PlaneMismatchError
        If the probe was at two places, or the two are referred to different places in the field.
    CombinationError
        For two ears or grids.
    """
    _require_one_probe("form an insertion loss", occluded, unaided)
    return (occluded - unaided).named("insertion loss")  # Eq. (5)


def _require_one_probe(asked: str, one: Transfer, other: Transfer) -> None:
    if one.end != other.end:
        raise PlaneMismatchError(
            asked,
            f"the {one.tags.quantity} was taken {one.end.phrase} and the {other.tags.quantity} {other.end.phrase}",
            "measure both with the probe in one place; what its place does cancels only then",
        )
    if one.start != other.start:
        raise PlaneMismatchError(
            asked,
            f"the {one.tags.quantity} is referred to a level {one.start.phrase} and the {other.tags.quantity} to one "
            f"{other.start.phrase}",
            "refer both to one place in the field",
        )


def openness(loss: Transfer) -> Openness | None:
    """How open a fitting is, from its insertion loss.

    Parameters
    ----------
    loss : Transfer
        From :func:`insertion_loss`. [dB]

    Returns
    -------
    Openness or None
        By the largest loss from 250 to 6000 Hz; None where no point there can be used.
    """
    usable = _usable(loss, _LOSS_HZ)
    if not usable.any():
        return None
    worst = int(np.argmin(np.where(usable, loss.level_db, np.inf)))
    lost = max(-float(loss.level_db[worst]), 0.0)
    word: Literal["open", "partly open", "occluding"] = "partly open"
    if lost <= _OPEN_DB:
        word = "open"
    elif lost >= _OCCLUDING_DB:
        word = "occluding"
    return Openness(word, lost, float(loss.u_db[worst]), float(loss.frequency_hz[worst]))


def unaided_response_finding(reug: Transfer, age_months: float | None) -> Finding | None:
    """Whether the unaided response has the peak every open ear has.

    Parameters
    ----------
    reug : Transfer
        Unaided gain as measured. [dB]
    age_months : float or None
        Age: below two years the peak may lie as high as the published resonance of that age allows. [month]

    Returns
    -------
    Finding or None
        A warning if the peak lies outside 2 to 5 kHz or is lower than 8 dB.
    """
    to_hz = _PEAK_TO_HZ
    if age_months is not None:
        resonance = resonance_hz(age_months, field="free", source=UNAIDED_SOURCE)
        to_hz = max(to_hz, resonance * float(np.exp(2 * RESONANCE_U)))
    usable = _usable(reug, _SOUGHT_HZ)
    if not usable.any():
        return None
    top = int(np.argmax(np.where(usable, reug.level_db, -np.inf)))
    hz, peak = float(reug.frequency_hz[top]), float(reug.level_db[top])
    where = f"{_PEAK_FROM_HZ / 1000:g} to {to_hz / 1000:.2g} kHz"
    if lies_within(hz, _PEAK_FROM_HZ, to_hz) and peak >= _PEAK_DB:
        return None
    text = (
        f"The unaided response peaks by {peak:.1f} dB at {hz:.0f} Hz; an open ear peaks by at least {_PEAK_DB:g} dB "
        f"between {where}."
    )
    action = "Check that the probe tube is open and deep enough, and measure the open ear again before the aid goes in."
    return Finding("unaided_peak_missing", Severity.WARN, text, action, "common practice, no source", hz, hz)


def reference_microphone_finding(with_aid: Level, without: Level) -> Finding | None:
    """Whether amplified sound reached the reference microphone, from two runs that should agree.

    Parameters
    ----------
    with_aid, without : Level
        The same stimulus at one place: at the reference microphone with the aid on and muted, or in the ear with
        concurrent and with stored equalisation. [dB SPL]

    Returns
    -------
    Finding or None
        A warning where they differ by 3 dB and by more than twice their uncertainty.

    Raises
    ------
    CombinationError
        If the two are not at one place, of one ear and grid.
    """
    apart = with_aid.above(without, quantity="difference of two runs")
    size = np.where(_usable(apart, _LEAKAGE_HZ), np.abs(apart.level_db), 0.0)
    size = np.where(size > 2 * apart.u_db, size, 0.0)
    worst = int(np.argmax(size))
    if size[worst] < _LEAKAGE_DB - 1e-9:
        return None
    found, hz = apart.level_db[worst], float(apart.frequency_hz[worst])
    text = (
        f"Amplified sound at the reference microphone: {with_aid.plane.phrase}, the run is {abs(found):.1f} dB "
        f"{'higher' if found > 0 else 'lower'} at {hz:.0f} Hz than it should be."
    )
    action = "Equalise with the aid muted, store it, and measure the aided response again."
    return Finding("amplified_sound_at_reference", Severity.WARN, text, action, _JUDGEMENT, hz, hz)


def _usable(curve: Curve, between_hz: tuple[float, float]) -> BoolArray:
    inside = lies_within(curve.frequency_hz, *between_hz)
    return np.asarray(inside & curve.states.is_usable)
