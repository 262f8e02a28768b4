"""Vents: worked examples, an independent two-port with model drums, and the limits of a closed and an open mould."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.acoustics import EAR_AIR, OPEN, cylinder, drum_impedance_hudde_engel_1998, drum_impedance_infant_2022
from umbo.core import Ear, Grid
from umbo.ear import Vent, ear_volume_m3, end_correction_m, vent_corner_hz, vent_effect, vent_transmission
from umbo.errors import OutOfRangeError

ADULT = Vent(2e-3, 18e-3)
INFANT = Vent(2e-3, 10e-3)
SIX_MONTHS = 6.0


def effect(vent, hz, age=None):
    grid = Grid.tones(np.atleast_1d(np.array(hz, dtype=float)))
    return vent_effect(grid, vent, ear=Ear.RIGHT, age_months=age)


def entering(vent, hz, age=None):
    grid = Grid.tones(np.atleast_1d(np.array(hz, dtype=float)))
    return vent_transmission(grid, vent, ear=Ear.RIGHT, age_months=age)


def test_worked_examples():
    # worked by hand with c = 345 m/s and 8/(3 pi) of the radius at either end: 2 mm x 18 mm on 1.26 cm3 and 2 mm x
    # 10 mm on 0.6 cm3 give about 620 and 1160 Hz; -14 dB at 250 Hz; -26 dB at 250 and -13 dB at 500 Hz
    assert vent_corner_hz(ADULT, 1.26e-6) == pytest.approx(620, abs=5)
    assert vent_corner_hz(INFANT, 0.6e-6) == pytest.approx(1160, abs=5)
    assert effect(ADULT, 250).level_db == pytest.approx(-14, abs=0.5)
    assert effect(INFANT, [250, 500], SIX_MONTHS).level_db == pytest.approx([-26, -13], abs=0.5)


def test_both_end_corrections():
    # Rayleigh: 0.8488 of the radius; Levine & Schwinger 1948: 0.6133 (from memory)
    assert end_correction_m(1e-3, flanged=True) == pytest.approx(0.8488e-3, abs=1e-7)
    assert end_correction_m(1e-3, flanged=False) == pytest.approx(0.6133e-3)
    assert ADULT.effective_length_m == pytest.approx(18e-3 + 2 * 0.8488e-3, abs=1e-7)


def test_volumes_by_age():
    # occluded-ear simulator at 500 Hz: 1.26 cm3 (from memory)
    assert ear_volume_m3(400.0) == ear_volume_m3(None) == pytest.approx(1.26e-6)
    volumes = [ear_volume_m3(age) for age in (0.0, 1.0, 6.0, 24.0, 84.0)]
    assert volumes == sorted(volumes)
    # at one month: canal of 10 mm x 1.7 mm radius closed by the drum of Sankowsky-Rothe et al. 2022, at 500 Hz
    hz = np.array([500.0])
    z = cylinder(hz, 10e-3, 1.7e-3, EAR_AIR).input_impedance(drum_impedance_infant_2022(hz))
    assert ear_volume_m3(1.0) == pytest.approx(float(EAR_AIR.bulk_modulus_pa / (2 * np.pi * 500 * abs(z))[0]), rel=0.03)


@pytest.mark.parametrize(
    ("vent", "age", "canal_m", "radius_m", "drum"),
    [
        (Vent(1e-3, 18e-3), None, 14e-3, 3.75e-3, drum_impedance_hudde_engel_1998),
        (Vent(2e-3, 18e-3), None, 14e-3, 3.75e-3, drum_impedance_hudde_engel_1998),
        (Vent(2e-3, 10e-3), 1.0, 10e-3, 1.7e-3, drum_impedance_infant_2022),
    ],
)
def test_against_a_lossy_bore_on_a_canal_with_a_drum(vent, age, canal_m, radius_m, drum):
    hz = np.array([125.0, 250.0, 500.0, 1000.0, 2000.0])
    ear = cylinder(hz, canal_m, radius_m, EAR_AIR).input_impedance(drum(hz))
    bore = cylinder(hz, vent.effective_length_m, vent.diameter_m / 2, EAR_AIR).input_impedance(OPEN)
    for model, found in (
        (20 * np.log10(abs(bore / (bore + ear))), effect(vent, hz, age)),
        (20 * np.log10(abs(ear / (bore + ear))), entering(vent, hz, age)),
    ):
        # bore losses, the drum's resistance and its compliance (1.4 cm3 in the adult) are not in the lumped form
        off = np.abs(found.level_db - model)
        assert np.all(off < 2.5 * found.u_db + 1.5)
        assert np.median(off) < 3.0


@given(hz=st.floats(20.0, 16e3), diameter=st.floats(1e-4, 1e-2), length=st.floats(1e-3, 4e-2), age=st.floats(0.0, 1000))
def test_low_sound_passes_and_high_sound_stays(hz, diameter, length, age):
    vent = Vent(diameter, length)
    x = hz / vent_corner_hz(vent, ear_volume_m3(age))
    out, into = effect(vent, hz, age).level_db[0], entering(vent, hz, age).level_db[0]
    assert out - into == pytest.approx(40 * np.log10(x))  # 12 dB per octave apart
    assert max(out, into) < 6.5  # resonance of quality 2: 6.3 dB
    if x < 0.1:
        assert into == pytest.approx(0, abs=0.1)
    if x > 10:
        assert out == pytest.approx(0, abs=0.1)
    most = vent_effect(Grid.tones([hz]), vent, ear=Ear.RIGHT, age_months=age, never_lowers=True).level_db[0]
    assert most == max(out, 0.0)


def test_a_wider_vent_has_a_higher_corner_and_so_has_a_smaller_ear():
    corners = [vent_corner_hz(Vent(d, 15e-3), 1e-6) for d in (0.5e-3, 1e-3, 2e-3, 4e-3)]
    assert corners == sorted(corners)
    assert vent_corner_hz(ADULT, 0.5e-6) > vent_corner_hz(ADULT, 1e-6)


def test_doubt_is_widest_at_the_resonance_and_names_its_causes():
    found = effect(ADULT, [125, 620, 4000])
    assert np.argmax(found.u_db) == 1
    assert {c.id for c in entering(ADULT, 500).uncertainty.components} == {
        "vent_corner:right",
        "vent_form:right",
        "vent_quality:right",
        "vent_mouth:right",
    }


@pytest.mark.parametrize("size", [(0.0, 18e-3), (11e-3, 18e-3), (2e-3, 0.0), (2e-3, 41e-3), (np.nan, 1e-2)])
def test_what_is_no_vent_is_refused(size):
    with pytest.raises(OutOfRangeError, match="describe a vent"):
        Vent(*size)


def test_an_ear_without_volume_is_refused():
    with pytest.raises(OutOfRangeError, match="volume"):
        vent_corner_hz(ADULT, 0.0)
