"""Whether the RECD a verdict rests on is still that of this ear."""

from __future__ import annotations

from datetime import date

from umbo.session._plan import EarPlan, Plan
from umbo.session._recds import MeasuredRecd
from umbo.verdict import RecdExpiry, recd_expiry

__all__ = ["recd_age"]

#: Mean length of a month in the Gregorian calendar. [d]
_MONTH_DAYS = 365.2425 / 12


def recd_age(recd: MeasuredRecd | None, ear: EarPlan, plan: Plan) -> RecdExpiry | None:
    """Until when an RECD may be used, on the day of the measurement.

    Parameters
    ----------
    recd : MeasuredRecd or None
        The RECD in use.
    ear : EarPlan
        For the day of the newest mould.
    plan : Plan
        For the day of the measurement and the age on it.

    Returns
    -------
    RecdExpiry or None
        None where a day or the age is not known.
    """
    age, today = plan.client.age_months, plan.date
    if recd is None or recd.measured_on is None or today is None or age is None:
        return None
    return recd_expiry(_age_on(recd.measured_on, age, today), recd.measured_on, today, ear.mould_since)


def _age_on(day: date, age_months: float, today: date) -> float:
    """Age on an earlier day. [month]"""
    return max(age_months - (today - day).days / _MONTH_DAYS, 0.0)
