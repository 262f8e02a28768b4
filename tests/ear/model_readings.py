"""Readings of virtual and scanned ears for the tests of this folder: levels in bands, and the chain to findings."""

import os
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from umbo import acoustics
from umbo.core import CouplerKind, Coupling, Ear, Grid, Level, Plane, PointState, Severity, Source, Tags
from umbo.curves import COUPLER_RANGE_HZ
from umbo.ear import (
    measured_recd,
    notch_of,
    plausible_range,
    probe_limit,
    probe_mark,
    probe_position,
    probe_to_eardrum,
    shape_findings,
)

GRID = Grid.twelfth_octave()
HZ = GRID.frequency_hz
#: Three points in each twelfth-octave; the level of a band is their mean power.
BAND_HZ = (HZ[:, None] * 10 ** (np.array([-1.0, 0.0, 1.0]) / 120)).reshape(-1)


def band_db(pressure):
    """Level of each twelfth-octave from a response on BAND_HZ."""
    return 10 * np.log10((np.abs(pressure) ** 2).reshape(HZ.size, 3).mean(axis=1))


@cache
def source(name):
    makers = {
        "ideal": acoustics.ideal_flow_source,
        "insert": acoustics.insert_earphone,
        "receiver": acoustics.receiver,
        "hook": acoustics.hook_receiver,
    }
    return makers[name](BAND_HZ)


@cache
def coupler_db(source_name, kind):
    load = acoustics.Coupler(kind).response(BAND_HZ)
    return band_db(source(source_name).flow_into(load.input_impedance) * load.transfer_impedance)


def level(values_db, plane):
    tags = Tags(
        quantity="sweep response",
        ear=Ear.RIGHT,
        stimulus="sweep",
        statistic=None,
        coupling=Coupling.FOAM_TIP,
        source=Source.INSERT,
    )
    return Level.given(GRID, 60.0 + np.asarray(values_db), plane=plane, tags=tags, source="model")


def readings(ear_db, source_name, kind, label=None):
    """Ear and coupler reading; the label may be wrong."""
    return level(ear_db, Plane.probe_tip()), level(coupler_db(source_name, kind), Plane.coupler(label or kind))


def codes(ear_db, source_name, kind, *, age_months, label=None, declared_mm=None, middle_ear="normal"):
    """Codes of all findings above information, from position and shape, as a session puts them together."""
    ear_level, coupler_level = readings(ear_db, source_name, kind, label)
    position = probe_position(declared_mm, notch_of(ear_level, coupler_level))
    to_drum = probe_to_eardrum(position, GRID, tip=ear_level.plane, ear=Ear.RIGHT, age_months=age_months)
    curve = measured_recd(ear_level, coupler_level) + to_drum
    limit = probe_limit(position.distance_mm, position.u_mm)
    if limit is not None:
        mark = probe_mark(limit, HZ)
        curve = curve.marked(mark.state, mark.where, mark.reason)
    named = CouplerKind(label or kind)
    curve = curve.marked(
        PointState.OUTSIDE_COUPLER, COUPLER_RANGE_HZ[named] * 1.001 < HZ, "outside the coupler's range"
    )
    findings = shape_findings(curve, plausible_range(named, HZ, age_months), middle_ear)
    return tuple(f.code for f in (*position.findings, *findings) if f.severity is not Severity.INFO)


class ScannedEar:
    """One scanned adult canal with the drum impedances and finite-element answers that came with it."""

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

    def _column(self, drum, real, frequency_hz):
        rows = self._drums[drum]
        return np.interp(frequency_hz, rows[0], rows[real]) + 1j * np.interp(frequency_hz, rows[0], rows[real + 1])

    def finite_elements(self, drum, frequency_hz):
        """Input and transfer impedance from the entrance."""
        return self._column(drum, 1, frequency_hz), self._column(drum, 3, frequency_hz)

    def tip_over_drum(self, drum, distance_mm, frequency_hz):
        """Pressure at a distance from the drum over that at the drum, from the area function."""
        if distance_mm == 0:
            return np.ones(frequency_hz.size)
        part = acoustics.cut_canal(self.position_m, self.area_m2, self.length_m - 1e-3 * distance_mm)
        load = self._column(drum, 5, frequency_hz)
        return 1.0 / acoustics.canal(frequency_hz, *part).terminate(load).pressure_ratio


@cache
def scanned_ears():
    """The six scanned ears; skips, and says so, without the shared folder."""
    shared = Path(os.environ.get("UMBO_SHARED", Path(__file__).resolve().parents[3] / "shared"))
    folder = shared / "data" / "ear_canals"
    if not folder.is_dir():
        pytest.skip(f"no scanned ear canals at {folder}: set UMBO_SHARED to run these tests")
    return tuple(ScannedEar(folder, number) for number in range(1, 7))
