"""What has to be said of a wanted level that this ear may not bear."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from umbo.core import Bandwidth, BoolArray, Finding, FloatArray, Grid, Severity
from umbo.session._hearing import Hearing
from umbo.verdict import caution_level_db

__all__ = ["Wanted", "wanted_cautions"]

_ACTION = (
    "Do not fit to it there: speech would be uncomfortable, and the maximum output has to stay below the discomfort "
    "level. Choose another target."
)
_ABOVE_CAUTION = (
    "Make sure that so much output is needed and that this ear bears it; measure discomfort levels before anything is "
    "fitted to it."
)


@dataclass(frozen=True, slots=True, eq=False)
class Wanted:
    """What a prescription or an imported target wants of speech at the eardrum.

    Parameters
    ----------
    name : str
        What wants it.
    input_db_spl : float
        Overall level of the speech in the field. [dB SPL]
    frequency_hz : array (n,)
        Frequencies, ascending. [Hz]
    level_db : array (n,)
        Wanted levels. [dB SPL]
    is_usable : array (n,) of bool
        Points that may be used; the others say nothing.
    """

    name: str
    input_db_spl: float
    frequency_hz: FloatArray
    level_db: FloatArray
    is_usable: BoolArray


def wanted_cautions(wanted: Wanted, discomfort: Hearing | None) -> tuple[Finding, ...]:
    """Say where a wanted level passes the discomfort level, or the level that asks for special care.

    Parameters
    ----------
    wanted : Wanted
        Wanted levels for one input.
    discomfort : Hearing or None
        Discomfort levels, measured or predicted; None where there are none.

    Returns
    -------
    tuple of Finding
        None, one or two.
    """
    found = (_above_discomfort(wanted, discomfort), _above_caution(wanted))
    return tuple(finding for finding in found if finding is not None)


def _above_discomfort(wanted: Wanted, discomfort: Hearing | None) -> Finding | None:
    limit = None if discomfort is None else discomfort.at_eardrum
    if limit is None or discomfort is None:
        return None
    hz = wanted.frequency_hz
    inside = (hz >= limit.frequency_hz[0]) & (hz <= limit.frequency_hz[-1])
    if not inside.any():
        return None
    bound = limit.on(Grid(hz[inside], Bandwidth.TONE), method="log_frequency", outside="refuse")
    excess = np.full(hz.size, -np.inf)
    excess[inside] = np.where(bound.states.is_usable, wanted.level_db[inside] - bound.level_db, -np.inf)
    above = wanted.is_usable & (excess >= 0.0)
    if not above.any():
        return None
    worst = int(np.argmax(np.where(above, excess, -np.inf)))
    word = "predicted discomfort level" if discomfort.is_predicted else "discomfort level"
    text = f"{_said(wanted, worst)}, {excess[worst]:.1f} dB above the {word}."
    return _finding("wanted_above_discomfort", text, _ACTION, "engineering judgement, no source", hz[above])


def _above_caution(wanted: Wanted) -> Finding | None:
    bound = caution_level_db()
    above = wanted.is_usable & (wanted.level_db > bound)
    if not above.any():
        return None
    worst = int(np.argmax(np.where(above, wanted.level_db, -np.inf)))
    text = f"{_said(wanted, worst)}, above {bound:g} dB SPL: so loud a sound may damage the hearing that is left."
    source = "21 CFR 801, labelling of hearing aids (from memory)"
    return _finding("wanted_above_caution", text, _ABOVE_CAUTION, source, wanted.frequency_hz[above])


def _said(wanted: Wanted, index: int) -> str:
    level, hz = wanted.level_db[index], wanted.frequency_hz[index]
    name = wanted.name[0].upper() + wanted.name[1:]
    return f"{name} wants speech of {wanted.input_db_spl:g} dB at {level:.1f} dB SPL at {hz:.0f} Hz"


def _finding(code: str, text: str, action: str, source: str, frequency_hz: FloatArray) -> Finding:
    return Finding(code, Severity.WARN, text, action, source, float(frequency_hz[0]), float(frequency_hz[-1]))
