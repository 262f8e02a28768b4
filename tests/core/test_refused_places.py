"""Refused: quantities of different places, ears or couplings; each sentence says what to do."""

import numpy as np
import pytest

from umbo.core import Coupling, Ear, Grid, Level, Plane, Tags, Transfer
from umbo.errors import CouplingMismatchError, EarMismatchError, PlaneMismatchError, UmboError

GRID = Grid.tones([500, 1000, 2000])
HA1, HA2, CC04, OES = (Plane.coupler(kind) for kind in ("ha1", "ha2", "cc04", "oes"))
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


RIGHT, LEFT = {"ear": Ear.RIGHT}, {"ear": Ear.LEFT}
FOAM, MOULD = {"coupling": Coupling.FOAM_TIP}, {"coupling": Coupling.MOULD}

REFUSALS = {
    "0.4 cc RECD on a 2 cc level": (
        lambda: level("sweep response") + transfer("RECD", start=CC04),
        PlaneMismatchError,
        (
            "add the RECD to the sweep response: this level is in the 2 cc coupler HA-1; the transfer "
            "starts in the 0.4 cc coupler; use a transfer that starts in the 2 cc coupler HA-1."
        ),
    ),
    "HA-2 RECD on an HA-1 threshold": (
        lambda: level("threshold", DIAL) + transfer("RETSPL", DIAL, HA1) + transfer("RECD", HA2),
        PlaneMismatchError,
        (
            "add the RECD to the threshold: this level is in the 2 cc coupler HA-1; the transfer starts in "
            "the 2 cc coupler HA-2; use a transfer that starts in the 2 cc coupler HA-1."
        ),
    ),
    "dial of another transducer": (
        lambda: level("threshold", Plane.dial("supra_aural")) + transfer("RETSPL", DIAL, OES),
        PlaneMismatchError,
        (
            "add the RETSPL to the threshold: this level is on the supra-aural dial; the transfer starts on"
            " the insert dial; use a transfer that starts on the supra-aural dial."
        ),
    ),
    "probe at another depth": (
        lambda: level("ear response", Plane.probe_tip(5)) + transfer("depth correction", Plane.probe_tip(12)),
        PlaneMismatchError,
        (
            "add the depth correction to the ear response: this level is at the probe tip, 5 mm from the "
            "eardrum; the transfer starts at the probe tip, 12 mm from the eardrum; use a transfer that "
            "starts at the probe tip, 5 mm from the eardrum."
        ),
    ),
    "probe at an unknown depth": (
        lambda: level("ear response", Plane.probe_tip()) + transfer("depth correction", Plane.probe_tip(12)),
        PlaneMismatchError,
        (
            "add the depth correction to the ear response: this level is at the probe tip; the transfer "
            "starts at the probe tip, 12 mm from the eardrum; use a transfer that starts at the probe tip."
        ),
    ),
    "chain with a gap": (
        lambda: transfer("RETSPL", DIAL, OES) + transfer("RECD", HA1, DRUM),
        PlaneMismatchError,
        (
            "chain the RETSPL and the RECD: the first ends in the occluded-ear simulator; the second starts"
            " in the 2 cc coupler HA-1; use a second transfer that starts in the occluded-ear simulator."
        ),
    ),
    "transfers that end apart": (
        lambda: transfer("RECD", HA1, DRUM) - transfer("RETSPL", DIAL, HA1),
        PlaneMismatchError,
        (
            "take the RETSPL from the RECD: the first ends at the eardrum; the second ends in the 2 cc "
            "coupler HA-1; use two transfers that end in one place, or write -second + first for two that "
            "start in one."
        ),
    ),
    "difference at one place": (
        lambda: level("aided", DRUM) - level("unaided", DRUM),
        PlaneMismatchError,
        (
            "take the transfer from the unaided to the aided: both levels are at the eardrum; use "
            "level.above(other) for a difference at one place."
        ),
    ),
    "comparison across places": (
        lambda: level("speech", DRUM).above(level("threshold", DIAL), quantity="sensation level"),
        PlaneMismatchError,
        (
            "compare the speech with the threshold: one is at the eardrum and the other on the insert dial;"
            " carry both to one place first."
        ),
    ),
    "carried by the other ear": (
        lambda: level("threshold", DIAL, **RIGHT) + transfer("RETSPL", DIAL, HA1) + transfer("RECD", **LEFT),
        EarMismatchError,
        (
            "add the RECD to the threshold: the threshold belongs to the right ear and the RECD to the left"
            " ear; take both from the same ear."
        ),
    ),
    "difference across ears": (
        lambda: level("ear response", DRUM, **RIGHT) - level("coupler response", HA1, **LEFT),
        EarMismatchError,
        (
            "take the transfer from the coupler response to the ear response: the ear response belongs to "
            "the right ear and the coupler response to the left ear; take both from the same ear."
        ),
    ),
    "chain across ears": (
        lambda: transfer("gain", FIELD, HA1, **RIGHT) + transfer("RECD", HA1, DRUM, **LEFT),
        EarMismatchError,
        (
            "chain the gain and the RECD: the gain belongs to the right ear and the RECD to the left ear; "
            "take both from the same ear."
        ),
    ),
    "comparison across ears": (
        lambda: level("speech", DRUM, **RIGHT).above(level("threshold", DRUM, **LEFT), quantity="sensation level"),
        EarMismatchError,
        (
            "compare the speech with the threshold: the speech belongs to the right ear and the threshold "
            "to the left ear; take both from the same ear."
        ),
    ),
    "foam tip with mould": (
        lambda: level("threshold", HA1, **FOAM) + transfer("RECD", HA1, DRUM, **MOULD),
        CouplingMismatchError,
        (
            "add the RECD to the threshold: the threshold was taken with a foam tip and the RECD with a "
            "mould; measure both with one coupling, or add a named coupling correction."
        ),
    ),
    "difference across couplings": (
        lambda: level("ear response", DRUM, **MOULD) - level("coupler response", HA1, **FOAM),
        CouplingMismatchError,
        (
            "take the transfer from the coupler response to the ear response: the ear response was taken "
            "with a mould and the coupler response with a foam tip; measure both with one coupling, or add "
            "a named coupling correction."
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
