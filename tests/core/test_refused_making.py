"""Refused: curves, grids and places that cannot be."""

import numpy as np
import pytest

from umbo.core import Grid, Level, Plane, PlaneKind, Tags, Transducer
from umbo.errors import InputError, UmboError

GRID = Grid.tones([500, 1000, 2000])
HA1 = Plane.coupler("ha1")
DRUM = Plane.eardrum()


def tagged(quantity, **changes):
    plain = {"ear": None, "stimulus": None, "statistic": None, "coupling": None, "source": None}
    return Tags(quantity=quantity, **{**plain, **changes})


def level(quantity, plane=HA1, grid=GRID, **changes):
    values = np.full(grid.size, 60.0)
    return Level.given(grid, values, plane=plane, tags=tagged(quantity, **changes), source="entered")


REFUSALS = {
    "too few values": (
        lambda: Level.given(GRID, [1, 2], plane=DRUM, tags=tagged("speech"), source="entered"),
        InputError,
        (
            "make the curve 'speech': it has 2 values, 3 states and 3 uncertainties on a grid of 3 points; "
            "give one of each per point."
        ),
    ),
    "not a number": (
        lambda: Level.given(GRID, [1, np.nan, 3], plane=DRUM, tags=tagged("speech"), source="entered"),
        InputError,
        (
            "make the curve 'speech': its value at 1000 Hz is not a finite number; leave the point out, or "
            "give it a state with a reason."
        ),
    ),
    "frequencies out of order": (
        lambda: Grid.tones([500, 2000, 1000]),
        InputError,
        "make a frequency grid: 1000 Hz follows 2000 Hz; sort the frequencies and remove doubles.",
    ),
    "no frequency": (
        lambda: Grid.tones([]),
        InputError,
        (
            "make a frequency grid: the frequencies are not a list of finite numbers above zero; give at "
            "least one frequency in hertz."
        ),
    ),
    "read between points": (
        lambda: level("speech").value_at(1400),
        InputError,
        ("read a curve at 1400 Hz: its nearest point is 1000 Hz; ask for a frequency on its grid or regrid it."),
    ),
    "read at no frequency": (
        lambda: level("speech").value_at(float("nan")),
        InputError,
        ("read a curve at nan Hz: a frequency is a finite number above zero; ask for a frequency on its grid."),
    ),
    "a coupler of which there is none": (
        lambda: Plane.coupler("ha3"),
        InputError,
        "name a coupler: 'ha3' is none of ha1, ha2, ha4, cc04, oes; name one of these.",
    ),
    "a depth beyond reason": (
        lambda: Plane.probe_tip(float("inf")),
        InputError,
        (
            "name the place 'probe_tip': a distance of inf mm to the eardrum does not belong to it; give a "
            "distance of 0 mm or more, and only with a probe tip."
        ),
    ),
    "a coupler without a name": (
        lambda: Plane.parse("coupler"),
        InputError,
        "name a coupler: '' is none of ha1, ha2, ha4, cc04, oes; name one of these.",
    ),
    "which one is missing": (
        lambda: Plane(PlaneKind.COUPLER),
        InputError,
        (
            "name the place 'coupler': it must say which one, and 'None' is none of ha1, ha2, ha4, cc04, oes; "
            "name one of these."
        ),
    ),
    "a variant that does not exist": (
        lambda: Plane(PlaneKind.EARDRUM, Transducer.INSERT),
        InputError,
        "name the place 'eardrum': it has no variant 'insert'; leave the variant out.",
    ),
    "a depth of another place": (
        lambda: Plane(PlaneKind.EARDRUM, None, 5.0),
        InputError,
        (
            "name the place 'eardrum': a distance of 5.0 mm to the eardrum does not belong to it; give a "
            "distance of 0 mm or more, and only with a probe tip."
        ),
    ),
    "a place there is none": (
        lambda: Plane.parse("nose"),
        InputError,
        (
            "name a place: 'nose' is none of free_field, diffuse_field, aid_microphone, reference_microphone, "
            "coupler, probe_tip, eardrum, dial, full_scale; name one of these."
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
