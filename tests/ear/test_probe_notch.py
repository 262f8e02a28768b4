"""Distance from the notch: on scanned canals, and never where there is none."""

import numpy as np
import pytest
from model_readings import BAND_HZ, HZ, band_db, coupler_db, readings, scanned_ears, source

from umbo import acoustics
from umbo.ear import distance_from_notch, notch_of

RNG_SEED = 5
SHALLOW_MM = (8.0, 10.0, 12.0, 15.0)


def in_canal_db(ear, drum, distance_mm, source_name, left_mm):
    """Probe reading in what is left of a scanned canal beyond a tip, or in the whole one (finite elements)."""
    ratio = ear.tip_over_drum(drum, distance_mm, BAND_HZ)
    if left_mm is None:
        load, transfer = ear.finite_elements(drum, BAND_HZ)
    else:
        part = acoustics.cut_canal(ear.position_m, ear.area_m2, ear.length_m - 1e-3 * left_mm)
        seen = acoustics.canal(BAND_HZ, *part).terminate(ear._column(drum, 5, BAND_HZ))
        load, transfer = seen.input_impedance, seen.transfer_impedance
    return band_db(source(source_name).flow_into(load) * transfer * ratio)


def estimates(distances_mm, kinds=("ha1", "cc04")):
    rng = np.random.default_rng(RNG_SEED)
    for ear in scanned_ears():
        for drum in ("hudde", "twores"):
            for left_mm in (None, 16.0, 19.0):
                if left_mm is not None and max(distances_mm) >= left_mm:
                    continue
                for d in distances_mm:
                    for name in ("ideal", "insert"):
                        ear_db = in_canal_db(ear, drum, d, name, left_mm) + rng.normal(0, 0.3, HZ.size)
                        for kind in kinds:
                            yield d, notch_of(*readings(ear_db, name, kind))


@pytest.mark.shared
def test_distance_on_scanned_canals():
    errors = {d: [] for d in SHALLOW_MM}
    asked = dict.fromkeys(SHALLOW_MM, 0)
    covered = []
    for d, found in estimates(SHALLOW_MM):
        asked[d] += 1
        if found.notch_hz is not None:
            errors[d].append(found.distance_mm - d)
            covered.append(abs(found.distance_mm - d) <= 2 * found.u_mm)
    for d, error in errors.items():
        share, mean, scatter = f"found {len(error)} of {asked[d]}", np.mean(error), np.std(error)
        print(f"{d:4.0f} mm: {share}, bias {mean:+.2f} mm, sd {scatter:.2f} mm")  # noqa: T201  (shown by pytest -rP)
    every = np.concatenate(list(errors.values()))
    assert sum(map(len, errors.values())) > 0.85 * sum(asked.values())
    assert abs(every.mean()) < 0.6
    assert np.sqrt(np.mean(every**2)) < 1.2
    assert np.mean(covered) > 0.93


@pytest.mark.shared
def test_no_notch_in_front_of_the_drum():
    """A whole canal has valleys between its half-wave peaks; they are no notches of the probe."""
    found = [notch for _, notch in estimates((0.0, 2.0, 3.0, 4.0), kinds=("ha1", "ha2", "cc04", "oes"))]
    assert sum(notch.notch_hz is not None for notch in found) <= 0.01 * len(found)


def test_straight_canal_with_a_notch_between_two_points():
    """cos(kd) in front of a rigid drum, d told as the narrowing factor times the quarter wave."""
    notch_hz = 7300.0
    curve = 15 + 20 * np.log10(np.abs(np.cos(0.5 * np.pi * HZ / notch_hz)) + 0.03)
    found = distance_from_notch(HZ, curve, np.ones(HZ.size, dtype=bool))
    assert found.notch_hz == pytest.approx(notch_hz, rel=0.01)
    assert found.distance_mm == pytest.approx(1.15 * 351350 / (4 * notch_hz), rel=0.015)


def test_without_a_notch_the_distance_is_bounded_by_the_highest_usable_frequency():
    flat = np.zeros(HZ.size)
    to_16k = distance_from_notch(HZ, flat, np.ones(HZ.size, dtype=bool))
    to_8k = distance_from_notch(HZ, flat, HZ < 8000)
    assert to_16k.notch_hz is to_8k.notch_hz is None
    assert to_16k.distance_mm == 5.0  # a notch of a tip up to 10 mm away may be hidden
    # 1.15 x 351 m/s / 4 over the highest point below 8 kHz, 7943 Hz, halved
    assert to_8k.distance_mm == pytest.approx(0.5e3 * 1.15 * 351.3 / 4 / 7943, rel=0.01)
    assert to_8k.u_mm == pytest.approx(2 * to_8k.distance_mm / np.sqrt(12))


def test_points_that_were_not_measured_make_no_notch():
    curve = np.where(np.abs(HZ - 8000) < 500, -30.0, 15.0)
    assert distance_from_notch(HZ, curve, np.ones(HZ.size, dtype=bool)).notch_hz is not None
    assert distance_from_notch(HZ, curve, np.abs(HZ - 8000) >= 500).notch_hz is None


@pytest.mark.parametrize("kind", ["ha2", "oes"])
def test_resonances_of_a_coupler_are_no_notch(kind):
    """A smooth ear level against a coupler with peaks of its own."""
    smooth = -20 * np.log10(HZ / 1000)
    ear_level, coupler_level = readings(smooth, "ideal", kind)
    assert notch_of(ear_level, coupler_level).notch_hz is None
    assert notch_of(ear_level, None).notch_hz is None


def test_whole_curve_low_is_no_notch():
    """A wrong label or blocked probe lowers everything; a shallow valley in it stays a valley."""
    valley = -4.0 * np.exp(-((np.log2(HZ / 9000) / 0.2) ** 2))
    ear_db = coupler_db("ideal", "cc04") + 5.0 + valley
    assert notch_of(*readings(ear_db - 14, "ideal", "cc04", "ha1")).notch_hz is None
