"""Refused: quantities on different frequencies, of different bandwidth, or not taken alike."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from umbo.core import (
    Bandwidth,
    Ear,
    Grid,
    Level,
    Plane,
    Source,
    Statistic,
    Tags,
    Transfer,
)
from umbo.errors import (
    BandwidthMismatchError,
    EarMismatchError,
    GridMismatchError,
    LevelSumError,
    PlaneMismatchError,
    StatisticMismatchError,
    StimulusMismatchError,
    UmboError,
)
from umbo.testing import chains, levels, planes, transfers

PROPERTY = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])

GRID = Grid.tones([500, 1000, 2000])
HA1, HA2 = (Plane.coupler(kind) for kind in ("ha1", "ha2"))
DRUM, FIELD = Plane.eardrum(), Plane.free_field()


def tagged(quantity, **changes):
    plain = {"ear": None, "stimulus": None, "statistic": None, "coupling": None, "source": None}
    return Tags(quantity=quantity, **{**plain, **changes})


def level(quantity, plane=HA1, grid=GRID, **changes):
    values = np.full(grid.size, 60.0)
    return Level.given(grid, values, plane=plane, tags=tagged(quantity, **changes), source="entered")


def transfer(quantity, start=HA1, end=DRUM, grid=GRID, **changes):
    values = np.full(grid.size, 5.0)
    return Transfer.given(grid, values, start=start, end=end, tags=tagged(quantity, **changes), source="entered")


OTHER_GRID = Grid.tones([500, 1000, 4000])
THIRD = Grid(GRID.frequency_hz, Bandwidth.THIRD_OCTAVE)
RIGHT, LEFT = {"ear": Ear.RIGHT}, {"ear": Ear.LEFT}

REFUSALS = {
    "other frequencies": (
        lambda: level("sweep response") + transfer("RECD", grid=OTHER_GRID),
        GridMismatchError,
        (
            "add the RECD to the sweep response: the sweep response has 3 points, 500-2000 Hz, for single "
            "tones and the RECD has 3 points, 500-4000 Hz, for single tones; regrid one explicitly with "
            "curve.on(grid, method=...)."
        ),
    ),
    "another bandwidth": (
        lambda: level("speech", DRUM, THIRD).above(level("threshold", DRUM), quantity="sensation level"),
        BandwidthMismatchError,
        (
            "compare the speech with the threshold: the speech is given per 1/3 octave and the threshold "
            "for single tones; evaluate both with one bandwidth."
        ),
    ),
    "level to another bandwidth": (
        lambda: level("speech", DRUM, THIRD).on(Grid.twelfth_octave(), method="log_frequency", outside="hold"),
        BandwidthMismatchError,
        (
            "regrid the speech: it is given per 1/3 octave and the wanted grid per 1/12 octave; evaluate it"
            " again with the wanted bandwidth."
        ),
    ),
    "density to tones": (
        lambda: level("noise", DRUM, Grid(GRID.frequency_hz, Bandwidth.PER_HERTZ)).on(
            GRID, method="log_frequency", outside="refuse"
        ),
        BandwidthMismatchError,
        (
            "regrid the noise: it is given per hertz and the wanted grid for single tones; evaluate it "
            "again with the wanted bandwidth."
        ),
    ),
    "another stimulus": (
        lambda: level("aided", DRUM, stimulus="speech at 65 dB") - level("field", FIELD, stimulus="sweep"),
        StimulusMismatchError,
        (
            "take the transfer from the field to the aided: the aided was taken with the stimulus 'speech "
            "at 65 dB' and the field with the stimulus 'sweep'; use the same stimulus on both sides."
        ),
    ),
    "no stimulus stated": (
        lambda: level("aided", DRUM, stimulus="sweep") - level("field", FIELD),
        StimulusMismatchError,
        (
            "take the transfer from the field to the aided: the aided was taken with the stimulus 'sweep' "
            "and the field with no stated stimulus; use the same stimulus on both sides."
        ),
    ),
    "another statistic": (
        lambda: level("aided", DRUM, statistic=Statistic.P99) - level("field", FIELD, statistic=Statistic.RMS),
        StatisticMismatchError,
        (
            "take the transfer from the field to the aided: the aided has the statistic 'p99' and the field"
            " has the statistic 'rms'; compare the same statistic."
        ),
    ),
    "another source": (
        lambda: level("ear response", DRUM, source=Source.AID) - level("response", HA2, source=Source.INSERT),
        StimulusMismatchError,
        (
            "take the transfer from the response to the ear response: the ear response was excited by the "
            "source 'aid' and the response by the source 'insert'; use the same sound source on both sides."
        ),
    ),
}


@pytest.mark.parametrize("case", REFUSALS)
def test_the_refusal_says_what_disagrees_and_what_to_do(case):
    ask, kind, sentence = REFUSALS[case]
    with pytest.raises(UmboError) as refusal:
        ask()
    assert str(refusal.value) == sentence
    assert type(refusal.value) is kind
    assert f"{refusal.value.asked}: {refusal.value.disagrees}; {refusal.value.do}." == sentence
    assert refusal.value.exit_status == 2


@PROPERTY
@given(levels(), st.data())
def test_a_level_meets_no_transfer_that_starts_elsewhere(one, data):
    other = data.draw(planes().filter(lambda plane: plane != one.plane))
    step = data.draw(transfers(grid=one.grid, start=other, tagged=one.tags))
    with pytest.raises(PlaneMismatchError):
        one + step


@PROPERTY
@given(chains(n_transfers=2), st.data())
def test_a_chain_with_a_gap_is_refused(chain, data):
    first, second = chain.transfers
    other = data.draw(planes().filter(lambda plane: plane not in (first.end, second.end)))
    with pytest.raises(PlaneMismatchError):
        first + replace(second, start=other)


@PROPERTY
@given(chains(n_transfers=1), st.data())
def test_nothing_is_combined_across_frequencies(chain, data):
    (step,) = chain.transfers
    other = data.draw(transfers(start=step.start, end=step.end, tagged=step.tags))
    assume(not other.grid.same_frequencies(chain.level.grid))
    with pytest.raises(GridMismatchError):
        chain.level + other
    with pytest.raises(GridMismatchError):
        step - other


@PROPERTY
@given(chains(n_transfers=1), st.sampled_from(Bandwidth))
def test_nothing_is_combined_across_bandwidths(chain, bandwidth):
    (step,) = chain.transfers
    assume(bandwidth != step.grid.bandwidth)
    other = replace(step, grid=Grid(step.frequency_hz, bandwidth))
    with pytest.raises(BandwidthMismatchError):
        chain.level + other


@PROPERTY
@given(chains(n_transfers=1))
def test_nothing_is_combined_across_ears(chain):
    (step,) = chain.transfers
    one = replace(chain.level, tags=replace(chain.level.tags, ear=Ear.RIGHT))
    other = replace(step, tags=replace(step.tags, ear=Ear.LEFT))
    with pytest.raises(EarMismatchError):
        one + other
    with pytest.raises(EarMismatchError):
        (-other) + replace(step, tags=one.tags)


@PROPERTY
@given(levels(), levels())
def test_two_levels_never_add(one, other):
    with pytest.raises(LevelSumError):
        one + other


@PROPERTY
@given(chains(n_transfers=1), st.sampled_from(["stimulus", "statistic", "source"]))
def test_a_transfer_is_made_of_one_take(chain, tag):
    (step,) = chain.transfers
    there = chain.level + step
    changed = {"stimulus": "another", "statistic": Statistic.P30, "source": Source.AID}[tag]
    other = replace(there, tags=replace(there.tags, **{tag: changed}))
    assume(getattr(there.tags, tag) != changed)
    with pytest.raises((StimulusMismatchError, StatisticMismatchError)):
        other - chain.level
