"""How long a measured RECD may be used while the ear grows."""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from math import isfinite

import numpy as np

from umbo import refdata
from umbo.core import Finding, Severity
from umbo.errors import InputError, OutOfRangeError

__all__ = ["RecdExpiry", "recd_expiry", "recd_lifetime"]

_SOURCE = "age limits of the RECD: engineering judgement, no source; a new mould: common practice, no source"


@dataclass(frozen=True, slots=True)
class RecdExpiry:
    """Until when an RECD may be used.

    Parameters
    ----------
    last_day : date
        Last day on which it may be used, new moulds aside.
    limit : str
        How long that is, in words: "4 weeks".
    is_expired : bool
        Whether it may not be used any more.
    findings : tuple of Finding
        What is to be said; none while it may be used.
    """

    last_day: date
    limit: str
    is_expired: bool
    findings: tuple[Finding, ...]


def recd_expiry(age_months: float, measured: date, today: date, new_mould: date | None = None) -> RecdExpiry:
    """Whether an RECD is still that of this ear.

    Parameters
    ----------
    age_months : float
        Age when the RECD was measured, 0 to 1500. [month]
    measured, today : date
        When it was measured, and the day it is to be used.
    new_mould : date, optional
        Since when the newest earmould is worn; one that is newer than the RECD ends it.

    Returns
    -------
    RecdExpiry
        With a finding for each reason that ended it.

    Raises
    ------
    OutOfRangeError
        For an age outside the range.
    InputError
        If a date lies after today.
    """
    number, unit = _lifetime(age_months)
    for what, day in (("RECD", measured), ("mould", new_mould)):
        if day is not None and day > today:
            raise InputError(
                f"find out until when an RECD may be used on {today}",
                f"the {what} is dated {day}, which is later",
                "check both dates",
            )
    limit = f"{number} {unit}"
    last_day = measured + timedelta(weeks=number) if unit == "weeks" else _months_later(measured, number)
    findings = []
    if today > last_day:
        findings.append(_too_old((today - measured).days, limit, last_day))
    if new_mould is not None and new_mould > measured:
        findings.append(_older_than_mould(measured, new_mould))
    return RecdExpiry(last_day, limit, bool(findings), tuple(findings))


#: Beyond this an age is a slip of the pen (engineering judgement). [month]
_OLDEST_MONTHS = 1500.0


def recd_lifetime(age_months: float) -> str:
    """How long an RECD that is measured at this age may be used, in words.

    Parameters
    ----------
    age_months : float
        Age at the measurement, 0 to 1500. [month]

    Returns
    -------
    str
        "4 weeks", "12 months".

    Raises
    ------
    OutOfRangeError
        For an age outside the range.
    """
    number, unit = _lifetime(age_months)
    return f"{number} {unit}"


def _lifetime(age_months: float) -> tuple[int, str]:
    if not (isfinite(age_months) and 0 <= age_months <= _OLDEST_MONTHS):
        raise OutOfRangeError(
            "find out until when an RECD may be used",
            f"an age of {age_months:g} months lies outside 0 to {_OLDEST_MONTHS:g}",
            "give the age at its measurement",
        )
    table = refdata.table("recd_age_limit", source="engineering-judgement")
    begins = np.asarray(table.column("age_from_months"))
    row = int(np.searchsorted(begins, age_months, side="right")) - 1
    unit = "weeks" if table.present("limit_weeks")[row] else "months"
    return int(table.column(f"limit_{unit}")[row]), unit


def _months_later(day: date, months: int) -> date:
    """The same day some months later, or the last one of a shorter month."""
    years, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + years, month + 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def _too_old(days: int, limit: str, last_day: date) -> Finding:
    text = f"The RECD is {days} days old; at that age an ear may have grown out of it after {limit} (on {last_day})."
    return Finding("recd_too_old", Severity.WARN, text, "Measure the RECD again before relying on it.", _SOURCE)


def _older_than_mould(measured: date, new_mould: date) -> Finding:
    text = f"The RECD of {measured} is older than the mould that is worn since {new_mould}."
    return Finding("recd_older_than_mould", Severity.WARN, text, "Measure the RECD with the new mould.", _SOURCE)
