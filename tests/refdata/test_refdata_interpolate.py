"""Interpolation: marked, log-frequency linear, never outside."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo import refdata
from umbo.errors import OutOfRangeError, TableError


@pytest.fixture(scope="module")
def ha1():
    return refdata.table("retspl_insert", source="ansi-s3.6-undated")


def test_tabulated_frequencies_come_back_unchanged_and_unmarked(ha1):
    frequency_hz, values = ha1.series("er3a_ha1_db_spl")
    result = refdata.interpolate(ha1, "er3a_ha1_db_spl", frequency_hz)
    assert np.array_equal(result.require_inside(), values)
    assert not result.interpolated.any()
    assert not result.outside.any()


def test_the_geometric_middle_is_the_arithmetic_middle(ha1):
    result = refdata.interpolate(ha1, "er3a_ha1_db_spl", [np.sqrt(4000 * 6000)])
    assert result.values[0] == pytest.approx((0.0 - 2.5) / 2)
    assert result.interpolated.tolist() == [True]


def test_outside_points_are_masked_and_refused(ha1):
    result = refdata.interpolate(ha1, "er3a_ha1_db_spl", [100, 1000, 9000])
    assert result.outside.tolist() == [True, False, True]
    assert np.ma.getmaskarray(result.values).tolist() == [True, False, True]
    assert result.interpolated.tolist() == [False, False, False]
    with pytest.raises(OutOfRangeError) as caught:
        result.require_inside()
    assert str(caught.value) == (
        "read er3a_ha1_db_spl of retspl_insert/ansi-s3.6-undated at 100, 9000 Hz: "
        "it is tabulated from 125 to 8000 Hz; leave these frequencies out: nothing is extrapolated."
    )


def test_empty_cells_are_bridged_by_their_neighbours_and_marked():
    derived = refdata.table("recd_adult_mean", source="derived-iso-389-2-1994")
    result = refdata.interpolate(derived, "recd_re_ha1_db", [160.0, 250.0])
    expected = 1.5 + (3.0 - 1.5) * np.log(160 / 125) / np.log(250 / 125)
    assert result.values[0] == pytest.approx(expected)
    assert result.interpolated.tolist() == [True, False]


def test_only_frequency_tables_and_positive_frequencies(ha1):
    with pytest.raises(TableError, match="looked up by 'item'"):
        refdata.interpolate(refdata.table("fit_tolerances", source="wiseman-2023"), "value", [1000])
    with pytest.raises(OutOfRangeError, match="not above 0 Hz"):
        refdata.interpolate(ha1, "er3a_ha1_db_spl", [0.0])


@given(st.lists(st.floats(1.0, 50000.0), min_size=1, max_size=20))
def test_values_stay_between_their_neighbours_and_marks_are_exclusive(wanted_hz):
    table = refdata.table("ltass", source="byrne-1994")
    known_hz, known = table.series("male_db_spl")
    result = refdata.interpolate(table, "male_db_spl", wanted_hz)
    assert not (result.interpolated & result.outside).any()
    for f, value, outside in zip(result.frequency_hz, result.values.filled(np.inf), result.outside, strict=True):
        assert outside == (f < known_hz[0] or f > known_hz[-1])
        if not outside:
            left = np.searchsorted(known_hz, f, side="right") - 1
            right = min(left + 1, known_hz.size - 1)
            low, high = sorted((known[left], known[right]))
            assert low - 1e-9 <= value <= high + 1e-9
