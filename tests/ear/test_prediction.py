"""Levels predicted at the drum: what widens, what is withdrawn, what is refused."""

import numpy as np
import pytest
from model_readings import HZ

from umbo.core import Coupling, Ear, Grid, Level, Plane, PointState, Severity, Source, Statistic, Tags, Transfer
from umbo.ear import (
    aided_level,
    close_loop,
    for_coupling,
    for_source,
    microphone_location_effect,
    require_closed,
    unknown_microphone_location_effect,
    withdrawn_by_vent,
)
from umbo.errors import CouplingMismatchError, NotPossibleHereError, PlaneMismatchError

GRID = Grid.third_octave()
N = GRID.size


def tags(quantity, **more):
    every = {"ear": Ear.RIGHT, "stimulus": None, "statistic": None, "coupling": None, "source": None}
    return Tags(quantity=quantity, **(every | more))


def recd(kind="ha1", coupling=Coupling.FOAM_TIP, source=Source.INSERT, values=10.0):
    return Transfer.given(
        GRID,
        np.full(N, values),
        start=Plane.coupler(kind),
        end=Plane.eardrum(),
        tags=tags("RECD", coupling=coupling, source=source),
        source="invented",
    )


def output(kind="ha1", values=70.0):
    return Level.given(
        GRID,
        np.full(N, values),
        plane=Plane.coupler(kind),
        tags=tags("speech", stimulus="speech 65", statistic=Statistic.RMS, source=Source.AID),
        source="invented",
    )


def test_another_source_widens_and_does_not_move():
    wider = for_source(recd(), Source.AID, 480.0)
    assert np.array_equal(wider.level_db, recd().level_db)
    assert np.all(wider.u_db > 0)
    assert np.array_equal(for_source(recd(), Source.INSERT, 480.0).u_db, recd().u_db)


def test_an_ha2_recd_depends_more_on_its_source():
    inside = (GRID.frequency_hz >= 1000) & (GRID.frequency_hz <= 4000)
    ha1, ha2 = (for_source(recd(kind), Source.AID, 480.0).u_db[inside].mean() for kind in ("ha1", "ha2"))
    assert ha2 > 2 * ha1


@pytest.mark.parametrize("kind", ["ha1", "cc04"])
def test_foam_tip_for_a_mould_widens_and_says_so(kind):
    wider, findings = for_coupling(recd(kind), Coupling.MOULD)
    assert wider.tags.coupling is Coupling.MOULD
    assert wider.u_db == pytest.approx(2.0)
    assert [f.code for f in findings] == ["foam_recd_for_mould"]
    assert findings[0].severity is Severity.INFO


@pytest.mark.parametrize(
    ("kind", "measured", "wanted"),
    [
        ("ha2", Coupling.FOAM_TIP, Coupling.MOULD),
        ("ha1", Coupling.MOULD, Coupling.FOAM_TIP),
        ("ha1", Coupling.FOAM_TIP, Coupling.DOME),
    ],
)
def test_other_couplings_are_refused(kind, measured, wanted):
    with pytest.raises(CouplingMismatchError) as refused:
        for_coupling(recd(kind, measured), wanted)
    assert f"it was measured with a {measured.replace('_', ' ')}" in str(refused.value)
    assert f"measure the RECD with the {wanted.replace('_', ' ')}" in str(refused.value)


def test_equal_coupling_changes_nothing():
    same = recd(coupling=Coupling.MOULD)
    assert for_coupling(same, Coupling.MOULD) == (same, ())


def test_sum_of_coupler_recd_and_microphone_location():
    effect, finding = unknown_microphone_location_effect(GRID, ear=Ear.RIGHT)
    level = aided_level(output(), recd(), effect)
    assert level.plane == Plane.eardrum()
    assert level.level_db == pytest.approx(80.0)
    assert level.u_db == pytest.approx(2.0)
    assert finding.code == "mle_not_known"
    assert aided_level(output(), recd(), None).u_db == pytest.approx(0.0)


def test_given_effect_is_interpolated_and_held_and_marked():
    effect = microphone_location_effect(
        np.array([500.0, 2000.0]), np.array([0.0, 4.0]), GRID, ear=Ear.RIGHT, source="invented"
    )
    assert effect.value_at(1000) == pytest.approx(2.0, abs=0.05)
    assert effect.state_at(1000) is PointState.INTERPOLATED
    assert effect.state_at(4000) is PointState.EXTRAPOLATED
    assert effect.level_db[-1] == 4.0


def test_couplers_do_not_mix():
    with pytest.raises(PlaneMismatchError) as refused:
        aided_level(output("ha1"), recd("cc04"), None)
    assert str(refused.value) == (
        "add the RECD to the speech: this level is in the 2 cc coupler HA-1; the transfer starts in the 0.4 cc coupler"
        "; use a transfer that starts in the 2 cc coupler HA-1."
    )


def test_open_fittings_have_no_coupler_route():
    with pytest.raises(NotPossibleHereError, match="the fitting is open, and an RECD holds only for a closed"):
        require_closed("open")
    require_closed("closed")
    require_closed("vented")


def test_a_vent_withdraws_the_lowest_bands():
    level = aided_level(output(), recd(), None)
    vented = withdrawn_by_vent(level, "vented", corner_hz=None)
    usable = vented.frequency_hz[vented.states.is_usable]
    assert usable[0] == pytest.approx(794.3, abs=0.1)
    assert vented.state_at(500) is PointState.WITHDRAWN
    assert np.array_equal(vented.level_db, level.level_db)
    assert withdrawn_by_vent(level, "closed", corner_hz=None) is level


def test_a_vent_of_known_corner_withdraws_what_lies_below_it():
    level = aided_level(output(), recd(), None)
    vented = withdrawn_by_vent(level, "vented", corner_hz=450.0)
    assert vented.frequency_hz[vented.states.is_usable][0] == pytest.approx(501.2, abs=0.1)
    assert "below its corner of 450 Hz" in vented.states.reasons(0)[0]


def test_loop_closes_by_what_both_routes_do_not_share():
    one = aided_level(output("ha1"), for_source(recd("ha1"), Source.AID, 480.0), None)
    other = aided_level(output("cc04", 82.0), for_source(recd("cc04", values=-2.0), Source.AID, 480.0), None)
    closing = close_loop(one, other, routes=("HA-1", "0.4 cc"))
    assert closing.closes
    assert closing.finding().code == "loop_closes"
    far = aided_level(output("cc04", 96.0), for_source(recd("cc04", values=-2.0), Source.AID, 480.0), None)
    opened = close_loop(one, far, routes=("HA-1", "0.4 cc"))
    assert not opened.closes
    assert opened.finding().severity is Severity.WARN
    assert HZ.size > N


def test_loop_without_common_points_is_not_comparable():
    one = aided_level(output("ha1"), recd("ha1"), None)
    none = one.marked(PointState.BELOW_NOISE, np.ones(N, dtype=bool), "noise")
    closing = close_loop(one, none, routes=("a", "b"))
    assert not closing.closes
    assert closing.finding().code == "loop_not_comparable"
