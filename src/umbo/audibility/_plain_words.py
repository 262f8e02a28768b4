"""What of speech can be heard, in words for a family: no share, no score and no number that could be taken for one."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from umbo.audibility._audibility import Audibility

__all__ = ["ORDINARY_DB_SPL", "SOFT_DB_SPL", "SOUND_GROUPS", "SoundGroup", "SpokenWords", "Told", "heard_sounds"]


class Told(StrEnum):
    """What is said of one group of sounds."""

    WELL = "well"
    PARTLY = "partly"
    NOT = "not"
    NOT_MEASURED = "not_measured"


@dataclass(frozen=True, slots=True)
class SoundGroup:
    """A group of speech sounds and the bands in which most of its energy lies.

    Parameters
    ----------
    name : str
        How a sentence names it, in the plural.
    from_hz, below_hz : float
        Band centres that belong to it: from the first on, below the second. [Hz]
    """

    name: str
    from_hz: float
    below_hz: float


#: Groups of sounds from low to high (common practice, no source).
SOUND_GROUPS = (
    SoundGroup("vowels and other low sounds", 200.0, 900.0),
    SoundGroup("consonants of middle pitch such as d and g", 900.0, 2800.0),
    SoundGroup("thin, high sounds such as s and f", 2800.0, 9000.0),
)

#: Mean audibility of a group, level distortion left out, from which its sounds are called heard well, and below which
#: not heard: two thirds and a tenth of the range of speech (engineering judgement). [1]
_WELL, _NOT = 2 / 3, 0.1

#: Share of a group's bands of which something has to be known (engineering judgement). [1]
_ENOUGH = 0.5

#: Input levels up to which speech is called soft and ordinary; above it is loud (common practice, no source). [dB SPL]
SOFT_DB_SPL, ORDINARY_DB_SPL = 60.0, 70.0

_CLAUSES = {
    Told.WELL: "are loud enough to be heard well",
    Told.PARTLY: "are loud enough to be heard only partly",
    Told.NOT: "are too soft to be heard",
    Told.NOT_MEASURED: "are something we could not measure",
}


@dataclass(frozen=True, slots=True)
class SpokenWords:
    """What of speech at one level can be heard.

    Parameters
    ----------
    input_db_spl : float
        Level of the speech where the aid or ear is. [dB SPL]
    groups : tuple of Told
        One for each of :data:`SOUND_GROUPS`.
    sentence : str
        The same in one sentence, without numbers.
    """

    input_db_spl: float
    groups: tuple[Told, ...]
    sentence: str


def heard_sounds(found: Mapping[float, Audibility]) -> tuple[SpokenWords, ...]:
    """Say in plain words which groups of speech sounds can be heard at each level.

    A group is called not measured where nothing is known of more than half of its bands, or where thresholds without
    response leave it open which of the three it is.

    Parameters
    ----------
    found : mapping of float to Audibility
        Audibility by level of the speech. [dB SPL]

    Returns
    -------
    tuple of SpokenWords
        Softest speech first.
    """
    return tuple(_words(level, found[level]) for level in sorted(found))


def _words(input_db_spl: float, found: Audibility) -> SpokenWords:
    told = tuple(_told(found, group) for group in SOUND_GROUPS)
    clauses = []
    for word in dict.fromkeys(told):
        names = [group.name for group, said in zip(SOUND_GROUPS, told, strict=True) if said is word]
        clauses.append(f"{_listed(names)} {_CLAUSES[word]}")
    return SpokenWords(input_db_spl, told, f"{_opening(input_db_spl)}, {'; '.join(clauses)}.")


def _told(found: Audibility, group: SoundGroup) -> Told:
    inside = (found.frequency_hz >= group.from_hz) & (found.frequency_hz < group.below_hz)
    told = inside & (found.is_known | found.is_bound)
    if np.count_nonzero(told) < _ENOUGH * np.count_nonzero(inside):
        return Told.NOT_MEASURED
    loud = np.maximum(found.distortion[told], 1e-3)  # loud speech counts less, and is not therefore too soft
    least, most = (
        _word(float(np.mean(np.minimum(band[told] / loud, 1.0)))) for band in (found.audibility, found.audibility_most)
    )
    return least if least is most else Told.NOT_MEASURED


def _word(audibility: float) -> Told:
    if audibility >= _WELL:
        return Told.WELL
    return Told.NOT if audibility < _NOT else Told.PARTLY


def _opening(input_db_spl: float) -> str:
    if input_db_spl <= SOFT_DB_SPL:
        return "When someone speaks softly"
    if input_db_spl <= ORDINARY_DB_SPL:
        return "When someone speaks in an ordinary voice"
    return "When someone speaks loudly"


def _listed(names: list[str]) -> str:
    if len(names) < 3:
        return " and ".join(names) if len(names) < 2 else f"{names[0]}, and also {names[1]}"
    return f"{', '.join(names[:-1])}, and also {names[-1]}"
