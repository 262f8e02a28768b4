"""Ear canals with their drum: closed forms of the horn equation, the field inside, soft skin."""

import time
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.acoustics import (
    EAR_AIR,
    INFANT_WALL,
    RIGID,
    SCANNED_EARS_WALL,
    EarCanal,
    SkinWall,
    canal,
    canal_to_its_end,
    cylinder,
    drum_impedance_hudde_engel_1998,
    line_constants,
    pressure_ratio_at,
)
from umbo.errors import InputError, OutOfRangeError

FREQUENCY_HZ = np.geomspace(100.0, 16e3, 60)
ZD = drum_impedance_hudde_engel_1998(FREQUENCY_HZ)
RADIUS = 3.75e-3
AREA = np.pi * RADIUS**2
RHO, C = EAR_AIR.density_kg_m3, EAR_AIR.sound_speed_m_s
# the same air without viscosity and heat conduction
LOSSLESS = SimpleNamespace(
    density_kg_m3=RHO,
    sound_speed_m_s=C,
    viscosity_pa_s=1e-20,
    heat_capacity_ratio=EAR_AIR.heat_capacity_ratio,
    prandtl_number=EAR_AIR.prandtl_number,
    bulk_modulus_pa=EAR_AIR.bulk_modulus_pa,
    characteristic_impedance_pa_s_m=EAR_AIR.characteristic_impedance_pa_s_m,
)
TAPER = (np.linspace(0.0, 26e-3, 20), np.linspace(60e-6, 12e-6, 20))


def level_db(ratio):
    return 20 * np.log10(np.abs(ratio))


@pytest.mark.parametrize("load", [RIGID, ZD])
@pytest.mark.parametrize("wall", [None, INFANT_WALL, SCANNED_EARS_WALL])
def test_a_straight_canal_is_a_cylinder(load, wall):
    ours = EarCanal([0.0, 25e-3], [AREA, AREA], wall=wall).response(FREQUENCY_HZ, load)
    tube = cylinder(FREQUENCY_HZ, 25e-3, RADIUS, EAR_AIR, wall).terminate(load)
    np.testing.assert_allclose(ours.input_impedance, tube.input_impedance, rtol=1e-8)
    np.testing.assert_allclose(ours.transfer_impedance, tube.transfer_impedance, rtol=1e-8)
    np.testing.assert_allclose(ours.pressure_ratio, tube.pressure_ratio, rtol=1e-8)


def test_a_tapered_canal_is_a_chain_of_cones():
    ours, cones = EarCanal(*TAPER).response(FREQUENCY_HZ, ZD), canal(FREQUENCY_HZ, *TAPER).terminate(ZD)
    np.testing.assert_allclose(level_db(ours.input_impedance / cones.input_impedance), 0.0, atol=0.1)
    np.testing.assert_allclose(level_db(ours.transfer_impedance / cones.transfer_impedance), 0.0, atol=0.1)


def test_an_exponential_horn_has_its_cut_off():
    """Closed form: p = e^(-mx/2) (...) with k'² = k² - m²/4, area S0 e^(mx); textbook (Webster 1919)."""
    length, m = 25e-3, -80.0
    x = np.linspace(0.0, length, 60)
    frequency = np.array([1e3, 3e3, 6e3, 10e3, 15e3])
    z = EarCanal(x, 60e-6 * np.exp(m * x), air=LOSSLESS).response(frequency, RIGID).transfer_impedance
    k = 2 * np.pi * frequency / C
    root = np.sqrt(k**2 - m**2 / 4 + 0j)
    # p = e^(-mx/2) [cos κ(x-l) + (m/2κ) sin κ(x-l)] e^(ml/2) has no slope at l; U = -S p'/(jωρ) at 0
    slope = -np.exp(m * length / 2) * (k**2 / root) * np.sin(-root * length)
    np.testing.assert_allclose(level_db(z / (1j * 2 * np.pi * frequency * RHO / (-60e-6 * slope))), 0.0, atol=0.1)


def test_quarter_and_half_wave_of_a_rigid_end():
    frequency = np.arange(2000.0, 9000.0, 5.0)
    response = EarCanal([0.0, 25e-3], [AREA, AREA]).response(frequency, RIGID)
    assert frequency[np.argmin(np.abs(response.input_impedance))] == pytest.approx(C / 0.1, rel=0.02)
    assert frequency[np.argmax(np.abs(response.transfer_impedance))] == pytest.approx(C / 0.05, rel=0.02)


def test_a_narrow_neck_before_a_room_is_a_helmholtz_resonator():
    """f = c/2π sqrt(S/(V l)); no end correction in one dimension, and the room's own inertance adds a third of it."""
    neck, room, narrow, wide = 10e-3, 10e-3, 1.5e-3, 5e-3
    x = np.array([0.0, neck, neck + 1e-4, neck + room])
    area = np.pi * np.array([narrow, narrow, wide, wide]) ** 2
    frequency = np.arange(500.0, 4000.0, 5.0)
    z = EarCanal(x, area).response(frequency, RIGID).input_impedance
    volume = np.pi * wide**2 * room
    # neck and a third of its own air and of the room's take part in the motion
    mass = neck / area[0] + room / (3 * area[-1])
    compliance = volume + area[0] * neck / 3
    expected = C / (2 * np.pi) / np.sqrt(compliance * mass)
    assert frequency[np.argmin(np.abs(z))] == pytest.approx(expected, rel=0.04)


