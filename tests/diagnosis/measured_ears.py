"""Measurements of virtual ears with a known cause: richer than the model that is fitted to them.

The canal is a chain of sixteen cones with smooth random bumps and a narrow end at an oblique drum; the drum is one of
two published models or between it and the infant's; losses are exact; the source is the virtual bench's own, and the
coupler has another temperature and inlet than the fitted one. Readings carry 0.4 dB of ripple alike over a third of
an octave, errors of calibration, and noise.
"""

import os
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from umbo import acoustics as ac
from umbo.core import CouplerKind, Grid
from umbo.diagnosis import KnownSource
from umbo.sim import random_ear
from umbo.sim._sources import SOURCES

HZ = Grid.twelfth_octave().frequency_hz
TUBED = (CouplerKind.HA2, CouplerKind.HA4)
SINGLE = (
    *("leak", "shallow_probe", "blocked_probe", "probe_in_bore", "open_middle_ear", "wrong_coupler"),
    *("wrong_adaptor", "wrong_age", "effusion", "coupler_leak", "uncalibrated_tube", "source_drift"),
)
DOUBLE = (
    *("leak+shallow_probe", "leak+wrong_coupler", "leak+wrong_adaptor", "shallow_probe+wrong_coupler"),
    *("shallow_probe+wrong_adaptor", "leak+coupler_leak", "shallow_probe+coupler_leak"),
    "shallow_probe+open_middle_ear",
)
#: From which cost a fault counts, as in the table of consequences: dB, from Hz, to Hz.
LIMIT = {
    "leak": (1.0, 250, 1000),
    "shallow_probe": (2.0, 250, 6000),
    "effusion": (1.0, 250, 3000),
    "open_middle_ear": (1.0, 250, 1000),
    "coupler_leak": (1.0, 250, 1000),
    "source_drift": (2.0, 250, 6000),
}


@dataclass
class Measured:
    """Readings and what there is to find."""

    coupler_db: np.ndarray
    ear_db: np.ndarray
    drum_db: np.ndarray
    declared: CouplerKind
    age_months: float
    cause: str
    cost_db: dict
    source: object
    probe_mm: float
    length_mm: float


def insert_source(transducer=None, stretch=1.0):
    """The bench's insert earphone, or one that strays from it, as a source that may be known."""
    made = SOURCES["insert"]
    made = replace(
        made,
        transducer=transducer or made.transducer,
        tubes_m=tuple((length * stretch, radius) for length, radius in made.tubes_m),
    )
    return KnownSource("insert", made.at_outlet, lambda hz: made.at_outlet(hz, with_tip=False))


NOMINAL = insert_source()


def stray_source(rng):
    """A source of the class whose tube, receiver and damping are its own."""
    t = SOURCES["insert"].transducer
    factor = np.exp(rng.normal(0, 0.2, 5))
    return insert_source(
        replace(
            t,
            resistance_pa_s_m3=t.resistance_pa_s_m3 * factor[0],
            inertance_kg_m4=t.inertance_kg_m4 * factor[1],
            diaphragm_volume_m3=t.diaphragm_volume_m3 * factor[2],
            front_volume_m3=t.front_volume_m3 * factor[3],
            damper_pa_s_m3=t.damper_pa_s_m3 * factor[4],
        ),
        float(np.exp(rng.normal(0, 0.05))),
    )


def ripple(rng, size_db, octaves):
    """Error alike over some octaves."""
    x = np.log2(HZ)
    c = np.exp(-0.5 * ((x[:, None] - x) / octaves) ** 2) + 1e-9 * np.eye(x.size)
    return size_db * np.linalg.cholesky(c) @ rng.standard_normal(x.size)


def radii(rng, ear, position_m):
    """Radius along the canal: the bench's parabola with bumps, narrowing at the oblique drum."""
    smooth = ear.radius_at(position_m)
    waves = sum(
        rng.normal(0, 0.035) * np.cos(np.pi * k * position_m / ear.length_m + rng.uniform(0, 6.3)) for k in (2, 3, 4)
    )
    tilt_m, end = rng.uniform(3e-3, 7e-3), rng.uniform(0.55, 0.95)
    from_drum = ear.length_m - position_m
    return smooth * (1 + waves) * np.where(from_drum < tilt_m, end + (1 - end) * from_drum / tilt_m, 1.0)


