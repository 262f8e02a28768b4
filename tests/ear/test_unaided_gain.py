"""Unaided gain by age: the adult curve where the ear is an adult's, moved and marked where it is not."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo import refdata
from umbo.core import Ear, Plane
from umbo.ear import UNAIDED_SOURCE, field_to_eardrum, resonance_hz, unaided_gain
from umbo.errors import NotPossibleHereError, OutOfRangeError

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 2500.0, 4000.0, 8000.0])


def gain(age, hz=HZ, *, field="free", source=UNAIDED_SOURCE):
    return unaided_gain(hz, age, ear=Ear.LEFT, field=field, source=source)


@pytest.mark.parametrize(
    ("field", "source", "column"),
    [
        ("free", "ansi-s3.5-1997", "ansi_s3p5_free_field_to_eardrum_db"),  # ANSI S3.5-1997 Table 3
        ("free", "iso-11904-1-2002", "iso11904_1_free_field_db"),
        ("diffuse", "iso-11904-1-2002", "iso11904_1_diffuse_db"),
        ("free", "moore-2016", "moore_2016_free_field_db"),
        ("diffuse", "moore-2016", "moore_2016_diffuse_db"),
    ],
)
@pytest.mark.parametrize("age", [84.0, 800.0])
def test_an_adult_has_the_published_curve(field, source, column, age):
    table = refdata.table("field_to_eardrum", source=source)
    hz, published = table.series(column)
    found = gain(age, hz, field=field, source=source)
    np.testing.assert_allclose(found.level_db, published, atol=1e-9)
    assert set(found.states.words) == {"ok"}
    assert str(found.start) == f"{field}_field"
    assert found.end == Plane.eardrum()


def test_field_to_eardrum_is_the_adult_curve():
    np.testing.assert_array_equal(field_to_eardrum(HZ, ear=None).level_db, gain(84.0).level_db)


@given(age=st.floats(0.0, 83.9))
def test_a_child_has_the_same_curve_elsewhere_and_every_point_says_so(age):
    found = gain(age)
    ratio = resonance_hz(age, field="free", source=UNAIDED_SOURCE) / resonance_hz(
        84.0, field="free", source=UNAIDED_SOURCE
    )
    inside = HZ / ratio >= 160
    np.testing.assert_allclose(found.level_db[inside], gain(84.0, HZ[inside] / ratio).level_db, atol=1e-9)
    assert ratio > 1
    assert set(found.states.words) == {"interpolated"}
    assert any("adult curve moved to the resonance of this age: assumed" in why for why in found.states.reasons(0))
    assert "assumed" in found.explain(1000.0)


def test_the_construction_is_more_in_doubt_for_children():
    def construction(age):
        return next(c for c in gain(age).uncertainty.components if c.id.startswith("reug_construction")).contribution_db

    assert np.all(construction(3.0) >= construction(84.0) - 0.5)
    assert construction(3.0).max() > construction(48.0).max() > construction(84.0).max()
    assert construction(None).max() > construction(84.0).max()


def test_an_unknown_age_is_an_adult_with_more_doubt():
    np.testing.assert_array_equal(gain(None).level_db, gain(84.0).level_db)
    assert np.all(gain(None).u_db >= gain(84.0).u_db)
    assert set(gain(None).states.words) == {"interpolated"}


def test_below_the_table_the_gain_goes_to_nothing():
    # 160 Hz: 0.0 dB (ANSI S3.5-1997 Table 3); 200 Hz: 0.6 dB (ISO 11904-1), 0 dB at 20 Hz
    assert gain(84.0, np.array([125.0])).level_db == pytest.approx(0.0)
    found = gain(84.0, np.array([20.0, 63.0]), source="iso-11904-1-2002")
    assert found.level_db == pytest.approx([0.0, 0.6 * np.log(63 / 20) / np.log(200 / 20)])
    assert set(found.states.words) == {"interpolated"}


@pytest.mark.parametrize(
    ("age", "hz", "sentence"),
    [
        (84.0, [9000.0], "the curve of 'ansi-s3.5-1997' for this age reaches from 20 to 8000 Hz"),
        (84.0, [10.0], "read the unaided gain at 10 Hz"),
        (-1.0, [500.0], "an age is not negative"),
        (np.nan, [500.0], "an age is not negative"),
    ],
)
def test_outside_the_range_nothing_is_made_up(age, hz, sentence):
    with pytest.raises(OutOfRangeError) as refused:
        gain(age, np.array(hz))
    assert sentence in str(refused.value)


def test_a_field_without_a_curve_is_refused():
    with pytest.raises(NotPossibleHereError) as refused:
        gain(84.0, field="diffuse", source="ansi-s3.5-1997")
    assert "iso-11904-1-2002, moore-2016" in str(refused.value)
