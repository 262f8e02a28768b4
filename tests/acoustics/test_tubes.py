"""Tubes, slits and walls against closed forms and plain transcriptions."""

import numpy as np
import pytest
from scipy.special import jv

from umbo.acoustics import (
    COUPLER_AIR,
    EAR_AIR,
    INFANT_WALL,
    OPEN,
    RIGID,
    Wall,
    cone,
    cylinder,
    leak_impedance,
    line_constants,
    resonator_impedance,
    shunt,
    slit,
    volume_impedance,
)

AIR = COUPLER_AIR
RHO, C, ETA = AIR.density_kg_m3, AIR.sound_speed_m_s, AIR.viscosity_pa_s


def transcription(frequency, length, radius):
    """Stinson (1991) for a circular tube, one frequency, Bessel functions as printed."""
    omega = 2 * np.pi * frequency
    kv = np.sqrt(-1j * omega * RHO / ETA)
    kt = np.sqrt(-1j * omega * RHO * AIR.prandtl_number / ETA)
    fv = 2 * jv(1, kv * radius) / (kv * radius * jv(0, kv * radius))
    ft = 2 * jv(1, kt * radius) / (kt * radius * jv(0, kt * radius))
    area = np.pi * radius**2
    z = 1j * omega * RHO / area / (1 - fv)
    y = 1j * omega * area / (RHO * C**2) * (1 + (AIR.heat_capacity_ratio - 1) * ft)
    gamma, zc = np.sqrt(z * y), np.sqrt(z / y)
    return np.array(
        [
            [np.cosh(gamma * length), zc * np.sinh(gamma * length)],
            [np.sinh(gamma * length) / zc, np.cosh(gamma * length)],
        ]
    )


@pytest.mark.parametrize("radius", [20e-6, 0.3e-3, 0.965e-3, 3.75e-3, 9.3e-3])
def test_cylinder_is_the_transcription(radius):
    frequency = np.array([20.0, 200.0, 2e3, 20e3])
    tube = cylinder(frequency, 0.025, radius, AIR)
    for i, f in enumerate(frequency):
        plain = transcription(f, 0.025, radius)
        for j, name in enumerate("abcd"):
            assert getattr(tube, name)[i] == pytest.approx(plain.flat[j], rel=1e-8)


def test_narrow_tube_resists_as_poiseuille():
    radius, length = 50e-6, 0.01
    z = cylinder([20.0], length, radius, AIR).input_impedance(OPEN)[0]
    assert z.real == pytest.approx(8 * ETA * length / (np.pi * radius**4), rel=1e-3)


def test_narrow_closed_tube_is_isothermal():
    radius, length = 20e-6, 1e-3
    z = cylinder([5.0], length, radius, AIR).input_impedance(RIGID)[0]
    isothermal = AIR.bulk_modulus_pa / AIR.heat_capacity_ratio / (np.pi * radius**2 * length)
    assert -z.imag * 2 * np.pi * 5.0 == pytest.approx(isothermal, rel=1e-3)


def test_narrow_slit_resists_as_poiseuille():
    z = leak_impedance([20.0], 8e-3, 5e-3, 60e-6, EAR_AIR)[0]
    assert z.real == pytest.approx(12 * EAR_AIR.viscosity_pa_s * 8e-3 / (5e-3 * (60e-6) ** 3), rel=1e-3)


def test_wide_slit_is_a_plug_of_air():
    z = slit([1000.0], 1e-3, 2e-2, 5e-3, EAR_AIR).input_impedance(OPEN)[0]
    mass = EAR_AIR.density_kg_m3 * 1e-3 / (2e-2 * 5e-3)
    assert z.imag == pytest.approx(2 * np.pi * 1000.0 * mass, rel=0.05)


def test_closed_quarter_wave_tube_shorts_its_input():
    length, radius = 0.025, 3.5e-3
    frequency = np.linspace(2500.0, 4500.0, 4001)
    z = np.abs(cylinder(frequency, length, radius, AIR).input_impedance(RIGID))
    lowest = frequency[np.argmin(z)]
    # the wall slows the wave by 1.045/r_v (Keefe 1984)
    slower = 1 + 1.045 / (radius * np.sqrt(2 * np.pi * lowest * RHO / ETA))
    assert lowest == pytest.approx(C / slower / (4 * length), rel=1e-3)
    assert z.min() < 0.05 * RHO * C / (np.pi * radius**2)


def test_closed_half_wave_tube_peaks():
    frequency = np.linspace(5000.0, 8000.0, 3001)
    z = np.abs(cylinder(frequency, 0.025, 3.5e-3, AIR).input_impedance(RIGID))
    assert frequency[np.argmax(z)] == pytest.approx(C / (2 * 0.025), rel=0.01)


def test_helmholtz_resonance_of_neck_and_volume():
    """A short tube before a volume resonates at (c/2π) sqrt(S/(V l)): no end corrections in one dimension."""
    length, radius, volume = 5e-3, 1e-3, 2e-6
    frequency = np.linspace(300.0, 1200.0, 9001)
    z = cylinder(frequency, length, radius, AIR).input_impedance(volume_impedance(frequency, volume, AIR))
    expected = C / (2 * np.pi) * np.sqrt(np.pi * radius**2 / (volume * length))
    # half the neck's air adds to the volume, viscosity to its mass
    assert frequency[np.argmin(np.abs(z))] == pytest.approx(expected, rel=0.06)
    inertance = cylinder(frequency, length, radius, AIR).input_impedance(OPEN).imag / (2 * np.pi * frequency)
    i = np.argmin(np.abs(z))
    refined = 1 / (2 * np.pi * np.sqrt(inertance[i] * (volume + 0.5 * np.pi * radius**2 * length) / (RHO * C**2)))
    assert frequency[i] == pytest.approx(refined, rel=2e-3)


