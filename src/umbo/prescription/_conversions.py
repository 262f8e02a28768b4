"""Between insertion gain and aided level: F8 in both directions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.core import ADULT_EAR_MONTHS
from umbo.errors import InputError, NotPossibleHereError

if TYPE_CHECKING:
    from umbo.core import Level, Transfer
    from umbo.prescription._targets import Target

__all__ = ["aided_gain_of", "aided_level_of", "insertion_gain_of", "require_adult_ear"]


def aided_level_of(insertion_gain: Transfer, speech: Level, reug: Transfer) -> Level:
    r"""Aided level at the eardrum that an insertion gain asks for.

    .. math:: REAR(f) = L_{speech}(f) + REUG(f) + IG(f) \qquad (1)

    Parameters
    ----------
    insertion_gain : Transfer
        From the unaided to the aided eardrum. [dB]
    speech : Level
        In the free field, on the same frequencies. [dB SPL]
    reug : Transfer
        Real-ear unaided gain that suits the client's age: free field to eardrum, around these frequencies. [dB]

    Returns
    -------
    Level
        At the eardrum. [dB SPL]

    Raises
    ------
    GridMismatchError
        If the REUG does not reach over the frequencies of the speech.
    """
    unaided = reug.on(speech.grid, method="log_frequency", outside="refuse")
    return speech + unaided + insertion_gain  # Eq. (1)


def aided_gain_of(target: Target, speech: Level) -> Transfer:
    r"""Real-ear aided gain of a target (F8).

    .. math:: REAG(f) = REAR(f) - L_{speech}(f) \qquad (1)

    Parameters
    ----------
    target : Target
        For one speech input.
    speech : Level
        That speech in the free field, over the frequencies of the target: :func:`speech_in_field`. [dB SPL]

    Returns
    -------
    Transfer
        Free field to eardrum, on the frequencies of the target. [dB]

    Raises
    ------
    InputError
        If the target is a limit of maximum output: it belongs to no input.
    CombinationError
        If the speech is another one than that of the target.
    """
    if target.input_db_spl is None:
        raise InputError(
            "take a gain from a target",
            f"the {target.level.tags.quantity} belongs to no input level",
            "use the target of a speech level",
        )
    field = speech.on(target.level.grid, method="log_frequency", outside="refuse")
    return (target.level - field).named("REAG")  # Eq. (1)


def insertion_gain_of(target: Target, speech: Level, reug: Transfer, *, age_months: float | None) -> Transfer:
    r"""Insertion gain of a target at the eardrum (F8): for adults.

    .. math:: REIG(f) = REAG(f) - REUG(f) \qquad (1)

    Parameters
    ----------
    target : Target
        For one speech input.
    speech : Level
        That speech in the free field. [dB SPL]
    reug : Transfer
        Real-ear unaided gain of this client: free field to eardrum, around the frequencies of the target. [dB]
    age_months : float or None
        The client's age. [month], from 84.

    Returns
    -------
    Transfer
        From the unaided to the aided eardrum. [dB]

    Raises
    ------
    NotPossibleHereError
        For a child under seven years, or where the age is not known: a child is judged by the aided level.
    InputError
        If the target is a limit of maximum output.
    """
    require_adult_ear(age_months)
    aided = aided_gain_of(target, speech)
    unaided = reug.on(aided.grid, method="log_frequency", outside="refuse")
    return (-unaided + aided).named("REIG")  # Eq. (1)


def require_adult_ear(age_months: float | None) -> None:
    """Refuse insertion gain for a child, and where the age is not known.

    Parameters
    ----------
    age_months : float or None
        The client's age. [month], from 84.

    Raises
    ------
    NotPossibleHereError
        For a child under seven years, or where the age is not known: a child is judged by the aided level.
    """
    asked = "state a target as insertion gain"
    do = "judge the aided level at the eardrum against the target itself"
    if age_months is None:
        raise NotPossibleHereError(
            asked, "the client's age is not known, and in a child insertion gain misleads", f"state age_months, or {do}"
        )
    if age_months < ADULT_EAR_MONTHS:
        raise NotPossibleHereError(
            asked,
            f"the client is {age_months:.0f} months old, and below {ADULT_EAR_MONTHS:.0f} months the open ear's "
            "resonance is not an adult's and moves as the ear grows, so that one insertion gain means different levels",
            do,
        )
