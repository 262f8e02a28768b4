"""What a prescription may know of an ear."""

from __future__ import annotations

from dataclasses import dataclass

from umbo.core import Ear, Level, Transfer
from umbo.errors import InputError

__all__ = ["EarToFit"]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class EarToFit:
    """One ear, as far as a prescription asks about it.

    Parameters
    ----------
    entered : Level
        Thresholds on the dial. [dB HL]
    at_eardrum : Level or None
        The same thresholds at the eardrum; None where no route leads there. [dB SPL]
    discomfort : Level or None
        Discomfort levels at the eardrum; None where they are not known. [dB SPL]
    reug : Transfer
        Real-ear unaided gain that suits the client's age: free field to eardrum. [dB]
    age_months : float or None
        The client's age. [month]

    Raises
    ------
    InputError
        If the thresholds do not say whose ear they are of.
    """

    entered: Level
    at_eardrum: Level | None
    discomfort: Level | None
    reug: Transfer
    age_months: float | None

    def __post_init__(self) -> None:
        _ = self.ear

    @property
    def ear(self) -> Ear:
        """Side."""
        side = self.entered.tags.ear
        if side is None:
            raise InputError("prescribe for an ear", "the thresholds belong to no side", "state the ear")
        return side
