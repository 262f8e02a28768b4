"""The closed lists of words a sidecar may use: statuses, units, planes, relations."""

from __future__ import annotations

import re

__all__ = ["NOT_FOUND", "PLANES", "RELATIONS", "UNITS", "is_status", "status_words"]

NOT_FOUND = "not found"
"""Status of a cell that stays empty because no allowed source gave the number."""

_WORDS = {
    "n sources": "read in n independent public libraries or repositories; the original was not read",
    "abstract read": "the number stands in a journal abstract; the paper itself was not seen",
    "standard abstract read": "the number stands in the public abstract of a standard",
    "article read": "read in an article that cites the original",
    "from memory": "recalled, unchecked",
    "+ memory": "recalled, and agreeing with what was read",
    "computed": "worked out from other rows or a stated formula",
    "engineering judgement": "set by the project; no source",
    "nominal": "a label, such as a nominal frequency; nothing was measured",
    NOT_FOUND: "looked for in the allowed sources and not found; the cell is empty",
}

_STATUS = re.compile(
    r"(?:(?:1 source|(?:[2-9]|[1-9]\d+) sources|[2-9] abstracts read|abstract read"
    r"|standard abstract read|article read)(?: \+ memory)?)"
    r"|from memory|computed|engineering judgement|nominal|not found"
)

_FIXED_UNITS = ("1", "rad", "Hz", "s", "ms", "weeks", "months", "years", "m", "mm", "mm2", "m2", "cm3", "m3")
_LEVEL_UNITS = (
    "dB",
    "dB SPL",
    "dB HL",
    "dB SPL per Hz",
    "dB re 1 Hz",
    "dB re 1 MPa s/m3",
    "dB/dB",
    "dB/octave",
)
_MECHANICAL_UNITS = ("Pa", "kPa", "kg", "kg/m3", "kg/m4", "m/N", "N s/m", "m5/N", "N s/m5")
_ACOUSTIC_UNITS = ("Pa s/m3", "Pa s2/m3", "m3/Pa", "g/cm4", "cm5/dyn", "dyn s/cm5")
_COUNTS = ("percent", "percentage points", "children", "adults", "talkers")
_PER_ROW = ("see the column unit", "see the column si_unit")

UNITS = frozenset(_FIXED_UNITS + _LEVEL_UNITS + _MECHANICAL_UNITS + _ACOUSTIC_UNITS + _COUNTS + _PER_ROW)
"""Every unit a column or a row may carry."""

PLANES = frozenset(
    {
        "free_field",
        "diffuse_field",
        "eardrum",
        "dial",
        "coupler:ha1",
        "coupler:ha2",
        "coupler:cc04",
        "coupler:oes",
        "coupler:iec-60318-1",
        "coupler:iec-60318-3",
        "coupler:nbs-9a",
    }
)
"""Reference planes and loads; couplers of audiometer calibration stand beside umbo's own planes."""

RELATIONS = frozenset({"equal", "about", "at_most", "at_least", "below", "plus_minus", "range"})
"""How the value of a fact is meant."""


def is_status(text: str) -> bool:
    """Whether a text is one of the allowed statuses.

    Parameters
    ----------
    text : str
        Status as written in a table or sidecar.

    Returns
    -------
    bool
        True for an allowed status, for example "2 sources + memory".
    """
    return _STATUS.fullmatch(text) is not None


def status_words() -> dict[str, str]:
    """Explain the words that say how a number was obtained.

    Returns
    -------
    dict
        Word to meaning, in order of falling trust.
    """
    return dict(_WORDS)
