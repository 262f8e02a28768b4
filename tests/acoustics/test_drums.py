"""Eardrums: plausibility numbers, plain transcriptions and the drum impedance of an open data set."""

import numpy as np
import pytest

from umbo.acoustics import (
    EAR_AIR,
    KringlebotnParameters,
    drum_impedance_hudde_engel_1998,
    drum_impedance_infant_2022,
    drum_impedance_kringlebotn_1988,
)
from umbo.acoustics._hudde_engel_1998 import ADULT, INFANT

MODELS = [drum_impedance_hudde_engel_1998, drum_impedance_infant_2022, drum_impedance_kringlebotn_1988]


def equivalent_volume_cm3(impedance):
    return 1.204 * 343.2**2 / (2 * np.pi * 226.0 * abs(impedance)) * 1e6


def test_adult_at_226_hz():
    """An independent re-implementation gives 1.23e8 Pa s/m³, 0.81 cm³."""
    z = drum_impedance_hudde_engel_1998([226.0])[0]
    assert abs(z) == pytest.approx(1.23e8, rel=0.01)
    assert equivalent_volume_cm3(z) == pytest.approx(0.81, abs=0.01)


def test_infant_at_226_hz():
    """2.66e8 Pa s/m³, 0.38 cm³: the drum compliance of the model is set by this number."""
    z = drum_impedance_infant_2022([226.0])[0]
    assert abs(z) == pytest.approx(2.66e8, rel=0.005)
    assert equivalent_volume_cm3(z) == pytest.approx(0.38, abs=0.01)


def test_kringlebotn_at_226_hz_is_in_the_clinical_range():
    """Static admittance of adults 0.3 to 1.7 cm³ (common practice)."""
    assert 0.3 < equivalent_volume_cm3(drum_impedance_kringlebotn_1988([226.0])[0]) < 1.7


@pytest.mark.parametrize("model", MODELS)
def test_drums_are_passive_and_springs_at_low_frequency(model):
    z = model(np.geomspace(50, 20e3, 200))
    assert (z.real > 0).all()
    assert z[0].imag < -5 * abs(z[0].real)


def test_the_infant_drum_is_stiffer_than_the_adult():
    frequency = np.array([125.0, 250.0, 500.0])
    assert (
        np.abs(drum_impedance_infant_2022(frequency)) > 1.5 * np.abs(drum_impedance_hudde_engel_1998(frequency))
    ).all()


def test_kringlebotn_is_the_network_written_out():
    """Same network, one frequency, CGS throughout, elements by hand."""
    f = 1500.0
    s = 2j * np.pi * f
    cavities = 1 / (s * 0.4e-6 + 1 / (60 + s * 1e-3 + 1 / (s * 3.9e-6)))
    drum = s * 7.5e-3 + 1 / (1 / (20 + s * 66e-3 + 1 / (s * 0.3e-6)) + 1 / (120 + 1 / (s * 1.3e-6)))
    inner = 1 / (1 / (6000 + 1 / (s * 0.3e-6)) + 1 / (330 + s * 46e-3 + 1 / (s * 0.56e-6)))
    ossicles = 1 / (1 / (120 + 1 / (s * 0.38e-6)) + 1 / (20 + s * 22e-3 + inner))
    expected = (cavities + drum + ossicles) * 1e5  # dyn s/cm⁵ in Pa s/m³
    assert drum_impedance_kringlebotn_1988([f])[0] == pytest.approx(expected, rel=1e-12)


def test_kringlebotn_parameters_can_be_changed():
    stiff = KringlebotnParameters(c_s=0.1e-6, c_r=0.4e-6)
    assert abs(drum_impedance_kringlebotn_1988([226.0], stiff)[0]) > abs(drum_impedance_kringlebotn_1988([226.0])[0])


def test_parts_of_the_hudde_engel_network():
    """Each block at one frequency, written out from the parameter table."""
    f = np.array([1000.0])
    s = 2j * np.pi * 1000.0
    k = EAR_AIR.bulk_modulus_pa
    x = 1000.0 / 3500.0
    cells = s * 8e-6 / k / (1 - x**2 + 1j * x / 0.4)
    aditus = 1.7e6 + s * 880 + 1 / (s * 0.8e-6 / k + cells)
    assert ADULT.cavities(f, EAR_AIR)[0] == pytest.approx(1 / (1 / (2e6 + k / (s * 0.5e-6)) + 1 / aditus))
    y = np.exp(1.4j * np.log(1 + 1000 / 8000)) / (4e7 + s * 2400 * (1 + np.sqrt(1000 / 1900)) + 1 / (s * 5e-12))
    assert ADULT.drum_admittance(f)[0] == pytest.approx(y)
    x = 1000.0 / 2200.0
    assert ADULT.effective_area(f)[0] == pytest.approx((38e-6 + 2e-6 * x**2) / (1 - x**2 + 1j * x / 1.3))
    inner = 88e-3 + s * 13e-6 + (1 / 1.2e-3 + 1 / 11e-3) / s
    free = 1 / (1 / (0.02 + s * 12e-6) + 1 / (0.08 + 1 / (s * 0.5e-3)))
    mechanical = free + s * 7e-6 + 1 / (s * 3e-3) + 1 / (1 / (1 + 1 / (s * 0.04e-3)) + 1 / inner)
    assert ADULT.ossicle_impedance(f)[0] == pytest.approx(mechanical)


def test_effective_area_is_continuous_where_its_phase_law_changes():
    area = ADULT.effective_area(np.array([1499.999, 1500.001]))
    assert area[0] == pytest.approx(area[1], rel=1e-5)
    assert np.isfinite(INFANT.effective_area(np.array([100.0, 10e3]))).all()


@pytest.mark.shared
def test_adult_drum_is_that_of_the_open_data_set(shared_folder):
    """Wulbusch et al. (2023): the drum impedance with which their finite elements were computed."""
    data = np.genfromtxt(shared_folder / "data/ear_canals/ear01_hudde.csv", delimiter=",", names=True)
    theirs = data["zdrum_re_pa_s_m3"] + 1j * data["zdrum_im_pa_s_m3"]
    ratio = drum_impedance_hudde_engel_1998(data["frequency_hz"]) / theirs
    assert np.abs(20 * np.log10(np.abs(ratio))).max() < 0.15
    assert np.degrees(np.abs(np.angle(ratio))).max() < 2.0
