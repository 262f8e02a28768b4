"""Ear and coupler files exchanged are refused by name; ears that are right, or blocked, are not taken for it."""

import numpy as np
import pytest
from bench_port import recd_plan

from umbo.core import CouplerKind, Grid
from umbo.errors import CaseError
from umbo.session import run_recds
from umbo.sim import random_ear, recd_takes


@pytest.mark.parametrize("kind", ["ha1", "cc04"])
@pytest.mark.parametrize("age", [27.0, 60.0, 480.0])
def test_exchanged_files_are_refused(kind, age):
    rng = np.random.default_rng([3, int(age)])
    ear = random_ear(rng, age_months=age)
    takes = recd_takes(ear, CouplerKind(kind), rng)
    plan, port = recd_plan(takes, kind, age_months=age)
    run_recds(plan, port, Grid.twelfth_octave())  # as it is: no refusal
    port.samples = {"coupler": takes.ear_fs, "ear": takes.coupler_fs}
    with pytest.raises(CaseError, match=r"upside down: 'coupler' reads like an ear.*exchange the two files"):
        run_recds(plan, port, Grid.twelfth_octave())


@pytest.mark.parametrize("kind", ["ha1", "cc04"])
def test_a_young_infants_exchanged_files_are_at_least_not_believed(kind):
    # soft walls change the shape so much that it cannot be told from other faults
    rng = np.random.default_rng(3)
    ear = random_ear(rng, age_months=2.0)
    takes = recd_takes(ear, CouplerKind(kind), rng)
    plan, port = recd_plan(takes, kind, age_months=2.0)
    port.samples = {"coupler": takes.ear_fs, "ear": takes.coupler_fs}
    try:
        found = run_recds(plan, port, Grid.twelfth_octave())["right"][0]
    except CaseError:
        return
    assert found.grade.letter in "CD"
