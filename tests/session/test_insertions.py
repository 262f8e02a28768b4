"""Several insertions and placements: averaged when they agree, said when they do not, graded accordingly."""

from dataclasses import replace

import numpy as np
import pytest
from bench_port import recd_plan

from umbo.core import CouplerKind, Grid
from umbo.session import run_recds
from umbo.sim import random_ear, recd_takes


def two_insertions(gain_db, *, seed=21):
    """A plan with two ear takes; the second one differs by a gain."""
    rng = np.random.default_rng(seed)
    ear = random_ear(rng, age_months=400.0)
    takes = recd_takes(ear, CouplerKind.CC04, rng)
    plan, port = recd_plan(takes, "cc04", age_months=400.0, declared_mm=1e3 * ear.probe_to_drum_m)
    again = recd_takes(ear, CouplerKind.CC04, np.random.default_rng(seed + 1))
    second = replace(plan.takes[1], name="ear again")
    factor = again.probe_mic.pa_per_full_scale / takes.probe_mic.pa_per_full_scale
    port.samples["ear again"] = again.ear_fs * factor * 10 ** (gain_db / 20)
    return replace(plan, takes=(*plan.takes, second)), port, plan


def test_two_agreeing_insertions_are_averaged():
    both, port, one = two_insertions(0.5)
    grid = Grid.twelfth_octave()
    mean = run_recds(both, port, grid)["right"][0]
    first = run_recds(one, port, grid)["right"][0]
    assert len(mean.ear_readings) == 2
    assert "insertions_differ" not in [f.code for f in mean.findings]
    inside = first.curve.states.is_ok & (grid.frequency_hz > 250) & (grid.frequency_hz < 4000)
    moved = (mean.curve.level_db - first.curve.level_db)[inside]
    assert np.abs(moved).max() < 1.0
    assert mean.grade.letter <= first.grade.letter


def test_two_differing_insertions_ask_for_a_third():
    both, port, _ = two_insertions(4.0)
    found = run_recds(both, port, Grid.twelfth_octave())["right"][0]
    finding = next(f for f in found.findings if f.code == "insertions_differ")
    assert "third insertion" in finding.action
    assert found.grade.letter in "CD"


@pytest.mark.parametrize("key", ["coupling", "stimulus"])
def test_readings_that_do_not_belong_together_make_no_recd(key):
    _, port, plan = two_insertions(0.0)
    ear = replace(plan.takes[1], coupling="mould") if key == "coupling" else replace(plan.takes[1], stimulus="other")
    stimuli = dict(plan.stimuli) | {"other": replace(plan.stimuli["sweep"], name="other")}
    changed = replace(plan, takes=(plan.takes[0], ear), stimuli=stimuli)
    assert run_recds(changed, port, Grid.third_octave()) == {"right": ()}


def test_a_microphone_used_on_both_sides_cancels():
    _, port, plan = two_insertions(0.0)
    same = replace(plan, takes=(replace(plan.takes[0], calibration="probe_mic"), plan.takes[1]))
    grid = Grid.twelfth_octave()
    apart, cancelled = (run_recds(p, port, grid)["right"][0].curve for p in (plan, same))
    ids = {line.id: line.u_db for line in cancelled.budget(1000.0).lines}
    assert ids["calibration:probe_mic"] == 0.0
    assert cancelled.u_db[36] < apart.u_db[36]
