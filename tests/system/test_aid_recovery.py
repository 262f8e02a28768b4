"""Random aids through recordings, case folder and session: the truth is recovered within the stated uncertainty.

The bench and the analysis share no code. Each test prints its figures (-rP).
"""

import numpy as np
import pytest
from aid_bench import SHEET, recovered

from umbo.aid import Item

AIDS = 20
DYNAMIC = 6
NOISY = 3

LEVELS = {
    Item.MAXIMUM_OSPL90: ("ospl90", "maximum_db_spl"),
    Item.HFA_OSPL90: ("ospl90", "hfa_db_spl"),
    Item.MAXIMUM_FULL_ON_GAIN: ("full_on_gain", "maximum_db"),
    Item.HFA_FULL_ON_GAIN: ("full_on_gain", "hfa_db"),
}


@pytest.fixture
def show():
    return print


@pytest.fixture(scope="module")
def aids(tmp_path_factory):
    folder = tmp_path_factory.mktemp("aids")
    tests = {
        seed: (*SHEET, *(("input_output", "attack_release") if seed < DYNAMIC else ()), *(("noise",) * (seed < NOISY)))
        for seed in range(AIDS)
    }
    return [recovered(folder / str(seed), seed, wanted) for seed, wanted in tests.items()]


def of(aids, *items):
    return [(one, measure) for one in aids for measure in one.aid.sheet_tests.measures if measure.item in items]


def level_rows(aids):
    """Levels and gains: error, uncertainty, and the error without that of the calibration, which the truth states."""
    rows = []
    for one, measure in of(aids, *LEVELS, Item.REFERENCE_TEST_GAIN):
        sheet = one.truth["data_sheet"]["ha1"]
        if measure.item is Item.REFERENCE_TEST_GAIN:
            true = sheet["reference_test_gain_db"]
        else:
            group, key = LEVELS[measure.item]
            true = sheet[group][key]
        rows.append((measure.value - true, measure.u, one.calibration_error_db, measure.item))
    return rows


def distortion_rows(aids):
    rows = []
    for one, measure in of(aids, Item.DISTORTION):
        sheet = one.truth["data_sheet"]["ha1"]["distortion"]
        true = sheet["total_percent"][sheet["frequency_hz"].index(measure.frequency_hz)]
        rows.append((measure.value - true, measure.u))
    return rows


def noise_rows(aids):
    truths = [one.truth["data_sheet"]["ha1"]["input_noise"]["equivalent_200_5000_db_spl"] for one in aids]
    return [(m.value - true, m.u) for (_, m), true in zip(of(aids, Item.INPUT_NOISE), truths, strict=True)]


def time_rows(aids):
    rows = []
    for one, measure in of(aids, Item.ATTACK, Item.RELEASE):
        times = one.truth["dynamics"]["attack_release"]
        at = times["frequency_hz"].index(measure.frequency_hz)
        true = times["attack_s" if measure.item is Item.ATTACK else "release_s"][at]
        rows.append((measure.value - true, measure.u, true, measure.frequency_hz))
    return rows


def ratio_rows(aids):
    """Compression ratio, against the median slope between the true steps."""
    rows = []
    for one, measure in of(aids, Item.COMPRESSION_RATIO):
        steps = one.truth["dynamics"]["input_output"]
        slope = np.median(np.diff(steps["output_db_spl"]) / np.diff(steps["input_db_spl"]))
        rows.append((measure.value - 1 / slope, measure.u, 1 / slope))
    return rows


def depth_rows(aids):
    """Mean depth of noise reduction over the bands both state."""
    rows = []
    for one in aids[:NOISY]:
        (found,) = one.aid.features.noise_reductions
        truth = one.truth["features"]
        at = [found.depth.grid.index(hz) for hz in truth["third_octaves_hz"]]
        use = [k for k in range(len(at)) if found.depth.states.at(at[k]).is_usable]
        true = -np.array(truth["noise_reduction"]["noise_change_db"])[use]
        rows.append((np.mean(found.depth.level_db[[at[k] for k in use]] - true), found.check.u))
    return rows


def test_nothing_is_left_unmeasured(aids):
    assert [one.aid.unmeasured for one in aids if one.aid.unmeasured] == []


def test_output_and_gain_within_0_3_db(aids, show):
    rows = level_rows(aids)
    # the microphone's true factor lies above the stated one by its error: readings are lower by that
    signed = [error + calibration for error, _, calibration, _ in rows]
    show(f"{len(rows)} levels and gains: rms {np.std(signed):.2f} dB, largest {np.max(np.abs(signed)):.2f} dB")
    assert len(rows) == 5 * AIDS
    assert np.max(np.abs(signed)) <= 0.3


def test_distortion_within_0_2_percentage_points(aids, show):
    """Nineteen in twenty of them, and every one within 0.25."""
    errors = np.array([error for error, _ in distortion_rows(aids)])
    show(f"{errors.size} distortions: rms {errors.std():.3f}, largest {np.abs(errors).max():.2f} percentage points")
    assert errors.size == 3 * AIDS
    assert np.abs(errors).max() <= 0.25
    assert np.mean(np.abs(errors) <= 0.2) >= 0.95


def test_input_noise_within_1_db(aids, show):
    errors = np.array([error for error, _ in noise_rows(aids)])
    show(f"{errors.size} input noises: rms {errors.std():.2f} dB, largest {np.abs(errors).max():.2f} dB")
    assert np.abs(errors).max() <= 1.0


def test_attack_and_release_within_10_percent_or_2_ms(aids, show):
    """Of a tone, whose envelope knows no more than a period and a quarter."""
    rows = time_rows(aids)
    off = [(abs(error), max(0.1 * true, 0.002, 1.25 / hz)) for error, _, true, hz in rows]
    rms_ms, worst = 1e3 * np.std([row[0] for row in rows]), max(error / allowed for error, allowed in off)
    show(f"{len(rows)} times: rms {rms_ms:.1f} ms, worst {worst:.2f} of what is allowed")
    assert len(rows) == 2 * 5 * DYNAMIC
    assert all(error <= allowed for error, allowed in off)


def test_compression_ratio_within_5_percent(aids, show):
    rows = ratio_rows(aids)
    show(f"{len(rows)} ratios: largest {100 * max(abs(error) / true for error, _, true in rows):.1f} %")
    assert len(rows) == DYNAMIC
    assert all(abs(error) <= 0.05 * true for error, _, true in rows)


def test_depth_of_noise_reduction_within_0_5_db(aids, show):
    errors = [error for error, _ in depth_rows(aids)]
    show(f"{len(errors)} depths: largest {np.max(np.abs(errors)):.2f} dB")
    assert np.max(np.abs(errors)) <= 0.5


def test_stated_uncertainties_cover(aids, show):
    """Two standard uncertainties cover 92 to 98 % of all quantities together."""
    groups = {
        "levels": [row[:2] for row in level_rows(aids)],
        "distortion": distortion_rows(aids),
        "input noise": noise_rows(aids),
        "times": [row[:2] for row in time_rows(aids)],
        "ratio": [row[:2] for row in ratio_rows(aids)],
    }
    inside = {name: [abs(error) <= 2 * u for error, u in rows] for name, rows in groups.items()}
    pooled = np.mean([hit for hits in inside.values() for hit in hits])
    show({name: f"{100 * np.mean(hits):.0f} % of {len(hits)}" for name, hits in inside.items()}, f"pooled {pooled:.3f}")
    assert 0.92 <= pooled <= 0.98
