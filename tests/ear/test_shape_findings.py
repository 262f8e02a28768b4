"""What shapes are called: no alarm on normal ears, planted faults by their name."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from model_readings import BAND_HZ, GRID, HZ, band_db, codes, coupler_db, scanned_ears, source

from umbo.core import CouplerKind, Coupling, Ear, Grid, Plane, PointState, Severity, Source, Tags, Transfer
from umbo.ear import adult_recd_row, plausible_range, shape_findings
from umbo.sim import Leak, random_ear

NORMAL_EARS, FAULTY_EARS = 300, 40
SOURCES, KINDS = ("ideal", "insert"), ("ha1", "cc04")
OTHER = {"ha1": "cc04", "cc04": "ha1"}
#: Twelfth-octave nearest to 250 Hz.
AT_250 = GRID.index(250)


def probe_db(ear, source_name):
    seen = ear.impedances(BAND_HZ)
    return band_db(source(source_name).flow_into(seen.input) * seen.to_probe)


def noise(rng):
    return rng.normal(0.0, 0.4, HZ.size)


@pytest.fixture(scope="module")
def population():
    """Normal ears of all ages with their probe readings, by source."""
    rng = np.random.default_rng(21)
    ears = [random_ear(rng) for _ in range(NORMAL_EARS)]
    return [(ear, {name: probe_db(ear, name) for name in SOURCES}) for ear in ears]


def told(title, counts):
    total = sum(counts.values())
    said = ", ".join(f"{'+'.join(c) or 'nothing'} {100 * n / total:.1f} %" for c, n in counts.most_common(4))
    print(f"{title:<34}{total:>5}  {said}")  # noqa: T201  (shown by pytest -rP)


def test_normal_ears_raise_no_alarm(population):
    rng = np.random.default_rng(2)
    for kind in (*KINDS, "ha2"):
        for name in SOURCES:
            counts = Counter(
                codes(readings[name] + noise(rng), name, kind, age_months=ear.age_months)
                for ear, readings in population
            )
            told(f"normal, {kind}, {name}", counts)
            assert counts[()] >= 0.97 * NORMAL_EARS


def leaking(ear, name, rng):
    """The ear with the smallest of a row of slits that costs more than 6 dB at 250 Hz, or up to twice that slit."""
    sealed_db = probe_db(ear, name)[AT_250]
    for height_m in (1.0e-4, 1.5e-4, 2.2e-4, 3e-4, 4.5e-4, 7e-4):
        if sealed_db - probe_db(replace(ear, leak=Leak(height_m=height_m)), name)[AT_250] > 6.0:
            break
    return replace(ear, leak=Leak(height_m=height_m * rng.uniform(1.0, 2.0)))


def planted(fault, ear, name, rng):
    """Probe reading with a fault, and the coupler label that goes with it."""
    if fault == "leak":
        return probe_db(leaking(ear, name, rng), name)
    if fault == "shallow_probe":
        return probe_db(ear.with_probe(min(15e-3, 0.95 * ear.length_m)), name)
    if fault == "middle_ear_space":
        return probe_db(replace(ear, middle_ear="tube"), name)
    lost_db = rng.uniform(15, 25) + rng.uniform(3, 6) * np.maximum(np.log2(HZ / 1000), 0.0)
    return probe_db(ear, name) - (lost_db if fault == "blocked_probe" else 0.0)


NAMES = {
    "leak": {"leak"},
    "shallow_probe": {"shallow_probe", "falling_high_frequencies"},
    "blocked_probe": {"blocked_probe"},
    "middle_ear_space": {"middle_ear_space"},
    "wrong_coupler": {"wrong_coupler"},
}


@pytest.mark.parametrize("fault", NAMES)
def test_planted_faults_are_named(population, fault):
    rng = np.random.default_rng(4)
    for kind in KINDS:
        label = OTHER[kind] if fault == "wrong_coupler" else None
        counts = Counter()
        for number, (ear, _) in enumerate(population[:FAULTY_EARS]):
            name = SOURCES[number % 2]
            reading = planted(fault, ear, name, rng) + noise(rng)
            counts[codes(reading, name, kind, age_months=ear.age_months, label=label)] += 1
        told(f"{fault}, {kind}" + (f" labelled {label}" if label else ""), counts)
        right = sum(n for said, n in counts.items() if NAMES[fault] & set(said))
        assert right >= 0.9 * FAULTY_EARS


@pytest.mark.shared
@pytest.mark.parametrize("kind", KINDS)
def test_scanned_canals_raise_no_alarm(kind):
    """Whole canals (finite elements), reading at the drum and 3 mm away, four sources."""
    for ear in scanned_ears():
        for drum in ("hudde", "twores"):
            load, transfer = ear.finite_elements(drum, BAND_HZ)
            for distance_mm in (0.0, 3.0):
                ratio = ear.tip_over_drum(drum, distance_mm, BAND_HZ)
                for name in ("ideal", "insert", "receiver", "hook"):
                    reading = band_db(source(name).flow_into(load) * transfer * ratio)
                    assert codes(reading, name, kind, age_months=480.0, declared_mm=distance_mm) == ()


def recd(values_db, kind="ha1", grid=GRID):
    return Transfer.given(
        grid,
        values_db,
        start=Plane.coupler(kind),
        end=Plane.eardrum(),
        tags=Tags(
            quantity="RECD",
            ear=Ear.RIGHT,
            stimulus=None,
            statistic=None,
            coupling=Coupling.FOAM_TIP,
            source=Source.INSERT,
        ),
        source="model",
    )


def found(values_db, kind="ha1", middle_ear="normal", age_months=480.0, grid=GRID):
    curve = recd(values_db, kind, grid)
    return shape_findings(curve, plausible_range(CouplerKind(kind), grid.frequency_hz, age_months), middle_ear)


def row(kind="ha1", grid=GRID):
    return adult_recd_row(CouplerKind(kind), grid.frequency_hz)


@pytest.mark.parametrize("kind", ["ha1", "ha2", "cc04"])
def test_the_adult_row_itself_is_silent(kind):
    assert found(row(kind), kind) == ()


@pytest.mark.parametrize("grid", [Grid.third_octave(), Grid.twelfth_octave(), Grid.audiometric()])
def test_a_plateau_has_one_name_on_every_grid(grid):
    low = row(grid=grid) - np.where(grid.frequency_hz < 800, 15.0, 0.0)
    assert [f.code for f in found(low, grid=grid)] == ["middle_ear_space"]


@pytest.mark.parametrize("grid", [Grid.third_octave(), Grid.twelfth_octave(), Grid.audiometric()])
def test_a_slope_has_one_name_on_every_grid(grid):
    corner_hz = 600.0
    loss = 40 * np.log10(np.minimum(grid.frequency_hz / corner_hz, 1.0))
    findings = found(row(grid=grid) + loss, grid=grid)
    assert [f.code for f in findings] == ["leak"]
    assert "sound leaks past the tip" in findings[0].text
    assert "Reseat" in findings[0].action


@pytest.mark.parametrize("middle_ear", ["effusion", "tube", "perforation"])
def test_declared_middle_ear_ties_the_curve_to_today(middle_ear):
    findings = found(row(), middle_ear=middle_ear)
    assert [f.code for f in findings] == ["middle_ear_declared"]
    assert findings[0].severity is Severity.INFO


def test_leaking_coupler_is_told_from_a_leaking_ear():
    rise = np.where(HZ < 500, 24 * np.log2(500 / HZ) / 2, 0.0)
    assert [f.code for f in found(row() + rise)] == ["coupler_leak"]
    assert "coupler_leak" not in [f.code for f in found(row("cc04") + rise, "cc04")]


def test_falling_at_high_frequencies_without_a_notch():
    fall = -20.0 * np.clip(np.log2(HZ / 3000), 0.0, 1.0)
    assert [f.code for f in found(row() + fall)] == ["falling_high_frequencies"]


def test_little_excess_informs_and_much_warns():
    bump = np.exp(-((np.log2(HZ / 1500) / 0.2) ** 2))
    little, much = found(row() + 9.0 * bump), found(row() + 18.0 * bump)
    assert [(f.code, f.severity) for f in little] == [("implausible", Severity.INFO)]
    assert [(f.code, f.severity) for f in much] == [("implausible", Severity.WARN)]
    assert "above the broad range for this age" in much[0].text


def test_ha2_above_1_5_khz_is_not_judged():
    """Re HA-2 the source moves the RECD by 8 to 16 dB there."""
    assert found(row("ha2") - np.where(HZ > 1700, 12.0, 0.0), "ha2") == ()


def test_points_that_cannot_be_used_say_nothing():
    spoilt = recd(row() - np.where(HZ > 3000, 25.0, 0.0)).marked(PointState.BELOW_NOISE, HZ > 2900, "noise")
    assert shape_findings(spoilt, plausible_range(CouplerKind.HA1, HZ, 480.0), "normal") == ()


def test_without_a_range_nothing_is_said():
    assert shape_findings(recd(row() - 30.0), None, "normal") == ()


def test_coupler_is_in_the_model_as_labelled():
    """The two couplers of the population differ by 14 dB for an ideal source."""
    middle = (HZ > 400) & (HZ < 3000)
    assert (coupler_db("ideal", "cc04") - coupler_db("ideal", "ha1"))[middle] == pytest.approx(13.98, abs=0.2)
