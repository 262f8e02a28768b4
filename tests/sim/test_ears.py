"""Virtual ears against closed forms, passivity, and what the literature reports of changed middle ears."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from umbo.acoustics import EAR_AIR
from umbo.errors import OutOfRangeError
from umbo.sim import Leak, VirtualEar, ear_paths, random_ear

FREQUENCY_HZ = np.geomspace(100.0, 16000.0, 120)
UNIFORM = VirtualEar(age_months=480.0, length_m=15e-3, radius_m=(3.9e-3, 3.9e-3, 3.9e-3), probe_to_drum_m=6e-3)


def lossless_line(ear, length_m):
    """Phase and characteristic impedance of a tube without losses, in plain terms."""
    k = 2 * np.pi * FREQUENCY_HZ / EAR_AIR.sound_speed_m_s
    return k * length_m, EAR_AIR.density_kg_m3 * EAR_AIR.sound_speed_m_s / (np.pi * ear.radius_m[1] ** 2)


def test_uniform_canal_against_the_lossless_line():
    found = UNIFORM.impedances(FREQUENCY_HZ)
    drum = UNIFORM.drum_impedance(FREQUENCY_HZ)
    whole, z = lossless_line(UNIFORM, UNIFORM.length_m)
    near, _ = lossless_line(UNIFORM, UNIFORM.probe_to_drum_m)
    expected_input = (
        z * (drum * np.cos(whole) + 1j * z * np.sin(whole)) / (z * np.cos(whole) + 1j * drum * np.sin(whole))
    )
    expected_probe_over_drum = np.cos(near) + 1j * z / drum * np.sin(near)
    # wall losses are left out of the transcription: they cost least away from the resonances
    assert np.median(np.abs(20 * np.log10(np.abs(found.input / expected_input)))) < 0.1
    difference_db = 20 * np.log10(np.abs(found.to_probe / found.to_drum / expected_probe_over_drum))
    away_from_null = np.abs(expected_probe_over_drum) > 0.3  # losses fill the null
    assert np.sum(away_from_null) > 110
    assert np.max(np.abs(difference_db[away_from_null])) < 0.25


def test_probe_at_either_end():
    at_drum = replace(UNIFORM, probe_to_drum_m=0.0).impedances(FREQUENCY_HZ)
    assert np.allclose(at_drum.to_probe, at_drum.to_drum)
    at_outlet = replace(UNIFORM, probe_to_drum_m=UNIFORM.length_m).impedances(FREQUENCY_HZ)
    assert np.allclose(at_outlet.to_probe, at_outlet.input)


def test_probe_a_hair_beside_a_joint_of_the_model():
    joint = replace(UNIFORM, probe_to_drum_m=15e-3 * 3 / 8)
    beside = joint.with_probe(15e-3 * 3 / 8 + 1e-11)
    assert np.allclose(joint.impedances(FREQUENCY_HZ).to_probe, beside.impedances(FREQUENCY_HZ).to_probe, rtol=1e-6)


def test_probe_outside_the_canal_is_refused():
    with pytest.raises(OutOfRangeError, match="canal left is 15 mm"):
        UNIFORM.with_probe(16e-3)


def test_the_radius_passes_through_its_three_values():
    ear = replace(UNIFORM, radius_m=(4.2e-3, 3.8e-3, 3.0e-3))
    assert ear.radius_at(np.array([0.0, 7.5e-3, 15e-3])) == pytest.approx([4.2e-3, 3.8e-3, 3.0e-3])


def test_a_leak_is_a_branch_at_the_outlet():
    leak = Leak(height_m=0.2e-3)
    sealed = UNIFORM.impedances(FREQUENCY_HZ)
    leaking = replace(UNIFORM, leak=leak).impedances(FREQUENCY_HZ)
    slit = leak.impedance(FREQUENCY_HZ, EAR_AIR)
    assert np.allclose(1 / leaking.input, 1 / sealed.input + 1 / slit, rtol=1e-9)
    # the same flow divides: what reaches the drum falls by the same share as the input impedance
    assert np.allclose(leaking.to_drum / sealed.to_drum, leaking.input / sealed.input, rtol=1e-9)


def test_a_leak_takes_low_frequencies_and_spares_high_ones():
    sealed = ear_paths("insert", UNIFORM).to_drum.band_db()
    leaking = ear_paths("insert", replace(UNIFORM, leak=Leak(height_m=0.4e-3))).to_drum.band_db()
    assert leaking[0] - sealed[0] < -8.0  # 125 Hz
    assert np.max(np.abs((leaking - sealed)[-36:])) < 1.5  # from 2.1 kHz


@pytest.mark.parametrize("age_months", [1.0, 6.0, 27.0, 480.0])
def test_random_ears_are_passive_and_reproducible(age_months):
    for seed in range(12):
        ear = random_ear(np.random.default_rng(seed), age_months)
        assert ear == random_ear(np.random.default_rng(seed), age_months)
        seen = ear.impedances(FREQUENCY_HZ)
        assert np.all(seen.input.real > 0)
        # energy reaching the drum is no more than what goes in
        drum = ear.drum_impedance(FREQUENCY_HZ)
        absorbed = np.abs(seen.to_drum) ** 2 * (1 / drum).real
        assert np.all(absorbed <= seen.input.real * (1 + 1e-6))


def test_ears_grow():
    rng = np.random.default_rng(3)

    def mean_volume(age_months):
        ears = [random_ear(rng, age_months) for _ in range(60)]
        return np.mean([e.length_m * np.pi * e.radius_m[1] ** 2 for e in ears])

    volumes = [mean_volume(age) for age in (1.0, 6.0, 24.0, 84.0)]
    assert all(later > 1.1 * earlier for earlier, later in pairwise(volumes))


def test_an_ear_below_one_month_is_refused():
    with pytest.raises(OutOfRangeError, match="from 1 month on"):
        random_ear(np.random.default_rng(0), 0.5)


def test_a_patent_tube_costs_about_what_was_measured():
    # Martin, Munro & Langer 1997 (abstract): RECD 15 dB lower on average from 125 to 750 Hz with a patent grommet
    ear = random_ear(np.random.default_rng(1), 60.0)
    normal = ear_paths("insert", ear).to_drum.band_db()
    tubed = ear_paths("insert", replace(ear, middle_ear="tube")).to_drum.band_db()
    low = (tubed - normal)[:32]  # 126 to 750 Hz
    assert -22.0 < low.mean() < -6.0
    assert np.max(np.abs((tubed - normal)[-20:])) < 2.0


def test_effusion_raises_the_level_by_a_few_decibels():
    # Martin et al. 1996 (abstract): up to 3.5 dB higher from 0.2 to 3 kHz
    rises = []
    for seed in range(8):
        ear = replace(random_ear(np.random.default_rng(seed), 480.0), drum="hudde_engel_1998")
        normal = ear_paths("insert", ear).to_drum.band_db()
        rises.append((ear_paths("insert", replace(ear, middle_ear="effusion")).to_drum.band_db() - normal)[8:32])
    assert 0.5 < np.mean(rises) < 4.5


def test_a_soft_wall_takes_up_low_frequency_flow():
    ear = random_ear(np.random.default_rng(2), 1.0)
    rigid = replace(ear, wall_modulus_pa=None)
    low = FREQUENCY_HZ < 300.0
    assert np.all(np.abs(ear.impedances(FREQUENCY_HZ).input[low]) < np.abs(rigid.impedances(FREQUENCY_HZ).input[low]))
