"""Point states: every reason is kept, the worst one is shown, and nothing downstream drops one."""

import re

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from umbo.core import Mark, PlaneKind, PointState, States, Statistic, power_sum
from umbo.errors import InputError
from umbo.testing import chains, grids, levels, planes, point_states, tags

PROPERTY = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])

#: The words of an answer, from harmless to worst (the set is that of the case format).
WORDS = (
    *("ok", "interpolated", "noisy", "nonlinear", "standing_wave"),
    *("extrapolated", "clipped", "below_noise", "outside_coupler", "withdrawn"),
)


def marked(states):
    """Every (point, state, reason), each mark spelled out."""
    return {(int(index), mark.state, mark.reason) for mark in states.marks for index in np.flatnonzero(mark.where)}


def rank(word):
    return WORDS.index(word)


def test_the_words_and_their_order():
    assert tuple(str(state) for state in PointState) == WORDS


def test_what_a_verdict_may_rest_on():
    assert [str(state) for state in PointState if state.is_usable] == ["ok", "interpolated", "noisy"]


@pytest.mark.shared
def test_the_words_are_those_of_the_case_format(request):
    """The list in the shared description of the answers, when it is there."""
    import os  # noqa: PLC0415
    from pathlib import Path  # noqa: PLC0415

    folder = Path(os.environ.get("UMBO_SHARED", request.config.rootpath.parent / "shared"))
    page = folder / "CASE_FORMAT.md"
    if not page.exists():
        pytest.skip(f"the shared input folder is not there: {page}")
    listed = re.search(r"`state` is one word a point: ([a-z_, ]+)\.", page.read_text(encoding="utf-8"))
    assert listed is not None
    assert set(listed.group(1).split(", ")) == set(WORDS)


@given(point_states(4))
def test_the_worst_state_is_shown_with_every_reason(states):
    for index, word in enumerate(states.words):
        here = {(state, reason) for point, state, reason in marked(states) if point == index}
        assert rank(word) == max((rank(state) for state, _ in here), default=0)
        assert states.at(index) == word
        lines = states.reasons(index)
        assert sorted(lines) == sorted(f"{state.replace('_', ' ')}: {reason}" for state, reason in here)
        ranks = [rank(line.split(":")[0].replace(" ", "_")) for line in lines]
        assert ranks == sorted(ranks, reverse=True)
        assert states.is_ok[index] == (word == "ok")
        assert states.is_usable[index] == (word in ("ok", "interpolated", "noisy"))


@given(point_states(4), st.sampled_from(PointState), st.lists(st.booleans(), min_size=4, max_size=4))
def test_a_new_mark_takes_nothing_away(states, state, where):
    after = states.marked(state, where, "a new reason")
    new = {(index, state, "a new reason") for index in np.flatnonzero(where)}
    assert marked(after) == marked(states) | new


@given(point_states(4), point_states(4))
def test_joining_keeps_the_reasons_of_both_once(one, other):
    both = one.joined(other)
    assert marked(both) == marked(one) | marked(other)
    assert both.words == other.joined(one).words
    assert len({(mark.state, mark.reason) for mark in both.marks}) == len(both.marks)
    assert marked(both.joined(both)) == marked(both)


@PROPERTY
@given(chains(n_transfers=2))
def test_sums_and_differences_drop_no_state(chain):
    level, (first, second) = chain.level, chain.transfers
    there = level + first + second
    assert marked(there.states) == set().union(*(marked(curve.states) for curve in (level, first, second)))
    assert marked((there - level).states) >= marked(there.states) | marked(level.states)
    assert marked((first + second).states) >= marked(first.states) | marked(second.states)
    assert marked((-first).states) == marked(first.states)
    assert marked(((first + second) - second).states) >= marked(first.states) | marked(second.states)
    assert marked(level.named("again").states) == marked(level.states)


@PROPERTY
@given(levels(tagged=None), st.data())
def test_comparisons_and_power_sums_drop_no_state(level, data):
    other = data.draw(levels(grid=level.grid, plane=level.plane, tagged=level.tags))
    assert marked(level.above(other, quantity="excess").states) == marked(level.states) | marked(other.states)
    tagged = data.draw(tags(statistics=(Statistic.RMS,)))
    place = data.draw(planes().filter(lambda plane: plane.kind is not PlaneKind.DIAL))
    one, two = (data.draw(levels(grid=level.grid, plane=place, tagged=tagged)) for _ in range(2))
    assert marked(power_sum(one, two, quantity="both").states) == marked(one.states) | marked(two.states)


@PROPERTY
@given(levels(), grids())
def test_regridding_drops_no_state(level, grid):
    """A new point carries every reason of the old points it was made from."""
    again = level.on(type(grid)(grid.frequency_hz, level.grid.bandwidth), method="log_frequency", outside="hold")
    x, wanted = np.log(level.frequency_hz), np.log(grid.frequency_hz)
    for new, place in enumerate(wanted):
        nearest = int(np.argmin(np.abs(x - place)))
        near = abs(x[nearest] - place) < np.log(1.015)
        inside = x[0] <= place <= x[-1]
        above = int(np.searchsorted(x, place))
        used = {nearest} if near or not inside else {above - 1, above}
        expected = {(state, reason) for old, state, reason in marked(level.states) if old in used}
        found = {(state, reason) for index, state, reason in marked(again.states) if index == new}
        assert found >= expected


@given(point_states(4))
def test_one_value_marks_all_points(states):
    assert marked(states.marked(PointState.WITHDRAWN, True, "leak")) == marked(states) | {
        (index, PointState.WITHDRAWN, "leak") for index in range(4)
    }


def test_a_mark_for_another_number_of_points_is_refused():
    mark = Mark(PointState.NOISY, np.array([True, False]), "too close to the noise")
    with pytest.raises(InputError) as refusal:
        States(3, (mark,))
    assert str(refusal.value) == (
        "mark points as 'noisy': the mark is for 2 points and the curve has 3; say yes or no for each point."
    )
    with pytest.raises(InputError, match="the mark is for 2 points and the curve has 3"):
        States.ok(3).marked(PointState.NOISY, [True, False], "too close to the noise")


def test_states_of_different_length_are_not_joined():
    with pytest.raises(InputError) as refusal:
        States.ok(3).joined(States.ok(4))
    assert str(refusal.value) == (
        "join the states of two curves: one has 3 points, the other 4; bring both onto one grid first."
    )
