"""The algebra and physics of two-ports."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from umbo.acoustics import (
    COUPLER_AIR,
    EAR_AIR,
    INFANT_WALL,
    OPEN,
    RIGID,
    TwoPort,
    cone,
    cylinder,
    identity,
    resonator_impedance,
    series,
    shunt,
    slit,
)
from umbo.errors import GridMismatchError, InputError, OutOfRangeError

FREQUENCY_HZ = np.geomspace(50.0, 20_000.0, 40)
LENGTH = st.floats(0.0, 0.1)
RADIUS = st.floats(0.2e-3, 12e-3)


@st.composite
def elements(draw):
    """A passive two-port of any kind of this layer."""
    kind = draw(st.sampled_from(["cylinder", "cone", "slit", "series", "shunt", "soft"]))
    if kind == "cylinder":
        return cylinder(FREQUENCY_HZ, draw(LENGTH), draw(RADIUS), EAR_AIR)
    if kind == "soft":
        return cylinder(FREQUENCY_HZ, draw(LENGTH), draw(st.floats(1e-3, 5e-3)), EAR_AIR, INFANT_WALL)
    if kind == "cone":
        inlet = draw(RADIUS)
        outlet = inlet * draw(st.floats(0.5, 2.0))
        return cone(FREQUENCY_HZ, draw(st.floats(1e-3, 0.05)), inlet, outlet, COUPLER_AIR)
    if kind == "slit":
        height = draw(st.floats(20e-6, 1e-3))
        return slit(FREQUENCY_HZ, draw(st.floats(1e-3, 15e-3)), draw(st.floats(1e-3, 2e-2)), height, EAR_AIR)
    impedance = resonator_impedance(
        FREQUENCY_HZ, draw(st.floats(0, 1e8)), draw(st.floats(0, 1e4)), draw(st.floats(1e-13, 1e-10))
    )
    return (series if kind == "series" else shunt)(FREQUENCY_HZ, impedance)


def close(one, other, rtol=1e-9):
    for name in "abcd":
        x, y = np.broadcast_arrays(getattr(one, name), getattr(other, name))
        np.testing.assert_allclose(x, y, rtol=rtol, atol=1e-9 * np.abs(y).max() + 1e-300)


@given(elements())
@example(cylinder(FREQUENCY_HZ, 5e-324, 2e-3, EAR_AIR))  # a length that is next to nothing, but not zero
@example(cylinder(FREQUENCY_HZ, 1e-323, 12e-3, EAR_AIR))
def test_every_element_is_passive_and_reciprocal(element):
    assert element.is_passive()
    assert element.is_reciprocal()


@given(st.lists(elements(), min_size=2, max_size=5))
@settings(max_examples=50)
def test_cascades_stay_passive_and_reciprocal(chain):
    whole = chain[0]
    for element in chain[1:]:
        whole = whole @ element
    assert whole.is_passive()
    assert whole.is_reciprocal()


@given(elements(), elements(), elements())
@settings(max_examples=50)
def test_cascade_is_associative(one, two, three):
    close((one @ two) @ three, one @ (two @ three), rtol=1e-6)


@given(elements())
def test_identity_and_zero_length_change_nothing(element):
    close(identity(FREQUENCY_HZ) @ element, element)
    close(element @ cylinder(FREQUENCY_HZ, 0.0, 2e-3, EAR_AIR), element)


@given(elements(), st.floats(1e5, 1e10), st.floats(-1e9, 1e9))
@settings(max_examples=50)
def test_terminated_quantities_agree(element, resistance, reactance):
    load = resistance + 1j * reactance
    ended = element.terminate(load)
    np.testing.assert_allclose(ended.transfer_impedance, ended.pressure_ratio * ended.input_impedance)
    np.testing.assert_allclose(ended.input_impedance, element.input_impedance(load))
    np.testing.assert_allclose(ended.transfer_impedance, element.transfer_impedance(load))
    np.testing.assert_allclose(ended.pressure_ratio, element.pressure_ratio(load))
    # by solving the four equations themselves
    for i in (0, 17, 39):
        system = np.array(
            [
                [1, -element.a[i], -element.b[i]],
                [0, -element.c[i], -element.d[i]],
                [0, 1, -load],
            ]
        )
        p_in, p_out, _ = np.linalg.solve(system, [0, -1, 0])
        assert ended.input_impedance[i] == pytest.approx(p_in, rel=1e-6)
        assert ended.transfer_impedance[i] == pytest.approx(p_out, rel=1e-6)


@given(elements())
@settings(max_examples=30)
def test_transfer_impedance_is_the_same_both_ways(element):
    """Reciprocity: pressure at one rigid end over flow at the other does not depend on the direction."""
    loaded = element @ shunt(FREQUENCY_HZ, 1e8)  # so that something flows in every case
    np.testing.assert_allclose(loaded.transfer_impedance(RIGID), loaded.reversed().transfer_impedance(RIGID), rtol=1e-9)


def test_a_source_of_energy_is_not_passive():
    assert not series(FREQUENCY_HZ, -1e6).is_passive()
    assert not shunt(FREQUENCY_HZ, -1e9 + 1e9j).is_passive()
    gain = TwoPort(FREQUENCY_HZ, *(np.full(40, v, complex) for v in (0.9, 0.0, 0.0, 0.9)))
    assert not gain.is_passive()
    assert not gain.is_reciprocal()


def test_a_lossless_tube_is_on_the_edge_of_passive():
    k = 2 * np.pi * FREQUENCY_HZ / 345.0
    cos, sin = np.cos(0.02 * k) + 0j, 1j * np.sin(0.02 * k)
    assert TwoPort(FREQUENCY_HZ, cos, 3e7 * sin, sin / 3e7, cos).is_passive()


def test_loads_of_every_kind_in_one_array():
    tube = cylinder(FREQUENCY_HZ, 0.02, 3e-3, EAR_AIR)
    mixed = np.full(40, 1e7, complex)
    mixed[3], mixed[5] = RIGID, OPEN
    z = tube.input_impedance(mixed)
    assert z[3] == tube.input_impedance(RIGID)[3] == pytest.approx((tube.a / tube.c)[3])
    assert z[5] == pytest.approx((tube.b / tube.d)[5])
    assert z[7] == tube.input_impedance(1e7)[7]
    assert np.isinf(identity(FREQUENCY_HZ).input_impedance(RIGID)).all()


def test_parameters_vectorise_over_leading_axes():
    lengths, radii = np.array([[0.01], [0.02]]), np.array([1e-3, 2e-3, 3e-3])
    many = cylinder(FREQUENCY_HZ, lengths, radii, EAR_AIR)
    assert many.a.shape == (2, 3, 40)
    one = cylinder(FREQUENCY_HZ, 0.02, 3e-3, EAR_AIR)
    np.testing.assert_allclose(many.b[1, 2], one.b, rtol=1e-12)
    assert (many @ one).terminate(RIGID).input_impedance.shape == (2, 3, 40)


def test_different_frequencies_do_not_cascade():
    other = cylinder(FREQUENCY_HZ[:-1], 0.01, 1e-3, EAR_AIR)
    with pytest.raises(GridMismatchError, match="40 frequencies, the second on 39"):
        _ = cylinder(FREQUENCY_HZ, 0.01, 1e-3, EAR_AIR) @ other


@pytest.mark.parametrize("frequency", [[0.0, 100.0], [-5.0], [float("nan")]])
def test_zero_frequency_is_refused(frequency):
    with pytest.raises(OutOfRangeError, match="leave out 0 Hz"):
        identity(frequency)


def test_frequencies_are_one_dimensional():
    with pytest.raises(InputError, match="have 2 axes"):
        identity([[100.0]])


@pytest.mark.parametrize("radius", [0.0, -1e-3, float("nan"), float("inf")])
def test_impossible_sizes_are_refused(radius):
    with pytest.raises(OutOfRangeError, match="above zero"):
        cylinder(FREQUENCY_HZ, 0.01, radius, EAR_AIR)
    with pytest.raises(OutOfRangeError, match="zero or above"):
        cylinder(FREQUENCY_HZ, -0.01, 1e-3, EAR_AIR)
