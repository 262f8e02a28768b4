"""Routes from the dial to the eardrum: what agrees, and what is refused by name."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from umbo.core import CouplerKind, Coupling, Ear, Grid, Plane, PointState, Source, Statistic, Tags, Transducer, Transfer
from umbo.ear import (
    NO_DISCOMFORT,
    average_redd,
    convert_recd,
    coupler_to_coupler,
    estimate_findings,
    estimated_hearing_level,
    field_to_eardrum,
    hearing_level,
    retspl,
    sound_field_threshold,
)
from umbo.errors import InputError, NotPossibleHereError, OutOfRangeError, PlaneMismatchError

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0, 6000.0, 8000.0])
HA2_MINUS_HA1_DB = [-0.5, -0.5, 0.0, 0.5, 5.5, 4.5, 3.5]  # RETSPL rows of the two couplers, by hand
decibels = st.lists(st.floats(-30.0, 40.0), min_size=HZ.size, max_size=HZ.size)


def dial(level_db=45.0, *, transducer=Transducer.INSERT, statistic=Statistic.THRESHOLD, no_response=None, **more):
    return hearing_level(
        HZ,
        np.full(HZ.size, level_db),
        ear=Ear.RIGHT,
        transducer=transducer,
        coupling=Coupling.FOAM_TIP if transducer is Transducer.INSERT else None,
        statistic=statistic,
        no_response=[False] * HZ.size if no_response is None else no_response,
        source="invented",
        **more,
    )


def recd(values_db, kind="ha1", source=Source.INSERT):
    return Transfer.given(
        Grid.tones(HZ),
        values_db,
        start=Plane.coupler(kind),
        end=Plane.eardrum(),
        tags=Tags(
            quantity=f"RECD re {kind}",
            ear=Ear.RIGHT,
            stimulus=None,
            statistic=None,
            coupling=Coupling.FOAM_TIP,
            source=source,
        ),
        source="invented",
    )


@given(values=decibels, level=st.floats(0.0, 110.0))
def test_both_2cc_routes_lead_to_the_same_threshold(values, level):
    """RECDs that differ by the RETSPL difference give one eardrum threshold, whichever coupler is used."""
    by_ha1 = dial(level) + retspl(CouplerKind.HA1, HZ) + recd(values)
    by_ha2 = dial(level) + retspl(CouplerKind.HA2, HZ) + recd(np.array(values) - HA2_MINUS_HA1_DB, "ha2")
    assert by_ha2.level_db == pytest.approx(by_ha1.level_db, abs=1e-9)


def test_mixing_reference_and_recd_is_refused_by_name():
    with pytest.raises(PlaneMismatchError) as refused:
        dial() + retspl(CouplerKind.HA2, HZ) + recd(np.zeros(HZ.size))
    assert str(refused.value) == (
        "add the RECD re ha1 to the threshold: this level is in the 2 cc coupler HA-2; the transfer starts in the 2 cc "
        "coupler HA-1; use a transfer that starts in the 2 cc coupler HA-2."
    )


@given(values=decibels)
def test_conversion_is_the_reference_difference_and_comes_back(values):
    start = recd(values)
    there = convert_recd(start, CouplerKind.HA2, HZ)
    assert there.level_db == pytest.approx(np.array(values) - HA2_MINUS_HA1_DB, abs=1e-9)
    assert there.start == Plane.coupler("ha2")
    back = convert_recd(there, CouplerKind.HA1, HZ)
    assert back.level_db == pytest.approx(values, abs=1e-9)


def test_coupler_to_coupler_turns_around():
    there = coupler_to_coupler(CouplerKind.HA1, CouplerKind.HA2, HZ)
    assert there.level_db == pytest.approx(HA2_MINUS_HA1_DB)
    back = coupler_to_coupler(CouplerKind.HA2, CouplerKind.HA1, HZ)
    assert (there + back).level_db == pytest.approx(np.zeros(HZ.size))


def test_recd_driven_by_an_aid_is_not_converted():
    with pytest.raises(NotPossibleHereError) as refused:
        convert_recd(recd(np.zeros(HZ.size), source=Source.AID), CouplerKind.HA2, HZ)
    assert str(refused.value) == (
        "convert the RECD re ha1 to the 2 cc coupler HA-2: it was measured with the source 'aid', and the RETSPL "
        "difference holds only for an audiometric insert earphone's source impedance; measure the ear with "
        "that coupler."
    )


def test_the_0_4_cc_coupler_has_no_reference_thresholds():
    with pytest.raises(NotPossibleHereError, match="no standard tabulates RETSPLs for that coupler"):
        retspl(CouplerKind.CC04, HZ)
    with pytest.raises(NotPossibleHereError, match=r"refer insert-earphone thresholds to the 0\.4 cc coupler"):
        convert_recd(recd(np.zeros(HZ.size)), CouplerKind.CC04, HZ)


def test_untabulated_frequency_is_refused():
    with pytest.raises(OutOfRangeError, match="at 1100 Hz"):
        retspl(CouplerKind.HA1, np.array([1100.0]))


def test_no_response_is_a_bound_of_its_kind():
    nothing = [False] * 6 + [True]
    threshold = dial(no_response=nothing) + retspl(CouplerKind.HA1, HZ) + recd(np.zeros(HZ.size))
    assert threshold.state_at(8000) is PointState.WITHDRAWN
    limit = dial(statistic=Statistic.LIMIT, no_response=nothing)
    assert limit.states.reasons(6) == (f"withdrawn: {NO_DISCOMFORT}",)


def test_estimates_scatter_more_than_retests():
    assert dial().u_db == pytest.approx(2.5)  # ±5 dB read as k = 2 (from memory)
    # 80 % within 15 dB (Stapells, Gravel & Martin 1995, abstract read)
    assert dial(is_estimate=True).u_db == pytest.approx(np.hypot(2.5, 15 / 1.2816), abs=0.01)


def test_one_correction_per_threshold():
    with pytest.raises(InputError, match="there are 2 thresholds and 1 corrections; give one correction per threshold"):
        estimated_hearing_level([60, 65], [10], correction_name="a set")


@given(nhl=st.lists(st.floats(0, 120), min_size=1, max_size=8), c=st.floats(-5, 20))
def test_estimate_is_a_difference(nhl, c):
    assert estimated_hearing_level(nhl, [c] * len(nhl), correction_name="a set") == pytest.approx([x - c for x in nhl])


def test_severe_loss_and_double_correction_are_said():
    found = {f.code: f for f in estimate_findings([500, 1000, 2000], [75, 8, 65], [65, -2, 60])}
    assert "At 500 Hz the recorded threshold is 70 dB nHL or more" in found["estimate_in_severe_loss"].text
    assert "At 1000 Hz the estimated hearing level is better than 0 dB eHL" in found["estimate_below_zero"].text
    assert estimate_findings([500], [60], [50]) == ()


def test_average_redd_marks_what_it_interpolates():
    found = average_redd(Transducer.SUPRA_AURAL, np.array([1000.0, 3000.0]), ear=Ear.RIGHT)
    assert found.start == Plane.dial("supra_aural")
    assert found.level_db[0] == pytest.approx(6.7)  # minimum audible pressure at the drum, Bentler & Pavlovic 1989
    assert [found.states.at(i) for i in (0, 1)] == [PointState.OK, PointState.INTERPOLATED]
    assert found.u_db == pytest.approx(40 / 6.6)


def test_sound_field_route():
    level = dial(0.0, transducer=Transducer.SOUND_FIELD)
    at_drum = level + sound_field_threshold(HZ) + field_to_eardrum(HZ, ear=Ear.RIGHT)
    assert at_drum.plane == Plane.eardrum()
    assert at_drum.value_at(1000) == pytest.approx(2.4 + 2.6, abs=0.5)  # ISO 389-7 and ANSI S3.5 at 1 kHz, from memory
    with pytest.raises(
        PlaneMismatchError, match="this level is on the insert dial; the transfer starts on the sound-field"
    ):
        dial() + sound_field_threshold(HZ)
