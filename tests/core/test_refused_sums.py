"""Refused: sums that are none, in decibels or of powers; each sentence says what to do."""

import numpy as np
import pytest

from umbo.core import Coupling, Ear, Grid, Level, Plane, Statistic, Tags, Transfer, power_sum
from umbo.errors import (
    CombinationError,
    CouplingMismatchError,
    EarMismatchError,
    GridMismatchError,
    LevelSumError,
    PlaneMismatchError,
    StatisticMismatchError,
    UmboError,
)

GRID = Grid.tones([500, 1000, 2000])
HA1 = Plane.coupler("ha1")
DRUM, FIELD, DIAL = Plane.eardrum(), Plane.free_field(), Plane.dial("insert")


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
RIGHT, LEFT = {"ear": Ear.RIGHT}, {"ear": Ear.LEFT}
FOAM, MOULD = {"coupling": Coupling.FOAM_TIP}, {"coupling": Coupling.MOULD}

REFUSALS = {
    "level plus level": (
        lambda: level("speech") + level("noise"),
        LevelSumError,
        (
            "add two levels: the speech and the noise are both levels, and levels add as powers; use "
            "power_sum(a, b), or add a transfer."
        ),
    ),
    "transfer plus level": (
        lambda: transfer("RECD") + level("speech"),
        CombinationError,
        (
            "add the speech to the RECD: a level is carried by a transfer, not the other way round; write "
            "level + transfer."
        ),
    ),
    "level less transfer": (
        lambda: level("speech", DRUM) - transfer("RECD"),
        CombinationError,
        (
            "take the RECD from the speech: a transfer is added in its direction, and this one leads from "
            "coupler:ha1 to eardrum; write level + (-transfer) to go the other way."
        ),
    ),
    "transfer less level": (
        lambda: transfer("RECD") - level("speech"),
        CombinationError,
        (
            "take the speech from the RECD: a level is carried by a transfer, not taken from it; write "
            "level + transfer, or level - level for a transfer."
        ),
    ),
    "level plus number": (
        lambda: level("speech") + 3.5,
        CombinationError,
        (
            "add the bare number 3.5 to the speech: the bare number 3.5 does not say from where to where it"
            " leads; make it a Transfer with its planes and source."
        ),
    ),
    "number plus level": (
        lambda: 10 + level("speech"),
        CombinationError,
        (
            "add the speech to the bare number 10: the bare number 10 does not say from where to where it "
            "leads; make it a Transfer with its planes and source."
        ),
    ),
    "number less transfer": (
        lambda: 10 - transfer("RECD"),
        CombinationError,
        (
            "take the RECD from the bare number 10: the bare number 10 does not say from where to where it "
            "leads; make it a Transfer with its planes and source."
        ),
    ),
    "level less number": (
        lambda: level("speech") - 10,
        CombinationError,
        (
            "take the bare number 10 from the speech: the bare number 10 does not say from where to where "
            "it leads; make it a Transfer with its planes and source."
        ),
    ),
    "transfer less number": (
        lambda: transfer("RECD") - 10,
        CombinationError,
        (
            "take the bare number 10 from the RECD: the bare number 10 does not say from where to where it "
            "leads; make it a Transfer with its planes and source."
        ),
    ),
    "array plus transfer": (
        lambda: np.ones(3) + transfer("RECD"),
        CombinationError,
        (
            "add the RECD to an object of type ndarray: an object of type ndarray does not say from where "
            "to where it leads; make it a Transfer with its planes and source."
        ),
    ),
    "transfer plus array": (
        lambda: transfer("RECD") + np.ones(3),
        CombinationError,
        (
            "add an object of type ndarray to the RECD: an object of type ndarray does not say from where "
            "to where it leads; make it a Transfer with its planes and source."
        ),
    ),
    "difference plus transfer": (
        lambda: level("speech").above(level("limit"), quantity="excess") + transfer("RECD"),
        CombinationError,
        (
            "add the RECD to the excess: no sum is defined for difference and transfer, and a difference is"
            " the end of a sum; use the two levels the difference was made from."
        ),
    ),
    "level less difference": (
        lambda: level("speech") - level("speech").above(level("limit"), quantity="excess"),
        CombinationError,
        (
            "take the excess from the speech: no sum is defined for difference and level, and a difference "
            "is the end of a sum; use the two levels the difference was made from."
        ),
    ),
    "difference less difference": (
        lambda: level("a").above(level("b"), quantity="c") - level("a").above(level("b"), quantity="d"),
        CombinationError,
        (
            "take the d from the c: no sum is defined for difference, and a difference is the end of a sum;"
            " use the two levels the difference was made from."
        ),
    ),
    "powers across places": (
        lambda: power_sum(level("speech", DRUM), level("noise", FIELD), quantity="sum"),
        PlaneMismatchError,
        (
            "add the powers of the speech and the noise: one is at the eardrum and the other in the free "
            "field; carry both to one place first."
        ),
    ),
    "powers of dial readings": (
        lambda: power_sum(level("tone", DIAL), level("noise", DIAL), quantity="sum"),
        CombinationError,
        (
            "add the powers of the tone and the noise: dB HL values are not sound pressures; carry both to "
            "a sound pressure level."
        ),
    ),
    "powers of percentiles": (
        lambda: power_sum(
            level("speech", statistic=Statistic.RMS), level("peaks", statistic=Statistic.P99), quantity="sum"
        ),
        StatisticMismatchError,
        (
            "add the powers of the speech and the peaks: powers add for rms levels only, and the peaks has "
            "the statistic 'p99'; use the rms level of each sound."
        ),
    ),
    "powers of nobody knows what": (
        lambda: power_sum(level("speech"), level("noise", statistic=Statistic.RMS), quantity="sum"),
        StatisticMismatchError,
        (
            "add the powers of the speech and the noise: powers add for rms levels only, and the speech has"
            " no stated statistic; use the rms level of each sound."
        ),
    ),
    "powers across ears": (
        lambda: power_sum(
            level("speech", statistic=Statistic.RMS, **RIGHT),
            level("noise", statistic=Statistic.RMS, **LEFT),
            quantity="sum",
        ),
        EarMismatchError,
        (
            "add the powers of the speech and the noise: the speech belongs to the right ear and the noise "
            "to the left ear; take both from the same ear."
        ),
    ),
    "powers across couplings": (
        lambda: power_sum(
            level("speech", statistic=Statistic.RMS, **FOAM),
            level("noise", statistic=Statistic.RMS, **MOULD),
            quantity="sum",
        ),
        CouplingMismatchError,
        (
            "add the powers of the speech and the noise: the speech was taken with a foam tip and the noise"
            " with a mould; measure both with one coupling, or add a named coupling correction."
        ),
    ),
    "powers on other frequencies": (
        lambda: power_sum(level("speech"), level("noise", grid=OTHER_GRID), quantity="sum"),
        GridMismatchError,
        (
            "add the powers of the speech and the noise: the speech has 3 points, 500-2000 Hz, for single "
            "tones and the noise has 3 points, 500-4000 Hz, for single tones; regrid one explicitly with "
            "curve.on(grid, method=...)."
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
