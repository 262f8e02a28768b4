"""The other half of the operation table: everything else is refused, and the sentence says what to do."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from umbo.core import (
    Bandwidth,
    Coupling,
    Ear,
    Grid,
    Level,
    Plane,
    PlaneKind,
    Source,
    Statistic,
    Tags,
    Transducer,
    Transfer,
    power_sum,
)
from umbo.errors import (
    BandwidthMismatchError,
    CombinationError,
    CouplingMismatchError,
    EarMismatchError,
    GridMismatchError,
    InputError,
    LevelSumError,
    PlaneMismatchError,
    StatisticMismatchError,
    StimulusMismatchError,
    UmboError,
)
from umbo.testing import chains, levels, planes, transfers

PROPERTY = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])

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


OTHER_GRID = Grid.tones([500, 1000, 4000])
THIRD = Grid(GRID.frequency_hz, Bandwidth.THIRD_OCTAVE)
RIGHT, LEFT = {"ear": Ear.RIGHT}, {"ear": Ear.LEFT}
FOAM, MOULD = {"coupling": Coupling.FOAM_TIP}, {"coupling": Coupling.MOULD}

REFUSALS = {
    # a transfer that does not start where the level is
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
    # the other ear
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
    # another coupling
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
    # other frequencies, another bandwidth
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
    # another take
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
    # sums that are none
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
    # sums of powers that are none
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
    # curves and grids that cannot be
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


PLANES = {
    "a coupler without a name": (
        lambda: Plane.parse("coupler"),
        "name a coupler: '' is none of ha1, ha2, ha4, cc04, oes; name one of these.",
    ),
    "which one is missing": (
        lambda: Plane(PlaneKind.COUPLER),
        (
            "name the place 'coupler': it must say which one, and 'None' is none of ha1, ha2, ha4, cc04, oes; "
            "name one of these."
        ),
    ),
    "a variant that does not exist": (
        lambda: Plane(PlaneKind.EARDRUM, Transducer.INSERT),
        "name the place 'eardrum': it has no variant 'insert'; leave the variant out.",
    ),
    "a depth of another place": (
        lambda: Plane(PlaneKind.EARDRUM, None, 5.0),
        (
            "name the place 'eardrum': a distance of 5.0 mm to the eardrum does not belong to it; give a "
            "distance of 0 mm or more, and only with a probe tip."
        ),
    ),
    "a place there is none": (
        lambda: Plane.parse("nose"),
        (
            "name a place: 'nose' is none of free_field, diffuse_field, aid_microphone, reference_microphone, "
            "coupler, probe_tip, eardrum, dial, full_scale; name one of these."
        ),
    ),
}


@pytest.mark.parametrize("case", PLANES)
def test_a_place_is_named_rightly_or_refused(case):
    ask, sentence = PLANES[case]
    with pytest.raises(InputError) as refusal:
        ask()
    assert str(refusal.value) == sentence
