"""Byrne et al. 1994, Table II: international long-term average speech spectrum."""

import numpy as np
import pytest

from umbo import refdata


@pytest.mark.parametrize(
    ("column", "overall_db"),
    [("combined_70db_overall_db_spl", 70.0), ("male_db_spl", 70.0), ("female_db_spl", 69.7)],
)
def test_overall_level(column, overall_db):
    _, level_db = refdata.table("ltass", source="byrne-1994").series(column)
    assert 10 * np.log10(np.sum(10 ** (level_db / 10))) == pytest.approx(overall_db, abs=0.05)


def test_combined_is_the_mean_of_men_and_women_from_200_hz_and_the_men_below():
    found = refdata.table("ltass", source="byrne-1994")
    frequency_hz, male = found.series("male_db_spl")
    _, female = found.series("female_db_spl")
    combined = np.array([found.at(f, "combined_70db_overall_db_spl") for f in frequency_hz])
    low = frequency_hz < 200
    assert combined[~low] == pytest.approx((male[~low] + female[~low]) / 2, abs=0.1 + 1e-9)
    assert np.array_equal(combined[low], male[low])
