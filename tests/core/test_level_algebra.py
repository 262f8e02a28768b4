"""The legal half of the operation table: what levels and transfers give when they may be combined."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from umbo.core import (
    Component,
    CouplerKind,
    Difference,
    Ear,
    Grid,
    Level,
    Plane,
    PlaneKind,
    PointState,
    Tags,
    Transfer,
)
from umbo.testing import chains, grids, levels, planes, transfers

PROPERTY = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def contributions(curve):
    """Signed contributions by cause; causes that have cancelled are left out."""
    parts = {c.id: c.contribution_db for c in curve.uncertainty.components}
    return {name: value for name, value in parts.items() if np.abs(value).max() > 1e-12}


def same_uncertainty(one, other):
    mine, theirs = contributions(one), contributions(other)
    return mine.keys() == theirs.keys() and all(np.allclose(mine[name], theirs[name], atol=1e-12) for name in mine)


def same_curve(one, other):
    assert np.allclose(one.level_db, other.level_db, rtol=0, atol=1e-9)
    assert one.grid == other.grid
    assert same_uncertainty(one, other)
    assert one.states.words == other.states.words


@PROPERTY
@given(chains(n_transfers=1))
def test_a_level_is_carried_to_where_the_transfer_ends(chain):
    (transfer,) = chain.transfers
    carried = chain.level + transfer
    assert isinstance(carried, Level)
    assert carried.plane == transfer.end
    assert carried.unit == transfer.end.unit
    assert np.array_equal(carried.level_db, chain.level.level_db + transfer.level_db)


@PROPERTY
@given(chains(n_transfers=2))
def test_carrying_is_associative(chain):
    first, second = chain.transfers
    step_by_step, at_once = (chain.level + first) + second, chain.level + (first + second)
    same_curve(step_by_step, at_once)
    assert step_by_step.plane == at_once.plane == second.end
    assert step_by_step.tags == at_once.tags


@PROPERTY
@given(chains(n_transfers=3))
def test_chaining_transfers_is_associative(chain):
    one, two, three = chain.transfers
    left, right = (one + two) + three, one + (two + three)
    same_curve(left, right)
    assert (left.start, left.end) == (right.start, right.end) == (one.start, three.end)
    assert left.tags == right.tags


@PROPERTY
@given(chains(n_transfers=1))
def test_a_carried_level_minus_the_level_is_the_transfer(chain):
    (transfer,) = chain.transfers
    difference = (chain.level + transfer) - chain.level
    assert isinstance(difference, Transfer)
    assert same_uncertainty(difference, transfer)
    assert np.allclose(difference.level_db, transfer.level_db, rtol=0, atol=1e-9)
    assert (difference.start, difference.end) == (transfer.start, transfer.end)
    assert difference.tags.stimulus is None
    assert difference.tags.statistic is None


@PROPERTY
@given(transfers())
def test_reversing_twice_gives_the_transfer_back(transfer):
    there = -transfer
    again = -there
    assert (there.start, there.end) == (transfer.end, transfer.start)
    assert np.array_equal(there.level_db, -transfer.level_db)
    assert np.allclose(there.u_db, transfer.u_db)
    same_curve(again, transfer)
    assert (again.start, again.end) == (transfer.start, transfer.end)
    assert again.tags == transfer.tags
    assert again.terms(transfer.frequency_hz[0]) == transfer.terms(transfer.frequency_hz[0])


@PROPERTY
@given(chains(n_transfers=1))
def test_there_and_back_leaves_the_uncertainty_of_the_level_alone(chain):
    (transfer,) = chain.transfers
    back = (chain.level + transfer) + (-transfer)
    assert np.allclose(back.level_db, chain.level.level_db, rtol=0, atol=1e-9)
    assert np.allclose(back.u_db, chain.level.u_db, atol=1e-9)
    assert back.plane == chain.level.plane


@PROPERTY
@given(chains(n_transfers=2))
def test_a_transfer_less_another_with_the_same_end_leads_between_their_starts(chain):
    first, second = chain.transfers
    difference = (first + second) - second
    assert (difference.start, difference.end) == (first.start, first.end)
    assert np.allclose(difference.level_db, first.level_db, rtol=0, atol=1e-9)
    assert same_uncertainty(difference, first)


@PROPERTY
@given(chains(n_transfers=1), st.data())
def test_a_difference_at_one_place_forgets_what_both_share(chain, data):
    (transfer,) = chain.transfers
    other = data.draw(levels(grid=chain.level.grid, plane=chain.level.plane, tagged=chain.level.tags))
    here = chain.level.above(other, quantity="excess")
    there = (chain.level + transfer).above(other + transfer, quantity="excess")
    assert isinstance(here, Difference)
    assert here.plane == chain.level.plane
    assert there.plane == transfer.end
    assert np.allclose(here.level_db, there.level_db, rtol=0, atol=1e-9)
    assert same_uncertainty(here, there)
    assert here.tags.quantity == "excess"


@PROPERTY
@given(levels())
def test_a_level_lies_nothing_above_itself(level):
    nothing = level.above(level, quantity="nothing")
    assert not nothing.level_db.any()
    assert not nothing.u_db.any()


@PROPERTY
@given(chains(n_transfers=2))
def test_results_inherit_grid_plane_side_and_coupling(chain):
    """At whatever reference comes up: dB HL, dB FS, ear simulator, probe tip."""
    inputs = (chain.level, *chain.transfers)
    ears = {curve.tags.ear for curve in inputs} - {None}
    couplings = {curve.tags.coupling for curve in inputs} - {None}
    first, second = chain.transfers
    for result in (chain.level + first + second, first + second):
        assert result.grid == chain.level.grid
        assert (result.plane if isinstance(result, Level) else result.end) == second.end
        drawn = inputs if isinstance(result, Level) else chain.transfers
        assert {result.tags.ear} == ({c.tags.ear for c in drawn} - {None} or {None})
        assert {result.tags.coupling} == ({c.tags.coupling for c in drawn} - {None} or {None})
    assert len(ears) <= 1
    assert len(couplings) <= 1


GRID = Grid.tones([500.0, 1000.0, 2000.0])


def tagged(quantity, **changes):
    plain = {"ear": None, "stimulus": None, "statistic": None, "coupling": None, "source": None}
    return Tags(quantity=quantity, **{**plain, **changes})


@pytest.mark.parametrize(
    ("start", "end", "unit"),
    [
        (Plane.dial("sound_field"), Plane.free_field(), "dB SPL"),
        (Plane.coupler("oes"), Plane.dial("insert"), "dB HL"),
        (Plane(PlaneKind.FULL_SCALE), Plane.coupler("cc04"), "dB SPL"),
        (Plane.probe_tip(6.0), Plane(PlaneKind.FULL_SCALE), "dB FS"),
    ],
)
def test_the_reference_comes_from_the_inputs(start, end, unit):
    """The references that are easiest to lose: dB HL, ear simulator, full scale."""
    level = Level.given(GRID, [40, 45, 50], plane=start, tags=tagged("reading", ear=Ear.LEFT), source="entered")
    transfer = Transfer.given(GRID, [1, 2, 3], start=start, end=end, tags=tagged("step"), source="entered")
    there = level + transfer
    assert there.level_db.tolist() == [41, 47, 53]
    assert (there.plane, there.unit, there.tags.ear) == (end, unit, Ear.LEFT)
    assert there.terms(1000.0)[0].unit == unit
    back = there - level
    assert (back.start, back.end, back.unit, back.tags.ear) == (start, end, "dB", Ear.LEFT)
    assert back.level_db.tolist() == [1, 2, 3]


def test_one_microphone_cancels_and_two_do_not():
    """The RECD of one microphone chain is free of its calibration; of two chains it carries both."""

    def reading(values, plane, microphone):
        cause = Component(microphone, microphone, 0.3, across="full", evaluation="B", source="assumed")
        return Level.given(GRID, values, plane=plane, tags=tagged("sweep response"), source="drawn", components=[cause])

    coupler = reading([70, 71, 72], Plane.coupler("ha1"), "microphone a")
    same = reading([75, 79, 84], Plane.eardrum(), "microphone a") - coupler
    different = reading([75, 79, 84], Plane.eardrum(), "microphone b") - coupler
    assert same.u_db.tolist() == [0, 0, 0]
    assert np.allclose(different.u_db, np.hypot(0.3, 0.3))


@PROPERTY
@given(levels(), st.sampled_from(["predicted level", "limit"]))
def test_a_new_name_of_a_level_shows_in_its_explanation(level, name):
    again = level.named(name)
    assert again.tags.quantity == name
    assert again.terms(level.frequency_hz[0])[0].label == f"{name} {level.plane.phrase}"
    assert again.plane == level.plane
    assert np.array_equal(again.level_db, level.level_db)


@PROPERTY
@given(transfers())
def test_a_new_name_of_a_transfer_shows_in_its_explanation(transfer):
    again = transfer.named("converted RECD")
    assert again.tags.quantity == "converted RECD"
    label = f"converted RECD ({transfer.start} to {transfer.end})"
    assert again.terms(transfer.frequency_hz[0])[0].label == label


@given(planes())
def test_a_plane_without_a_distance_reads_back_as_it_was_written(plane):
    again = Plane.parse(str(plane))
    assert (again.kind, again.detail) == (plane.kind, plane.detail)
    assert again == plane or plane.distance_mm is not None


@given(planes())
def test_only_dials_and_files_are_not_in_sound_pressure(plane):
    other = {PlaneKind.DIAL: "dB HL", PlaneKind.FULL_SCALE: "dB FS"}
    assert plane.unit == other.get(plane.kind, "dB SPL")


def test_which_couplers_are_2_cc():
    assert [kind.value for kind in CouplerKind if kind.is_2cc] == ["ha1", "ha2", "ha4"]


@PROPERTY
@given(grids(), grids())
def test_equal_grids_have_equal_hashes(one, other):
    again = Grid(one.frequency_hz * (1 + 1e-12), one.bandwidth)
    assert again == one
    assert hash(again) == hash(one)
    assert one.with_bandwidth(other.bandwidth).same_frequencies(one)
    assert one.with_bandwidth(other.bandwidth).bandwidth == other.bandwidth
    assert (one == other) == (one.same_frequencies(other) and one.bandwidth == other.bandwidth)


def test_a_curve_is_read_at_the_nearest_point():
    level = Level.given(
        Grid.third_octave(), np.arange(22.0), plane=Plane.aid_microphone(), tags=tagged("speech"), source="entered"
    ).marked(PointState.NOISY, np.arange(22) == 9, "quiet")
    assert level.value_at(1000) == 9.0
    assert (level.state_at(1000), level.state_at(250)) == ("noisy", "ok")
    assert level.value_at(250) == level.value_at(251.19) == 3.0


def test_more_causes_add_to_those_that_are_there():
    def cause(name, size_db):
        return Component(name, name, size_db, across="full", evaluation="B", source="assumed")

    level = Level.given(
        GRID, [1, 2, 3], plane=Plane.free_field(), tags=tagged("speech"), source="entered", components=[cause("a", 0.3)]
    )
    assert np.allclose(level.with_uncertainty(cause("b", 0.4)).u_db, 0.5)
    assert np.allclose(level.with_uncertainty(cause("a", 0.4), cause("a", -0.2)).u_db, 0.5)
    assert np.allclose(level.u_db, 0.3)