@pytest.mark.parametrize("outlet", [1.5e-3, 3e-3, 5e-3])
def test_cone_is_many_short_cylinders(outlet):
    frequency = np.array([100.0, 1e3, 5e3, 10e3, 16e3])
    inlet, length, steps = 3e-3, 0.02, 2000
    whole = cone(frequency, length, inlet, outlet, AIR)
    middle = inlet + (outlet - inlet) * (np.arange(steps) + 0.5) / steps
    chain = np.broadcast_to(np.eye(2, dtype=complex), (5, 2, 2))
    for radius in middle:
        step = cylinder(frequency, length / steps, radius, AIR)
        chain = chain @ np.moveaxis(np.array([[step.a, step.b], [step.c, step.d]]), 2, 0)
    fine = np.moveaxis(chain, 0, 2)
    # the loss of the cone is that of its mean radius: 1 % of the magnitude over a threefold change of area
    for name, expected in zip("abcd", fine.reshape(4, 5), strict=True):
        scale = {"a": 1.0, "b": RHO * C / (np.pi * inlet**2), "c": np.pi * inlet**2 / (RHO * C), "d": 1.0}[name]
        np.testing.assert_allclose(getattr(whole, name) / scale, expected / scale, atol=0.012 * 3)


def test_cone_without_taper_is_a_cylinder():
    frequency = np.geomspace(50, 20e3, 30)
    straight, tapered = cylinder(frequency, 0.02, 3e-3, AIR), cone(frequency, 0.02, 3e-3, 3e-3, AIR)
    for name in "abcd":
        np.testing.assert_allclose(getattr(tapered, name), getattr(straight, name), rtol=1e-12)


def test_closed_cone_has_the_spherical_wave_impedance():
    """Towards the apex, rigid at x2: p x = cos ks + sin ks/(k x2) with s the distance from the rigid end."""
    r1, r2, length = 40e-3, 20e-3, 0.05
    frequency = np.array([300.0, 900.0, 3500.0, 6000.0])
    k = 2 * np.pi * frequency / C
    x1, x2 = length * r1 / (r1 - r2), length * r2 / (r1 - r2)
    px = np.cos(k * length) + np.sin(k * length) / (k * x2)
    slope = -k * np.sin(k * length) + np.cos(k * length) / x2 - px / x1
    # jωρ U = S dp/dx, flow counted towards the apex
    z = px * 2j * np.pi * frequency * RHO / (slope * np.pi * r1**2)
    got = cone(frequency, length, r1, r2, AIR).input_impedance(RIGID)
    # as reflections, so that a peak a little moved by the losses counts as little
    reference = RHO * C / (np.pi * r1**2)
    np.testing.assert_allclose((got - reference) / (got + reference), (z - reference) / (z + reference), atol=0.02)


def test_volume_impedance_is_the_adiabatic_spring_and_warms_its_walls():
    ideal = volume_impedance([100.0], 2e-6, AIR)[0]
    assert ideal.real == 0.0
    assert -ideal.imag == pytest.approx(RHO * C**2 / (2 * np.pi * 100.0 * 2e-6))
    warm = volume_impedance([100.0], 2e-6, AIR, surface_m2=10e-4)[0]
    assert abs(warm) < abs(ideal)
    assert warm.real > 0.0


def test_thermal_volume_is_the_closed_tube_at_low_frequency():
    radius, length = 5e-3, 6e-3
    tube = cylinder([200.0], length, radius, AIR).input_impedance(RIGID)[0]
    # the side wall alone exchanges heat in the tube
    lumped = volume_impedance([200.0], np.pi * radius**2 * length, AIR, 2 * np.pi * radius * length)[0]
    assert tube == pytest.approx(lumped, rel=2e-3)


def test_stiff_heavy_wall_is_rigid():
    frequency = np.geomspace(100, 16e3, 20)
    hard = Wall(young_modulus_pa=1e12, thickness_m=3e-3, density_kg_m3=8000.0, damping_ratio=0.1)
    soft, rigid = cylinder(frequency, 0.014, 2e-3, EAR_AIR, hard), cylinder(frequency, 0.014, 2e-3, EAR_AIR)
    np.testing.assert_allclose(soft.input_impedance(RIGID), rigid.input_impedance(RIGID), rtol=1e-3)


def test_soft_wall_adds_its_own_compliance_at_low_frequency():
    radius, length = 1.7e-3, 14e-3
    z = cylinder([20.0], length, radius, EAR_AIR, INFANT_WALL).input_impedance(RIGID)[0]
    compliance = (1 / z).imag / (2 * np.pi * 20.0)
    # volume change per pressure of a thin ring: 2π r l · r²/(E h)
    of_wall = 2 * np.pi * radius**3 * length / (90e3 * 3e-3)
    of_air = np.pi * radius**2 * length / EAR_AIR.bulk_modulus_pa
    assert compliance == pytest.approx(of_wall + of_air, rel=0.03)


def test_side_branch_takes_the_pressure_at_its_resonance():
    frequency = np.linspace(500.0, 1500.0, 1001)
    branch = resonator_impedance(frequency, 1e5, 1e4, 1 / (1e4 * (2 * np.pi * 1000.0) ** 2))
    ratio = np.abs(shunt(frequency, branch).transfer_impedance(1e8))
    assert frequency[np.argmin(ratio)] == pytest.approx(1000.0)
    assert ratio.min() == pytest.approx(1e5, rel=1e-2)


def test_line_constants_of_an_ensemble_have_its_shape():
    assert line_constants([100.0, 200.0], np.full((4, 3), 2e-3), EAR_AIR).propagation.shape == (4, 3, 2)