@given(st.floats(0.0, 6e-3), st.floats(0.0, 8e-3))
@settings(max_examples=25, deadline=None)
def test_volume_is_all_that_counts_at_low_frequency(beyond, span):
    """Wherever the umbo is and however the drum is spread: compliances of air and drum add up."""
    frequency = np.array([50.0])
    zd = 1.0 / (2j * np.pi * 50.0 * 3e-12)
    end = 26e-3
    ear = EarCanal([0.0, end], [AREA, AREA], end - beyond, drum_span_m=span)
    z = ear.response(frequency, zd).transfer_impedance
    whole = cylinder(frequency, end, RADIUS, EAR_AIR).transfer_impedance(zd)
    np.testing.assert_allclose(z, whole, rtol=2e-4)


def test_a_drum_over_the_whole_length_is_a_line_with_more_admittance():
    """Closed form: cosh and sinh of Γ = sqrt(Z'(Y' + 1/(Z_d l)))."""
    length = 10e-3
    tube = line_constants(FREQUENCY_HZ, RADIUS, EAR_AIR)
    series = tube.propagation * tube.characteristic_impedance
    shunt = tube.propagation / tube.characteristic_impedance + 1 / (ZD * length)
    gamma, z = np.sqrt(series * shunt), np.sqrt(series / shunt)
    ours = EarCanal([0.0, length], [AREA, AREA], drum_span_m=length).response(FREQUENCY_HZ, ZD)
    np.testing.assert_allclose(ours.transfer_impedance, z / np.sinh(gamma * length), rtol=1e-8)
    np.testing.assert_allclose(ours.input_impedance, z / np.tanh(gamma * length), rtol=1e-8)


def test_the_part_beyond_the_umbo_is_a_closed_tube_beside_the_drum():
    ears = EarCanal([0.0, 25e-3], [AREA, AREA], 22e-3).response(FREQUENCY_HZ, ZD)
    stub = cylinder(FREQUENCY_HZ, 3e-3, RADIUS, EAR_AIR).input_impedance(RIGID)
    whole = cylinder(FREQUENCY_HZ, 22e-3, RADIUS, EAR_AIR).terminate(1 / (1 / stub + 1 / ZD))
    np.testing.assert_allclose(ears.transfer_impedance, whole.transfer_impedance, rtol=1e-8)
    np.testing.assert_allclose(ears.input_impedance, whole.input_impedance, rtol=1e-8)


@given(st.floats(0.0, 25e-3), st.booleans())
@settings(max_examples=30, deadline=None)
def test_inside_a_straight_canal_the_field_is_the_standing_wave(distance, rigid):
    load = RIGID if rigid else ZD
    ours = EarCanal([0.0, 25e-3], [AREA, AREA]).pressure_ratio_at(FREQUENCY_HZ, distance, load)
    closed = pressure_ratio_at(distance, line_constants(FREQUENCY_HZ, RADIUS, EAR_AIR), load)
    np.testing.assert_allclose(ours, closed, rtol=1e-7, atol=1e-9)


def test_the_field_at_the_first_section_is_the_pressure_ratio_turned_over():
    ear = EarCanal(*TAPER, 24e-3, wall=SCANNED_EARS_WALL)
    ends = ear.pressure_ratio_at(FREQUENCY_HZ, 24e-3, ZD)
    np.testing.assert_allclose(ends, 1 / ear.response(FREQUENCY_HZ, ZD).pressure_ratio, rtol=1e-9)


def test_many_ears_and_places_in_one_call():
    rng = np.random.default_rng(7)
    position = np.linspace(0.0, 1.0, 6) * rng.uniform(20e-3, 30e-3, (5, 1))
    area = rng.uniform(20e-6, 60e-6, (5, 6))
    umbo, distance = 0.9 * position[:, -1], rng.uniform(1e-3, 15e-3, 5)
    many = EarCanal(position, area, umbo).pressure_ratio_at(FREQUENCY_HZ, distance, ZD)
    assert many.shape == (5, FREQUENCY_HZ.size)
    one = EarCanal(position[3], area[3], umbo[3])
    np.testing.assert_allclose(many[3], one.pressure_ratio_at(FREQUENCY_HZ, distance[3], ZD))
    places = one.pressure_ratio_at(FREQUENCY_HZ, distance, ZD)
    np.testing.assert_allclose(places[3], many[3])
    drums = np.stack([ZD, 2 * ZD, ZD, ZD, ZD])
    assert EarCanal(position, area, umbo).response(FREQUENCY_HZ, drums).input_impedance.shape == many.shape


