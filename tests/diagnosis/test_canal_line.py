"""The cheap cone against the exact one, and against what must hold of any two-port."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo import acoustics as ac
from umbo.diagnosis._canal_line import carried_outwards
from umbo.diagnosis._fit_grid import FIT_HZ

ONE = np.ones((1, FIT_HZ.size), complex)


def carried(length_m, outer_m, inner_m, end, modulus_pa=np.inf):
    sizes = (np.array([length_m]), (np.array([outer_m]), np.array([inner_m])), np.array([modulus_pa]))
    return carried_outwards(FIT_HZ, end, *sizes)


@pytest.mark.parametrize(
    ("length_m", "outer_m", "inner_m", "modulus_pa", "within_db"),
    [
        (12e-3, 4e-3, 2e-3, np.inf, 0.01),
        (20e-3, 2e-3, 2e-3, np.inf, 0.02),
        (12e-3, 1.5e-3, 2.5e-3, 90e3, 0.15),
    ],
)
def test_against_the_exact_lossy_cone(length_m, outer_m, inner_m, modulus_pa, within_db):
    """Exact Bessel form of umbo.acoustics, itself tested against closed forms."""
    drum = ac.drum_impedance_hudde_engel_1998(FIT_HZ)
    wall = None if np.isinf(modulus_pa) else replace(ac.INFANT_WALL, young_modulus_pa=modulus_pa)
    exact = ac.cone(FIT_HZ, length_m, outer_m, inner_m, ac.EAR_AIR, wall).terminate(drum)
    pressure, flow = carried(length_m, outer_m, inner_m, (ONE, ONE / drum), modulus_pa)
    assert np.abs(20 * np.log10(np.abs(pressure / flow / exact.input_impedance))).max() < within_db
    assert np.abs(20 * np.log10(np.abs(1 / pressure / exact.pressure_ratio))).max() < within_db


def test_the_loss_itself_errs_by_less_than_a_fifth():
    """Attenuation of a line of 1.5 mm radius against the exact form."""
    exact = ac.line_constants(FIT_HZ, 1.5e-3, ac.EAR_AIR)
    matched = (ONE, ONE / exact.characteristic_impedance)
    pressure, _ = carried(20e-3, 1.5e-3, 1.5e-3, matched)
    loss = np.log(np.abs(pressure[0])) / 20e-3
    off = np.abs(loss / exact.propagation.real - 1)
    assert off.max() < 0.2
    assert off[FIT_HZ > 500].max() < 0.1


def test_no_length_does_nothing():
    pressure, flow = carried(0.0, 3e-3, 2e-3, (ONE, 1e-8 * ONE))
    # a cone so short is still a jump of the radius: pressure and flow pass through it
    np.testing.assert_allclose(pressure, 1.0, rtol=1e-3)
    np.testing.assert_allclose(np.abs(flow), 1e-8, rtol=0.05)


@settings(max_examples=30, deadline=None)
@given(st.floats(1e-3, 30e-3), st.floats(1.2e-3, 5e-3), st.floats(1.2e-3, 5e-3))
def test_reciprocal_and_passive(length_m, outer_m, inner_m):
    """AD - BC = 1, and no more power comes out than goes in."""
    a, c = carried(length_m, outer_m, inner_m, (ONE, 0 * ONE))
    b, d = carried(length_m, outer_m, inner_m, (0 * ONE, ONE))
    chain = ac.TwoPort(FIT_HZ, a[0], b[0], c[0], d[0])
    assert chain.is_reciprocal(2e-2)
    assert chain.is_passive(1e-3)