def up_the_canal(rng, ear, drum):
    """Pressures at the drum, probe and tip over flow into the canal, and its input impedance."""
    probe_at = ear.length_m - ear.probe_to_drum_m
    edges = np.unique(np.append(np.linspace(0, ear.length_m, 17), probe_at))
    radius = radii(rng, ear, edges)
    wall = None if ear.wall_modulus_pa is None else replace(ac.INFANT_WALL, young_modulus_pa=ear.wall_modulus_pa)
    load, probe, at_drum = drum, np.ones_like(drum), np.ones_like(drum)
    for i in range(edges.size - 2, -1, -1):
        if edges[i + 1] - edges[i] < 1e-7:
            continue
        ended = ac.cone(HZ, edges[i + 1] - edges[i], radius[i], radius[i + 1], ac.EAR_AIR, wall).terminate(load)
        at_drum = at_drum * ended.pressure_ratio
        if edges[i + 1] <= probe_at + 1e-9:
            probe = probe * ended.pressure_ratio
        load = ended.input_impedance
    return load, probe, at_drum


def db(p):
    return 20 * np.log10(np.abs(p))


def slit(height_m, air):
    return ac.leak_impedance(HZ, 10e-3, 3e-3, height_m, air)


def worst(change_db, cause):
    _, low, high = LIMIT[cause]
    return float(np.abs(change_db[(low * 0.97 <= HZ) & (high * 1.03 >= HZ)]).max())


def draw_ear(rng, age_months, *, shallow):
    ear = random_ear(rng, age_months)
    if shallow:
        far = rng.uniform(8e-3, 20e-3) if age_months >= 24 else rng.uniform(5e-3, 9e-3)
        ear = ear.with_probe(min(far, 0.93 * ear.length_m))
    return ear


def measured(rng, cause="ok", *, declared=None, age_months=None, source=None, noise_db=1.0, correlated=False):
    """One measurement with a cause (two joined by a plus sign), and what each costs in decibels."""
    causes = () if cause == "ok" else tuple(cause.split("+"))
    declared = declared or CouplerKind(rng.choice(["ha1", "ha2", "cc04"], p=[0.5, 0.2, 0.3]))
    if "wrong_adaptor" in causes:
        declared = CouplerKind(rng.choice(["ha1", "ha2"]))
    age = age_months or float(rng.choice([480.0, rng.uniform(24, 84), rng.uniform(1, 12)], p=[0.6, 0.2, 0.2]))
    said_age = age
    if "wrong_age" in causes:
        age, said_age = (rng.uniform(1, 12), 480.0) if rng.random() < 0.7 else (480.0, rng.uniform(1, 12))
    source = source or NOMINAL
    used = declared
    if "wrong_coupler" in causes:
        used = CouplerKind.HA1 if declared is CouplerKind.CC04 else CouplerKind.CC04
    if "wrong_adaptor" in causes:
        used = CouplerKind.HA2 if declared is CouplerKind.HA1 else CouplerKind.HA1
    cost = {}
    coupler = coupler_reading(rng, used, source, "coupler_leak" in causes, cost)
    ear, drum, probe_mm, length_mm = ear_reading(rng, age, source, causes, cost)
    noise = (lambda: ripple(rng, noise_db, 1 / 3)) if correlated else (lambda: rng.normal(0, noise_db, HZ.size))
    gain = rng.normal(0, 4)
    coupler = coupler + gain + ripple(rng, 0.4, 1 / 3) + noise()
    ear = ear + gain + ripple(rng, 0.4, 1 / 3) + rng.normal(0, 0.5) + noise()
    named = "+".join(c for c in causes if cost.get(c, np.inf) >= LIMIT.get(c, (0,))[0]) or "ok"
    return Measured(coupler, ear, drum + gain, declared, said_age, named, cost, source, probe_mm, length_mm)


def coupler_reading(rng, kind, source, leaks, cost):
    air = ac.Air(rng.uniform(21, 25))
    usual = {"ha1": 1.5e-3, "ha2": 1.5e-3, "cc04": 1e-3}[kind.value]
    load = ac.Coupler(kind.value, air, inlet_radius_m=usual * np.exp(rng.normal(0, 0.15))).response(HZ)
    out = (source.at_adaptor if kind in TUBED else source.at_outlet)(HZ)
    z = load.input_impedance
    sealed = db(out.pressure_into(z) * load.pressure_ratio)
    if not leaks:
        return sealed
    gap = slit(rng.uniform(150e-6, 400e-6), air)
    reading = db(out.pressure_into(z * gap / (z + gap)) * load.pressure_ratio)
    cost["coupler_leak"] = worst(reading - sealed, "coupler_leak")
    return reading


