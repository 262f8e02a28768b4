"""How a record's words and numbers are written for a reader."""

from __future__ import annotations

from umbo.core import CouplerKind
from umbo.record import GradedRecd

__all__ = [
    "OUTCOMES",
    "VERDICTS",
    "age_words",
    "coupler_name",
    "coupler_short",
    "hertz",
    "number",
    "recd_origin",
    "signed",
    "spaced",
]

#: Outcome of one criterion, and of an ear.
OUTCOMES = {"pass": "pass", "cannot_tell": "cannot tell", "fail": "fail"}
VERDICTS = {"pass": "Verified", "cannot_tell": "Cannot be told yet", "fail": "Not verified"}

_SHORT = {"ha1": "HA-1", "ha2": "HA-2", "ha4": "HA-4", "cc04": "0.4 cc", "oes": "ear simulator"}
_SOURCES = {"insert": "insert earphone", "aid": "the aid"}

#: From this age on, a reader counts in years. [months]
_YEARS_FROM_MONTHS = 36.0


def coupler_name(kind: str) -> str:
    """Give the full name of a coupler: "2 cc coupler HA-1"."""
    return CouplerKind(kind).display_name


def coupler_short(kind: str) -> str:
    """Give the short name of a coupler for a label: "HA-1"."""
    return _SHORT[kind]


def recd_origin(recd: GradedRecd) -> str:
    """Say what made the sound of an RECD, and what held it in the ear."""
    return f"{_SOURCES[recd.source]}, {spaced(recd.coupling)}"


def spaced(identifier: str) -> str:
    """Write an identifier of the record as words."""
    return identifier.replace("_", " ")


def number(value: float, decimals: int = 1) -> str:
    """Write a number with a real minus sign and no negative zero."""
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text.replace("-", "−")


def signed(value: float, decimals: int = 1) -> str:
    """Write a number with its sign, also when it is positive."""
    text = number(value, decimals)
    return f"+{text}" if value > 0.0 and float(text) != 0.0 else text


def hertz(frequency_hz: float) -> str:
    """Say a frequency in a few characters: 750 Hz, 7.9 kHz. [Hz]"""
    if frequency_hz < 1000.0:
        return f"{frequency_hz:.0f} Hz"
    return f"{frequency_hz / 1000.0:.1f} kHz".replace(".0 kHz", " kHz")


def age_words(months: float | None) -> str:
    """Say an age. [months]"""
    if months is None:
        return "not stated"
    if months < _YEARS_FROM_MONTHS:
        return "1 month" if round(months) == 1 else f"{months:.0f} months"
    years, rest = divmod(round(months), 12)
    return f"{years} years" + (f" {rest} months" if rest else "")
