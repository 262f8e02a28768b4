"""Keys of the fitting and of days: they arrive in the plan, and what cannot be is refused."""

from datetime import date

import pytest
from case_builder import add_curve, build_case, edit

from umbo.core import Ear
from umbo.errors import CaseError
from umbo.interchange import case_schema, open_case
from umbo.verdict import PROJECT_RULE, guidances


def with_fitting(folder, keys):
    edit(folder, "[ear.right.thresholds]", f"[ear.right.fitting]\n{keys}\n\n[ear.right.thresholds]")


@pytest.fixture
def folder(tmp_path):
    return build_case(tmp_path / "case")


def test_guidance_and_mould_arrive(folder):
    with_fitting(folder, 'guidance = "bsa"\nmould_since = 2026-10-01')
    ear = open_case(folder).plan.ears[Ear.RIGHT]
    assert (ear.guidance, ear.mould_since) == ("bsa", date(2026, 10, 1))


def test_left_out_the_projects_own_rule_counts(folder):
    ear = open_case(folder).plan.ears[Ear.RIGHT]
    assert (ear.guidance, ear.mould_since) == (PROJECT_RULE, None)


def test_a_case_knows_every_guidance_and_no_other():
    fitting = case_schema()["$defs"]["FittingTable"]["properties"]["guidance"]
    assert set(fitting["enum"]) == {one.key for one in guidances()}
    assert fitting["default"] == PROJECT_RULE


def test_the_day_of_a_recording_arrives(folder):
    edit(folder, 'name = "ear sweep"\n', 'name = "ear sweep"\ndate = 2026-11-01\n')
    takes = {take.name: take.taken_on for take in open_case(folder).plan.takes}
    assert takes == {"coupler sweep": None, "ear sweep": date(2026, 11, 1)}


def test_the_day_of_a_curve_arrives_and_its_header_may_say_it_too(folder):
    add_curve(folder)
    edit(folder, 'name = "exported"\n', 'name = "exported"\ndate = 2026-11-01\n')
    (curve,) = open_case(folder).plan.curves
    assert curve.taken_on == date(2026, 11, 1)
    path = folder / "exported.csv"
    path.write_text("# date: 2026-11-01\n" + path.read_text())
    assert open_case(folder).plan.curves[0].taken_on == date(2026, 11, 1)
    path.write_text(path.read_text().replace("2026-11-01", "2026-11-02"))
    with pytest.raises(CaseError, match="means date '2026-11-01', but the header"):
        open_case(folder)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ('guidance = "mine"', "ear.right.fitting.guidance is 'mine', but must be 'bsa', 'mccreery_2013'"),
        ("guidance = 5", "ear.right.fitting.guidance is 5"),
        (
            "mould_since = 2026-11-26",
            "fitting.mould_since is 2026-11-26, after the measurement on 2026-11-25",
        ),
        ('mould_since = "2026-11-20"', "ear.right.fitting.mould_since is '2026-11-20', but must be a date"),
        ("mould_since = 0020-01-01", "ear.right.fitting.mould_since is 0020-01-01, which is no plausible date"),
    ],
)
def test_a_fitting_that_cannot_be_is_refused(folder, keys, said):
    with_fitting(folder, keys)
    with pytest.raises(CaseError) as refused:
        open_case(folder)
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ("2026-11-26", "recording['ear sweep'].date is 2026-11-26, after the measurement on 2026-11-25; check both"),
        ("3026-11-26", "recording['ear sweep'].date is 3026-11-26, which is no plausible date"),
        ("11", "recording['ear sweep'].date is 11, but must be a date without quotes"),
    ],
)
def test_a_day_that_cannot_be_is_refused(folder, day, said):
    edit(folder, 'name = "ear sweep"\n', f'name = "ear sweep"\ndate = {day}\n')
    with pytest.raises(CaseError) as refused:
        open_case(folder)
    assert said in str(refused.value)


def test_a_day_needs_the_day_of_the_measurement(folder):
    edit(folder, "measured = 2026-11-25\n", "")
    edit(folder, 'name = "ear sweep"\n', 'name = "ear sweep"\ndate = 2026-11-01\n')
    with pytest.raises(CaseError, match="but the date of the measurement is missing; add measured"):
        open_case(folder)
