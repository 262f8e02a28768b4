"""Nothing changes after it was made: objects are frozen, arrays are read-only copies."""

from dataclasses import FrozenInstanceError, fields, is_dataclass

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from umbo.core import (
    Component,
    Finding,
    Grid,
    Level,
    Mark,
    Origin,
    Plane,
    PointState,
    Severity,
    Statistic,
    Tags,
    Uncertainty,
    power_sum,
)
from umbo.testing import chains

PROPERTY = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def arrays(thing):
    """Every array reachable from an object of the vocabulary."""
    if isinstance(thing, np.ndarray):
        yield thing
    elif isinstance(thing, tuple):
        for part in thing:
            yield from arrays(part)
    elif is_dataclass(thing):
        for field in fields(thing):
            yield from arrays(getattr(thing, field.name))


@PROPERTY
@given(chains(n_transfers=2))
def test_no_array_of_a_result_can_be_written_to(chain):
    level, (first, second) = chain.level, chain.transfers
    there = level + first + second
    wanted = Grid.tones([300.0, 3000.0]) if level.grid.bandwidth == "tone" else level.grid
    for curve in (
        there,
        there - level,
        -first,
        there.above(there, quantity="nothing"),
        there.on(wanted, method="log_frequency", outside="hold"),
        first.marked(PointState.NOISY, True, "quiet").named("again"),
    ):
        found = list(arrays(curve))
        assert len(found) >= 3
        assert not any(array.flags.writeable for array in found)


def test_later_changes_of_the_given_arrays_do_not_reach_in():
    frequency_hz, values, size = np.array([500.0, 1000.0]), np.array([60.0, 70.0]), np.array([0.3, 0.4])
    where = np.array([True, False])
    tags = Tags(quantity="speech", ear=None, stimulus=None, statistic=Statistic.RMS, coupling=None, source=None)
    level = Level.given(
        Grid.tones(frequency_hz),
        values,
        plane=Plane.eardrum(),
        tags=tags,
        source="entered",
        components=[Component("a", "a", size, "full", "B", "assumed")],
    ).marked(PointState.NOISY, where, "quiet")
    before = (level.explain(500), str(level.budget(500)), power_sum(level, level, quantity="two").level_db[0])
    for array in (frequency_hz, values, size):
        array[:] = 1.0, 2.0
    where[:] = False
    after = (level.explain(500), str(level.budget(500)), power_sum(level, level, quantity="two").level_db[0])
    assert after == before


@pytest.mark.parametrize(
    ("thing", "name"),
    [
        (Grid.third_octave(), "bandwidth"),
        (Plane.eardrum(), "kind"),
        (Uncertainty.none(2), "size"),
        (Mark(PointState.OK, np.array([True]), "fine"), "reason"),
        (Origin("a", "b", "dB", np.array([1.0]), np.array([1.0])), "label"),
        (Finding("leak", Severity.WARN, "text", "action", "source"), "text"),
    ],
)
def test_fields_cannot_be_set(thing, name):
    with pytest.raises(FrozenInstanceError):
        setattr(thing, name, "changed")


def test_severities_are_ordered():
    assert [severity.rank for severity in (Severity.INFO, Severity.WARN, Severity.STOP)] == [0, 1, 2]


def test_named_grids_are_made_once():
    assert Grid.twelfth_octave() is Grid.twelfth_octave()
    assert (Grid.twelfth_octave().size, Grid.third_octave().size, Grid.audiometric().size) == (85, 22, 17)
    assert np.allclose(Grid.twelfth_octave().frequency_hz[36], 1000.0)
    assert np.allclose(np.diff(np.log10(Grid.third_octave().frequency_hz)), 0.1)