def changed_drum(rng, drum, causes):
    if "effusion" in causes:
        drum = drum + ac.volume_impedance(HZ, rng.uniform(0.2e-6, 0.7e-6), ac.EAR_AIR)
    if "open_middle_ear" in causes:
        radius = rng.uniform(0.5e-3, 1.2e-3)
        hole = ac.cylinder(HZ, rng.uniform(0.3e-3, 2.5e-3) + 1.7 * radius, radius, ac.EAR_AIR)
        beside = hole.input_impedance(ac.volume_impedance(HZ, rng.uniform(3e-6, 9e-6), ac.EAR_AIR))
        drum = drum * beside / (drum + beside)
    return drum


def ear_reading(rng, age, source, causes, cost):
    ear = draw_ear(rng, age, shallow="shallow_probe" in causes)
    normal = ear.drum_impedance(HZ)
    drum = changed_drum(rng, normal, causes)
    seed = int(rng.integers(1 << 30))
    load, probe, at_drum = up_the_canal(np.random.default_rng(seed), ear, drum)
    out = source.at_outlet(HZ)
    level = db(out.pressure_into(load) * at_drum)
    for name in {"effusion", "open_middle_ear"} & set(causes):
        other, _, there = up_the_canal(np.random.default_rng(seed), ear, normal)
        cost[name] = worst(level - db(out.pressure_into(other) * there), name)
    if "leak" in causes:
        gap = slit(rng.uniform(150e-6, 400e-6), ac.EAR_AIR)
        load = load * gap / (load + gap)
        leaking = db(out.pressure_into(load) * at_drum)
        cost["leak"] = worst(leaking - level, "leak")
        level = leaking
    _, shut_probe, shut_drum = up_the_canal(np.random.default_rng(seed), ear, normal)
    cost["shallow_probe"] = worst(db(shut_probe) - db(shut_drum), "shallow_probe")
    reading = level + db(probe) - db(at_drum)
    if "probe_in_bore" in causes:
        line = ac.cylinder(HZ, rng.uniform(2e-3, 15e-3), 0.965e-3, ac.COUPLER_AIR)
        reading = db(out.pressure_into(load) / line.pressure_ratio(load))
    reading = reading + probe_fault(rng, causes, cost)
    return reading, level, 1e3 * ear.probe_to_drum_m, 1e3 * ear.length_m


def probe_fault(rng, causes, cost):
    """What a blocked tube, a tube never calibrated or a drifting source adds to the probe's reading."""
    change = np.zeros(HZ.size)
    if "blocked_probe" in causes:
        change = (
            change - rng.uniform(8, 22) - 10 * np.log10(1 + (HZ / np.exp(rng.uniform(np.log(1e3), np.log(9e3)))) ** 2)
        )
    if "uncalibrated_tube" in causes:
        tube = ac.cylinder(HZ, rng.uniform(65e-3, 85e-3), rng.uniform(0.42e-3, 0.55e-3), ac.COUPLER_AIR)
        change = change + db(tube.pressure_ratio(ac.volume_impedance(HZ, rng.uniform(15e-9, 50e-9), ac.COUPLER_AIR)))
    if "source_drift" in causes:
        drift = rng.choice([-1, 1]) * rng.uniform(2, 8)
        cost["source_drift"] = abs(drift)
        change = change + drift
    return change


