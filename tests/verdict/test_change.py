"""Now against then: what is significant, what calls for action, and how long an RECD may be used."""

from datetime import date, timedelta

import numpy as np
import pytest
from eardrum_levels import HZ, level
from hypothesis import given
from hypothesis import strategies as st

from umbo.core import Ear, PointState, Severity
from umbo.errors import EarMismatchError, InputError, OutOfRangeError
from umbo.verdict import Contrast, Watched, change_between, change_since, recd_expiry, recd_lifetime

THEN, NOW = date(2026, 3, 2), date(2026, 6, 1)


def changed(change_db, watched, u_db=0.0, age_months=None):
    values = ([*np.broadcast_to(np.asarray(change_db, dtype=float), 2)], [0.0, 0.0])
    compared = Contrast.of("x", [1000.0, 2000.0], values, (u_db, 0.0))
    return change_between(compared, watched, then_on=THEN, now_on=NOW, age_months=age_months)


@pytest.mark.parametrize(
    ("watched", "limit_db"),
    [(Watched.RECD, 3.0), (Watched.THRESHOLD, 10.0), (Watched.AIDED_LEVEL, 3.0), (Watched.MAXIMUM_OUTPUT, 3.0)],
)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_action_begins_at_the_limit(watched, limit_db, sign):
    found = changed([0.0, sign * limit_db], watched)
    assert found.calls_for_action.tolist() == [False, True]
    assert [f.code for f in found.findings] == [f"{watched}_changed"]
    assert found.findings[0].severity is Severity.WARN
    assert found.findings[0].from_hz == 2000.0
    below = changed([0.0, sign * (limit_db - 0.1)], watched)
    assert not below.calls_for_action.any()
    assert [(f.code, f.severity) for f in below.findings] == [(f"{watched}_drifts", Severity.INFO)]


def test_significance_is_two_standard_uncertainties():
    assert changed([2.0, 2.1], Watched.RECD, u_db=1.0).is_significant.tolist() == [False, True]
    quiet = changed(1.9, Watched.RECD, u_db=1.0)
    assert quiet.findings == ()
    (finding,) = changed([0.0, 10.0], Watched.THRESHOLD, u_db=6.0).findings
    assert finding.text == (
        "The threshold has changed since 2026-03-02: +10.0 dB (u 6.0 dB) at 2000 Hz, within twice its uncertainty."
    )
    assert finding.action.startswith("Repeat it to make sure. Look into the ear")


@pytest.mark.parametrize(
    ("change_db", "age", "words"),
    [
        (-4.0, 6.0, ", as in a growing ear."),
        (4.0, 6.0, "; growth does not raise an RECD."),
        (-4.0, 84.0, "at 1000 Hz."),
        (-4.0, None, "at 1000 Hz."),
    ],
)
def test_growth_makes_an_recd_fall(change_db, age, words):
    """Feigin et al. 1989 (abstract read): the RECD falls with age."""
    assert changed(change_db, Watched.RECD, age_months=age).findings[0].text.endswith(words)


def test_a_shared_cause_is_not_counted_twice():
    then, same, other = level(0.0, u_db=2.0), level(2.0, u_db=2.0), level(2.0, u_db=2.0, cause="another microphone")
    days = {"then_on": THEN, "now_on": NOW, "age_months": 30.0}
    assert change_since(then, same, Watched.AIDED_LEVEL, **days).is_significant.all()
    apart = change_since(then, other, Watched.AIDED_LEVEL, **days)
    assert apart.contrast.u_db == pytest.approx(np.full(len(HZ), np.sqrt(8.0)))
    assert not apart.is_significant.any()


def test_one_ear_and_one_order():
    days = {"then_on": THEN, "now_on": NOW, "age_months": None}
    with pytest.raises(EarMismatchError, match="it was the left ear's and this is the right ear's"):
        change_since(level(0.0, ear=Ear.LEFT), level(0.0), Watched.AIDED_LEVEL, **days)
    with pytest.raises(InputError, match="exchange the two"):
        change_since(level(0.0), level(0.0), Watched.AIDED_LEVEL, then_on=NOW, now_on=THEN, age_months=None)


