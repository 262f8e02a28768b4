"""What every rule asks of the thresholds it is given: frequencies it knows, the octaves it needs, a plausible range."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from umbo.errors import OutOfRangeError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import ArrayLike

    from umbo.core import FloatArray

__all__ = ["HEARING_LEVEL_RANGE_DB", "OCTAVES_HZ", "checked_levels", "three_octave_sum"]

#: Hearing levels the rules are asked about: what an audiometer can set (common practice, no source). [dB HL]
HEARING_LEVEL_RANGE_DB = (-20.0, 130.0)

#: Octaves whose mean or sum several rules use. [Hz]
OCTAVES_HZ = (500.0, 1000.0, 2000.0)


def checked_levels(
    rule: str,
    frequency_hz: FloatArray,
    hearing_level_db: ArrayLike,
    *,
    known_hz: Iterable[float],
    needed_hz: Sequence[float] = (),
) -> FloatArray:
    """Hearing levels of a rule as an array, once they are found to suit it.

    Parameters
    ----------
    rule : str
        Name of the rule, for the sentence.
    frequency_hz : array (n,)
        Frequencies of the last axis. [Hz]
    hearing_level_db : array (..., n)
        Hearing levels. [dB HL]
    known_hz : iterable of float
        Frequencies the rule has constants for. [Hz]
    needed_hz : sequence of float
        Frequencies the rule cannot do without. [Hz]

    Raises
    ------
    OutOfRangeError
        For a frequency without a constant, a missing one, or a level outside the range.
    """
    asked = f"prescribe {rule} gain"
    known = list(known_hz)
    frequencies = [float(f) for f in frequency_hz]
    strange = [f for f in frequencies if f not in known]
    if strange:
        raise OutOfRangeError(
            f"{asked} at {strange[0]:g} Hz",
            f"the method has constants at {_listed(known)} Hz",
            "leave that frequency out",
        )
    missing = [f for f in needed_hz if f not in frequencies]
    if missing:
        raise OutOfRangeError(
            asked,
            f"the threshold at {missing[0]:g} Hz is missing, and the method needs {_listed(needed_hz)} Hz",
            "measure it",
        )
    levels = np.asarray(hearing_level_db, dtype=np.float64)
    low, high = HEARING_LEVEL_RANGE_DB
    if not np.all((levels >= low) & (levels <= high)):
        raise OutOfRangeError(
            asked, f"a hearing level lies outside {low:g} to {high:g} dB HL", "check the entered thresholds"
        )
    return levels


def three_octave_sum(frequency_hz: FloatArray, hearing_level_db: FloatArray) -> FloatArray:
    """Sum of the hearing levels at 500, 1000 and 2000 Hz, which must be there.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies of the last axis. [Hz]
    hearing_level_db : array (..., n)
        Hearing levels. [dB HL]

    Returns
    -------
    array (..., 1)
        The sum. [dB HL]
    """
    frequencies = [float(f) for f in frequency_hz]
    at = [frequencies.index(f) for f in OCTAVES_HZ]
    return np.asarray(hearing_level_db[..., at].sum(axis=-1, keepdims=True))


def _listed(values: Sequence[float]) -> str:
    words = [f"{value:g}" for value in values]
    return " and ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else words[0]