class ScannedEar:
    """One scanned adult canal, its cross-sections and the drum impedances that came with it."""

    def __init__(self, folder, number):
        self.number = number
        table = np.loadtxt(folder / f"ear{number:02d}_area.csv", delimiter=",", skiprows=1)
        self.position_m, self.area_m2 = table.T
        self._drums = {
            name: np.loadtxt(folder / f"ear{number:02d}_{name}.csv", delimiter=",", skiprows=1).T
            for name in ("hudde", "twores")
        }

    @property
    def length_m(self):
        return float(self.position_m[-1])

    def drum(self, name):
        rows = self._drums[name]
        return np.interp(HZ, rows[0], rows[5]) + 1j * np.interp(HZ, rows[0], rows[6])

    def pressures(self, tip_m, probe_m, drum):
        """Input impedance at the tip, and pressures at probe and drum over that at the tip; distances from the drum."""
        load, at_drum = drum, 1.0
        if probe_m > 0:
            inner = ac.canal(HZ, *ac.cut_canal(self.position_m, self.area_m2, self.length_m - probe_m)).terminate(load)
            load, at_drum = inner.input_impedance, inner.pressure_ratio
        position, area = ac.cut_canal(self.position_m, self.area_m2, self.length_m - tip_m)
        at = self.length_m - probe_m
        keep = position < at - 1e-9
        end = np.interp(at, self.position_m, np.sqrt(self.area_m2)) ** 2
        outer = ac.canal(HZ, np.append(position[keep], at), np.append(area[keep], end)).terminate(load)
        return outer.input_impedance, outer.pressure_ratio, outer.pressure_ratio * at_drum


@cache
def scanned_ears():
    """The six scanned ears; skips, and says so, without the shared folder."""
    shared = Path(os.environ.get("UMBO_SHARED", Path(__file__).resolve().parents[3] / "shared"))
    folder = shared / "data" / "ear_canals"
    if not folder.is_dir():
        pytest.skip(f"no scanned ear canals at {folder}: set UMBO_SHARED to run these tests")
    return tuple(ScannedEar(folder, number) for number in range(1, 7))


def scanned(rng, ear, cause="ok", *, probe_mm=None, drum="hudde", declared=CouplerKind.HA1, noise_db=1.0, source=None):
    """One measurement in a scanned ear."""
    causes = () if cause == "ok" else tuple(cause.split("+"))
    source = source or NOMINAL
    if probe_mm is None:
        probe_mm = rng.uniform(9, 14) if "shallow_probe" in causes else rng.uniform(1.5, 4.5)
    tip_m = max(rng.uniform(12e-3, 18e-3), 1e-3 * probe_mm + 0.5e-3)
    used, cost = declared, {}
    if "wrong_coupler" in causes:
        used = CouplerKind.HA1 if declared is CouplerKind.CC04 else CouplerKind.CC04
    if "wrong_adaptor" in causes:
        used = CouplerKind.HA2 if declared is CouplerKind.HA1 else CouplerKind.HA1
    coupler = coupler_reading(rng, used, source, "coupler_leak" in causes, cost)
    normal = ear.drum(drum)
    load, probe, at_drum = ear.pressures(tip_m, 1e-3 * probe_mm, changed_drum(rng, normal, causes))
    out = source.at_outlet(HZ)
    level = db(out.pressure_into(load) * at_drum)
    if "leak" in causes:
        gap = slit(rng.uniform(150e-6, 400e-6), ac.EAR_AIR)
        load = load * gap / (load + gap)
        leaking = db(out.pressure_into(load) * at_drum)
        cost["leak"] = worst(leaking - level, "leak")
        level = leaking
    cost["shallow_probe"] = worst(db(probe) - db(at_drum), "shallow_probe")
    reading = level + db(probe) - db(at_drum)
    if "probe_in_bore" in causes:
        line = ac.cylinder(HZ, rng.uniform(2e-3, 15e-3), 0.965e-3, ac.COUPLER_AIR)
        reading = db(out.pressure_into(load) / line.pressure_ratio(load))
    reading = reading + probe_fault(rng, causes, cost)
    gain = rng.normal(0, 4)
    coupler = coupler + gain + ripple(rng, 0.4, 1 / 3) + rng.normal(0, noise_db, HZ.size)
    reading = reading + gain + ripple(rng, 0.4, 1 / 3) + rng.normal(0, 0.5) + rng.normal(0, noise_db, HZ.size)
    present = set(causes) | ({"shallow_probe"} if cost["shallow_probe"] >= LIMIT["shallow_probe"][0] else set())
    named = [c for c in (*causes, "shallow_probe") if c in present and cost.get(c, np.inf) >= LIMIT.get(c, (0,))[0]]
    name = "+".join(dict.fromkeys(named)) or "ok"
    return Measured(coupler, reading, level + gain, declared, 480.0, name, cost, source, probe_mm, 1e3 * tip_m)