def test_what_cannot_be_used_is_said():
    dead = level(0.0).marked(PointState.CLIPPED, np.ones(len(HZ), dtype=bool), "x")
    found = change_since(dead, level(30.0), Watched.MAXIMUM_OUTPUT, then_on=THEN, now_on=NOW, age_months=None)
    assert [f.code for f in found.findings] == ["maximum_output_not_compared"]
    assert not found.calls_for_action.any()


def test_bare_numbers_have_to_fit():
    with pytest.raises(InputError, match="give one finite value of each per frequency"):
        Contrast.of("RECD", [1000.0], ([1.0, 2.0], [0.0, 0.0]), (0.5, 0.5))
    with pytest.raises(InputError, match="one of them is not finite"):
        Contrast.of("RECD", [1000.0], ([np.nan], [0.0]), (0.5, 0.5))
    found = Contrast.of("RECD", [1000.0], ([3.0], [1.0]), (0.6, 0.8))
    assert found.u_db == pytest.approx([1.0])
    assert found.worded(0) == "+2.0 dB (u 1.0 dB) at 1000 Hz"


@pytest.mark.parametrize(
    ("age_months", "last_day", "limit"),
    [
        (0.0, date(2026, 2, 28), "4 weeks"),
        (5.9, date(2026, 2, 28), "4 weeks"),
        (6.0, date(2026, 3, 28), "8 weeks"),
        (11.9, date(2026, 3, 28), "8 weeks"),
        (12.0, date(2026, 4, 30), "3 months"),
        (36.0, date(2026, 7, 31), "6 months"),
        (72.0, date(2027, 1, 31), "12 months"),
        (800.0, date(2027, 1, 31), "12 months"),
    ],
)
def test_age_limits(age_months, last_day, limit):
    """Engineering judgement: 4 and 8 weeks, 3, 6 and 12 months; calendar months end with a shorter month."""
    measured = date(2026, 1, 31)
    found = recd_expiry(age_months, measured, last_day)
    assert recd_lifetime(age_months) == found.limit
    assert (found.last_day, found.limit, found.is_expired, found.findings) == (last_day, limit, False, ())
    (finding,) = recd_expiry(age_months, measured, last_day + timedelta(days=1)).findings
    assert finding.code == "recd_too_old"
    assert limit in finding.text


def test_a_newer_mould_ends_an_recd_whatever_its_age():
    measured, today = date(2026, 3, 1), date(2026, 3, 10)
    assert not recd_expiry(3.0, measured, today, measured).is_expired
    newer = recd_expiry(3.0, measured, today, date(2026, 3, 8))
    assert newer.is_expired
    assert [f.code for f in newer.findings] == ["recd_older_than_mould"]
    both = recd_expiry(3.0, date(2026, 1, 1), today, date(2026, 3, 8))
    assert [f.code for f in both.findings] == ["recd_too_old", "recd_older_than_mould"]


def test_dates_in_the_future_and_strange_ages_are_refused():
    today = date(2026, 3, 1)
    with pytest.raises(InputError, match="the RECD is dated 2026-03-02, which is later; check both dates"):
        recd_expiry(3.0, date(2026, 3, 2), today)
    with pytest.raises(InputError, match="the mould is dated 2026-03-02"):
        recd_expiry(3.0, today, today, date(2026, 3, 2))
    for age in (-1.0, 2000.0, np.nan):
        with pytest.raises(OutOfRangeError):
            recd_expiry(age, today, today)


@given(age=st.floats(0, 1500), older=st.floats(0, 400), day=st.dates(date(2000, 1, 1), date(2100, 1, 1)))
def test_an_older_ear_never_expires_earlier(age, older, day):
    later = min(age + older, 1500.0)
    assert recd_expiry(later, day, day).last_day >= recd_expiry(age, day, day).last_day
