"""A fault of the ear reading is a fault of every RECD made with it; what it spoilt is withdrawn and never verified."""

from dataclasses import replace

import numpy as np
import pytest
from bench_port import recd_plan

from umbo.core import CouplerKind, Grid
from umbo.session import run_recds
from umbo.sim import Leak, random_ear, recd_takes


@pytest.fixture(scope="module")
def leaking():
    """One leaking ear against HA-1 and 0.4 cc, in one plan."""
    rng = np.random.default_rng(5)
    ear = replace(random_ear(rng, age_months=300.0), leak=Leak(length_m=8e-3, width_m=4e-3, height_m=0.3e-3))
    one = recd_takes(ear, CouplerKind.HA1, rng)
    plan, port = recd_plan(one, "ha1", age_months=300.0, declared_mm=1e3 * ear.probe_to_drum_m)
    other = recd_takes(ear, CouplerKind.CC04, rng)
    port.samples["coupler cc04"] = other.coupler_fs
    second = replace(plan.takes[0], name="coupler cc04", coupler=CouplerKind.CC04)
    return run_recds(replace(plan, takes=(*plan.takes, second)), port, Grid.third_octave())["right"]


def test_both_recds_say_it_once(leaking):
    assert {recd.kind for recd in leaking} == {CouplerKind.HA1, CouplerKind.CC04}
    for recd in leaking:
        assert [finding.code for finding in recd.findings].count("leak") == 1
        assert recd.grade.letter in "CD"


@pytest.mark.parametrize("grid", [Grid.third_octave(), Grid.audiometric()])
def test_low_frequencies_are_withdrawn_on_every_grid(leaking, grid):
    for recd in leaking:
        curve = recd.on(grid)
        low = curve.frequency_hz <= 1000
        assert {word for word, is_low in zip(curve.states.words, low, strict=True) if is_low} == {"withdrawn"}
        assert curve.states.is_usable[grid.index(2000.0)]
