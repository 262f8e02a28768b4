"""Two readings under one coupler's label have to be readings of that coupler."""

from dataclasses import replace

import numpy as np
from bench_port import recd_plan

from umbo.core import CouplerKind, Grid
from umbo.session import run_recds
from umbo.sim import random_ear, recd_takes


def placed(second_kind):
    rng = np.random.default_rng(8)
    ear = random_ear(rng, age_months=200.0)
    first, second = (recd_takes(ear, kind, rng) for kind in (CouplerKind.HA1, second_kind))
    plan, port = recd_plan(first, "ha1", age_months=200.0, declared_mm=3.0)
    port.samples["coupler again"] = second.coupler_fs
    again = replace(plan.takes[0], name="coupler again")
    return run_recds(replace(plan, takes=(*plan.takes, again)), port, Grid.twelfth_octave())["right"][0]


def test_two_placements_on_one_coupler_are_averaged():
    found = placed(CouplerKind.HA1)
    assert len(found.coupler_readings) == 2
    assert "placements_differ" not in [finding.code for finding in found.findings]


def test_another_coupler_under_the_same_label_is_rejected():
    found = placed(CouplerKind.CC04)
    finding = next(finding for finding in found.findings if finding.code == "placements_differ")
    assert "'coupler' and 'coupler again' are both labelled 2 cc coupler HA-1 and differ by" in finding.text
    assert found.grade.letter == "D"
