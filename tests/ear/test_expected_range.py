"""The adult row and the broad range around it."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from model_readings import GRID, HZ

from umbo.core import CouplerKind, Coupling, Ear, Grid, Plane, Source, Tags, Transfer
from umbo.ear import adult_average_recd, adult_recd_row, plausible_range, shape_findings
from umbo.errors import NotPossibleHereError

AUDIOMETRIC_HZ = np.array([250.0, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000])
ROWS_DB = {  # worked out by hand from the three rows of reference thresholds
    "ha1": [3.0, 3.5, 4.0, 5.5, 9.5, 9.0, 10.5, 15.0, 18.5, 19.0],
    "ha2": [3.5, 4.0, 4.0, 5.5, 7.5, 8.5, 9.5, 9.5, 14.0, 15.5],
    "cc04": [-11.0, -10.5, -10.0, -8.5, -4.5, -5.0, -3.5, 1.0, 4.5, 5.0],
    "oes": [0.0] * 10,
}
ages = st.one_of(st.none(), st.floats(0.0, 1200.0))


@pytest.mark.parametrize("kind", ROWS_DB)
def test_adult_row(kind):
    tolerance = 0.03 if kind == "cc04" else 1e-9
    assert adult_recd_row(CouplerKind(kind), AUDIOMETRIC_HZ) == pytest.approx(ROWS_DB[kind], abs=tolerance)


def test_no_row_for_a_coupler_without_reference_thresholds():
    with pytest.raises(
        NotPossibleHereError, match=r"no RETSPL is tabulated for that coupler; use HA-1, HA-2 or 0\.4 cc"
    ):
        adult_recd_row(CouplerKind.HA4, AUDIOMETRIC_HZ)
    assert plausible_range(CouplerKind.HA4, AUDIOMETRIC_HZ, 480.0) is None


@given(age=ages, kind=st.sampled_from([CouplerKind.HA1, CouplerKind.HA2, CouplerKind.CC04]))
def test_range_is_a_range(age, kind):
    found = plausible_range(kind, HZ, age)
    assert np.all(found.low_db < found.high_db)
    assert "engineering judgement" in found.source


@given(age=st.floats(0.0, 1200.0))
def test_unknown_age_joins_all_ages(age):
    everyone = plausible_range(CouplerKind.HA1, HZ, None)
    one = plausible_range(CouplerKind.HA1, HZ, age)
    assert np.all(everyone.low_db <= one.low_db + 1e-9)
    assert np.all(everyone.high_db >= one.high_db - 1e-9)


def test_young_ears_are_expected_higher():
    inside = (HZ >= 500) & (HZ <= 4000)
    middles = [plausible_range(CouplerKind.HA1, HZ, age).middle_db[inside] for age in (1.0, 6.0, 24.0, 60.0, 480.0)]
    for younger, older in pairwise(middles):
        assert np.all(younger >= older - 1e-9)


@given(age=ages, share=st.floats(0.0, 1.0), tilt=st.floats(-0.3, 0.3))
def test_negative_recd_re_0_4_cc_is_normal(age, share, tilt):
    """Anywhere in the range, at every age, negative below 3 kHz re 0.4 cc, nothing is said."""
    plausible = plausible_range(CouplerKind.CC04, HZ, age)
    where = np.clip(share + tilt * np.log2(HZ / 1000) / 4, 0.0, 1.0)
    curve = plausible.low_db + where * (plausible.high_db - plausible.low_db)
    recd = Transfer.given(
        GRID,
        curve,
        start=Plane.coupler("cc04"),
        end=Plane.eardrum(),
        tags=Tags(quantity="RECD", ear=None, stimulus=None, statistic=None, coupling=None, source=Source.INSERT),
        source="model",
    )
    assert shape_findings(recd, plausible, "normal") == ()


def test_average_carries_the_spread_of_people():
    found = adult_average_recd(CouplerKind.HA1, Grid.tones(AUDIOMETRIC_HZ), ear=Ear.LEFT, coupling=Coupling.MOULD)
    assert found.level_db == pytest.approx(ROWS_DB["ha1"])
    assert found.u_db == pytest.approx(2.7)  # ±5.4 dB for 95 %
    assert found.tags.ear is Ear.LEFT
    tip = adult_average_recd(CouplerKind.HA1, Grid.tones(AUDIOMETRIC_HZ), ear=Ear.LEFT, coupling=Coupling.FOAM_TIP)
    assert tip.u_db == pytest.approx(2.2)  # ±4.4 dB