@given(
    st.lists(st.floats(8e-6, 80e-6), min_size=4, max_size=4),
    st.floats(0.0, 4e-3),
    st.floats(0.0, 8e-3),
    st.sampled_from([None, SCANNED_EARS_WALL, INFANT_WALL]),
)
@settings(max_examples=25, deadline=None)
def test_canals_absorb_and_never_give(area, beyond, span, wall):
    ear = EarCanal(np.linspace(0, 25e-3, 4), area, 25e-3 - beyond, wall=wall, drum_span_m=span)
    assert (ear.response(FREQUENCY_HZ, ZD).input_impedance.real > 0).all()
    assert (ear.response(FREQUENCY_HZ, RIGID).input_impedance.real > 0).all()


def test_spreading_adds_an_inertance_to_the_input_alone():
    plain = EarCanal(*TAPER).response(FREQUENCY_HZ, ZD)
    spread = EarCanal(*TAPER, entrance_spreading=0.2).response(FREQUENCY_HZ, ZD)
    np.testing.assert_array_equal(spread.transfer_impedance, plain.transfer_impedance)
    added = (spread.input_impedance - plain.input_impedance) / (2j * np.pi * FREQUENCY_HZ)
    np.testing.assert_allclose(added, 0.2 * RHO / np.sqrt(60e-6), rtol=1e-6)


def test_skin_is_a_spring_below_and_a_mass_above_its_resonance():
    skin = SkinWall(1e9, 4e4, 2.7)
    assert skin.resonance_hz == pytest.approx(3063, abs=1)
    z = skin.specific_impedance([30.0, skin.resonance_hz, 30e3])
    assert z[0].imag == pytest.approx(-1e9 / (2 * np.pi * 30.0), rel=1e-3)
    assert z[1] == pytest.approx(4e4)
    assert z[2].imag == pytest.approx(2 * np.pi * 30e3 * 2.7, rel=0.02)
    assert SkinWall(1e9, 4e4, 0.0).resonance_hz == np.inf


def test_skin_adds_its_compliance_to_the_volume():
    """At 50 Hz: wall area over stiffness."""
    frequency = np.array([50.0])
    hard, soft = (
        EarCanal([0.0, 25e-3], [AREA, AREA], wall=wall).response(frequency, RIGID).input_impedance[0]
        for wall in (None, SCANNED_EARS_WALL)
    )
    added = (1 / soft - 1 / hard).imag / (2 * np.pi * 50.0)
    assert added == pytest.approx(2 * np.pi * RADIUS * 25e-3 / 1e9, rel=0.01)


def test_canal_to_its_end_goes_on_or_stops_short():
    position, area, umbo = canal_to_its_end([0.0, 20e-3], [40e-6, 20e-6], 2e-3)
    assert umbo == 20e-3
    assert position[-1] == pytest.approx(22e-3)
    assert area[-1] == pytest.approx(10e-6)
    assert (np.diff(position) > 0).all()
    position, area, umbo = canal_to_its_end([0.0, 20e-3], [40e-6, 20e-6], -3e-3)
    assert position.tolist() == [0.0, 20e-3]
    assert umbo == pytest.approx(17e-3)


def test_what_does_not_fit_is_refused():
    with pytest.raises(InputError, match="one area for each"):
        EarCanal([0.0, 1e-3, 2e-3], [1e-5, 1e-5])
    with pytest.raises(InputError, match="umbo's place on that axis"):
        EarCanal([0.0, 20e-3], [1e-5, 1e-5], 21e-3)
    with pytest.raises(OutOfRangeError, match="distance between sections"):
        EarCanal([0.0, 2e-3, 1e-3], [1e-5, 1e-5, 1e-5])
    with pytest.raises(OutOfRangeError, match="cross-section area"):
        EarCanal([0.0, 2e-3], [1e-5, 0.0])
    with pytest.raises(OutOfRangeError, match="drum span"):
        EarCanal([0.0, 2e-3], [1e-5, 1e-5], drum_span_m=-1e-3)
    with pytest.raises(OutOfRangeError, match="inside the canal"):
        EarCanal([0.0, 20e-3], [1e-5, 1e-5]).pressure_ratio_at(FREQUENCY_HZ, 21e-3)
    with pytest.raises(OutOfRangeError, match="distance from the umbo"):
        EarCanal([0.0, 20e-3], [1e-5, 1e-5]).pressure_ratio_at(FREQUENCY_HZ, -1e-3)
    with pytest.raises(OutOfRangeError, match="wall stiffness"):
        SkinWall(0.0, 1.0, 1.0)


def test_a_hundred_ears_are_quick():
    """A hundred canals at 60 frequencies in about half a second (best of 2)."""
    ear = EarCanal(np.tile(TAPER[0], (100, 1)), np.tile(TAPER[1], (100, 1)))
    times = []
    for _ in range(2):
        start = time.perf_counter()
        ear.pressure_ratio_at(FREQUENCY_HZ, 5e-3, ZD)
        times.append(time.perf_counter() - start)
    assert min(times) < 1.5
