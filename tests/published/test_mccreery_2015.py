"""McCreery et al. 2015, Table 5: what a correction leaves, by degree of loss (read as deposited by the authors)."""

import pytest

from umbo import refdata

TABLE = refdata.table("nhl_correction_residual", source="mccreery-2015")

#: Severe to profound loss: fixed by ABR-behavioural differences, fixed by behavioural thresholds, regression. [dB]
SEVERE = {500.0: (-28.6, -13.6, -5.0), 1000.0: (-15.6, -5.6, -3.1), 2000.0: (-11.4, -6.4, -1.2)}


@pytest.mark.parametrize("hz", SEVERE)
def test_a_fixed_correction_overestimates_hearing_and_a_regression_less(hz):
    kinds = ("fixed_abr", "fixed_behavioural", "linear_regression")
    found = tuple(TABLE.at(hz, f"{kind}_severe_profound_db") for kind in kinds)
    assert found == SEVERE[hz]
    assert found[0] < found[1] < found[2] < 0


def test_the_error_grows_with_the_loss():
    for hz in SEVERE:
        row = [TABLE.at(hz, f"fixed_abr_{d}_db") for d in ("normal", "mild", "moderate", "severe_profound")]
        assert row == sorted(row, reverse=True)


def test_a_regression_stays_within_about_6_db():
    worst = max(
        abs(TABLE.at(hz, f"linear_regression_{d}_db"))
        for hz in (500.0, 1000.0, 2000.0, 4000.0)
        for d in ("normal", "mild", "moderate", "severe_profound")
    )
    assert worst == 6.0
