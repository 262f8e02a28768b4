"""ISO 389-2:1994 and ANSI S3.6: insert earphone thresholds, and what follows from their differences.

The standards were not read: HA-1 is from memory, the ear simulator and HA-2 have their status point by point in the
table.
"""

import pytest

from umbo import refdata

FREQUENCY_HZ = [250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000]
# The adult mean RECD worked out by hand from the three rows of the standards' values (1 decimal).
RE_HA1 = [3.0, 3.5, 4.0, 5.5, 9.5, 9.0, 10.5, 15.0, 18.5, 19.0]
RE_HA2 = [3.5, 4.0, 4.0, 5.5, 7.5, 8.5, 9.5, 9.5, 14.0, 15.5]
RE_0P4CC = [-11, -10.5, -10, -8.5, -4.5, -5, -3.5, 1, 4.5, 5]  # HA-1 row minus 14, rounded
RETSPL_HA1 = [14.5, 6.0, 2.0, 0.0, 0.0, 2.5, 2.5, 0.0, -2.5, -3.5]
RETSPL_HA2 = [14.0, 5.5, 2.0, 0.0, 2.0, 3.0, 3.5, 5.5, 2.0, 0.0]
RETSPL_OES = [17.5, 9.5, 6.0, 5.5, 9.5, 11.5, 13.0, 15.0, 16.0, 15.5]


@pytest.mark.parametrize(
    ("source", "column", "expected"),
    [
        ("ansi-s3.6-undated", "er3a_ha1_db_spl", RETSPL_HA1),
        ("iso-389-2-1994", "er3a_ha2_db_spl", RETSPL_HA2),
        ("iso-389-2-1994", "er3a_oes_db_spl", RETSPL_OES),
    ],
)
def test_reference_thresholds(source, column, expected):
    found = refdata.table("retspl_insert", source=source)
    assert [found.at(f, column) for f in FREQUENCY_HZ] == expected


@pytest.mark.parametrize(
    ("column", "expected", "tolerance"),
    [
        ("recd_re_ha1_db", RE_HA1, 1e-9),
        ("recd_re_ha2_db", RE_HA2, 1e-9),
        ("recd_re_0p4cc_stiff_source_db", RE_0P4CC, 0.03),
    ],
)
def test_adult_mean_recd(column, expected, tolerance):
    derived = refdata.table("recd_adult_mean", source="derived-iso-389-2-1994")
    assert [derived.at(f, column) for f in FREQUENCY_HZ] == pytest.approx(expected, abs=tolerance)


def test_the_two_2cc_entrances_differ_most_at_4_khz():
    derived = refdata.table("recd_adult_mean", source="derived-iso-389-2-1994")
    difference = {f: derived.at(f, "ha2_minus_ha1_db") for f in FREQUENCY_HZ}
    assert difference[1500] == 2.0
    assert difference[4000] == max(difference.values()) == 5.5
    assert difference[6000] == 4.5
    assert difference[8000] == 3.5
