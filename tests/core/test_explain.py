"""Every number says where it came from: the sum, term by term, and the budget."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from umbo.core import (
    Component,
    Coupling,
    Ear,
    Grid,
    Level,
    Origin,
    Plane,
    PointState,
    Source,
    Statistic,
    Tags,
    Transfer,
    power_sum,
)
from umbo.testing import chains, grids, transfers

PROPERTY = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])

GRID = Grid.tones([500, 1000, 2000, 4000])
DIAL, HA1, DRUM = Plane.dial("insert"), Plane.coupler("ha1"), Plane.eardrum()


def tagged(quantity, **changes):
    plain = {"ear": None, "stimulus": None, "statistic": None, "coupling": None, "source": None}
    return Tags(quantity=quantity, **{**plain, **changes})


@pytest.fixture
def threshold():
    """A baby with a moderate loss, invented: eHL 50 to 65, RETSPL HA-1 (from memory), measured RECD."""
    ear = {"ear": Ear.RIGHT, "coupling": Coupling.FOAM_TIP}
    dial = Level.given(
        GRID,
        [50, 55, 60, 65],
        plane=DIAL,
        tags=tagged("threshold", statistic=Statistic.THRESHOLD, source=Source.INSERT, **ear),
        source="audiogram, eHL",
        components=[Component("test-retest", "threshold repeatability", 5, "none", "B", "assumed")],
    )
    retspl = Transfer.given(
        GRID, [6, 0, 2.5, 0], start=DIAL, end=HA1, tags=tagged("RETSPL"), source="ISO 389-2, from memory"
    )
    recd = Transfer.given(
        GRID,
        [9, 13, 16, 21],
        start=HA1,
        end=DRUM,
        tags=tagged("RECD", source=Source.INSERT, **ear),
        source="measured",
        components=[
            Component("microphone", "calibration of the coupler microphone", 0.3, "full", "B", "assumed"),
            Component("repeat", "repeats of the RECD", [1, 1, 1, 1.2], "none", "A", "4 repeats", dof=3),
        ],
    )
    return dial + retspl + recd


def test_the_worked_sum(threshold):
    assert threshold.level_db.tolist() == [65.0, 68.0, 78.5, 86.0]
    assert threshold.plane == DRUM


def test_the_explanation_reads_as_the_sum(threshold):
    assert threshold.explain(at=4000).splitlines() == [
        "threshold at 4000 Hz, standard uncertainty 5.15 dB",
        "threshold at the eardrum                                      86.0 dB SPL  sum",
        "  + threshold in the 2 cc coupler HA-1                        65.0 dB SPL  sum",
        "    + threshold on the insert dial                            65.0 dB HL   audiogram, eHL",
        "    + RETSPL (dial:insert to coupler:ha1)                      0.0 dB      ISO 389-2, from memory",
        "  + RECD (coupler:ha1 to eardrum)                             21.0 dB      measured",
    ]


def test_the_budget_reads_as_a_table(threshold):
    """√(5² + 1.2² + 0.3²) = 5.15 dB; 25/26.53 = 94.2 %, 1.44/26.53 = 5.4 %, 0.09/26.53 = 0.3 %."""
    assert str(threshold.budget(at=4000)).splitlines() == [
        "uncertainty of the threshold at 4000 Hz",
        "  threshold repeatability                        5.00 dB  94.2 %  B  assumed",
        "  repeats of the RECD                            1.20 dB   5.4 %  A  4 repeats",
        "  calibration of the coupler microphone          0.30 dB   0.3 %  B  assumed",
        "  combined standard uncertainty (k = 1)          5.15 dB",
        "  effective degrees of freedom                 1018.3",
    ]


def test_the_degrees_of_freedom_of_the_budget(threshold):
    budget = threshold.budget(at=4000)
    assert budget.dof == pytest.approx(26.53**2 / (1.2**4 / 3))  # JCGM 100 Eq. G.2b by hand
    assert budget.u_db == pytest.approx(threshold.u_db[3])
    assert sum(line.share for line in budget.lines) == pytest.approx(1.0)


def test_without_a_cause_the_budget_is_empty():
    bare = Level.given(GRID, np.zeros(4), plane=DRUM, tags=tagged("limit"), source="entered")
    budget = bare.budget(at=1000)
    assert (budget.lines, budget.u_db, budget.dof) == ((), 0.0, float("inf"))
    assert str(budget).splitlines()[-1] == "  combined standard uncertainty (k = 1)          0.00 dB"


def test_a_cause_that_cancels_stays_in_the_budget_with_nothing(threshold):
    lines = threshold.above(threshold, quantity="nothing").budget(at=1000).lines
    assert {line.id for line in lines} == {"test-retest", "microphone", "repeat"}
    assert {(line.u_db, line.share) for line in lines} == {(0.0, 0.0)}


def test_the_reasons_of_a_point_close_the_explanation(threshold):
    marked = threshold.marked(PointState.NOISY, [False, False, False, True], "4 dB above the noise floor")
    assert marked.explain(at=4000).splitlines()[-1] == "state: noisy: 4 dB above the noise floor"
    assert "state" not in marked.explain(at=2000)


def test_a_reversed_transfer_says_what_it_reverses(threshold):
    recd = Transfer.given(GRID, [9, 13, 16, 21], start=HA1, end=DRUM, tags=tagged("RECD"), source="measured")
    assert (threshold + (-recd)).explain(at=4000).splitlines()[-2:] == [
        "  + RECD (eardrum to coupler:ha1)                            -21.0 dB      reversed",
        "    − RECD (coupler:ha1 to eardrum)                           21.0 dB      measured",
    ]


def test_regridding_shows_as_a_term_of_its_own():
    recd = Transfer.given(
        Grid.tones([2000, 8000]), [10, 20], start=HA1, end=DRUM, tags=tagged("RECD"), source="measured"
    )
    fine = recd.on(Grid.tones([2000, 4000, 8000]), method="log_frequency", outside="refuse")
    assert fine.explain(at=4000).splitlines() == [
        "RECD at 4000 Hz, standard uncertainty 0.00 dB",
        f"{'RECD (coupler:ha1 to eardrum)':<58}    15.0 dB      regridded (log frequency)",
        "  + RECD (coupler:ha1 to eardrum)                             15.0 dB      measured",
        "state: interpolated: between its points (log frequency)",
    ]


def test_a_nominal_frequency_explains_the_exact_point_it_took_over():
    """251.19 Hz is 250 Hz: the term below must be that point's value, not one between its neighbours."""
    exact = Transfer.given(
        Grid.third_octave(), np.arange(22.0) ** 2, start=HA1, end=DRUM, tags=tagged("RECD"), source="measured"
    )
    nominal = exact.on(Grid.audiometric(), method="log_frequency", outside="hold")
    for frequency_hz in (250.0, 500.0, 4000.0, 8000.0):
        top, below = nominal.terms(frequency_hz)
        assert top.level_db == below.level_db == nominal.value_at(frequency_hz)
        assert below.level_db == exact.value_at(frequency_hz)


def check_sums(terms):
    """Each node's value is the signed sum of the parts one level below it."""
    for place, node in enumerate(terms):
        parts = []
        for later in terms[place + 1 :]:
            if later.depth <= node.depth:
                break
            if later.depth == node.depth + 1:
                parts.append(later.sign * later.level_db)
        if parts:
            assert node.level_db == pytest.approx(sum(parts), abs=1e-8)


@PROPERTY
@given(chains(n_transfers=3), grids(), st.data())
def test_every_term_adds_up_also_across_grids(chain, grid, data):
    level, (first, second, third) = chain.level, chain.transfers
    wanted = Grid(grid.frequency_hz, level.grid.bandwidth)

    def on(curve, other):
        return curve.on(other, method="log_frequency", outside="hold")

    here = on(level + first, wanted) + on(second, wanted)
    again = on(on(here, level.grid) + third, wanted)
    for curve in (level + (first + second), here, again, again - here, -on(third, wanted)):
        for frequency_hz in curve.frequency_hz:
            terms = curve.terms(frequency_hz)
            assert terms[0].level_db == pytest.approx(curve.value_at(frequency_hz), abs=1e-9)
            check_sums(terms)
    frequency_hz = data.draw(st.floats(130.0, 15000.0))
    check_sums(again.terms(frequency_hz))


def test_parts_on_another_grid_are_read_at_the_same_frequency():
    """An origin may be made of parts on a finer grid without a plan: a band of a spectrum, for example."""
    fine = Origin("spectrum", "recording", "dB SPL", np.array([500.0, 1000.0, 2000.0]), np.array([1.0, 2.0, 3.0]))
    coarse = Origin("band", "level", "dB SPL", np.array([1000.0]), np.array([2.0]), ((1, fine),))
    assert [term.level_db for term in coarse.terms(1000.0)] == [2.0, 2.0]
    assert fine.value_at(2000.0**0.5 * 1000.0**0.5) == pytest.approx(2.5)
    assert fine.value_at(50.0) == 1.0


def test_a_sum_of_powers_names_both_sounds():
    def sound(quantity, level_db):
        tags = tagged(quantity, statistic=Statistic.RMS, stimulus=quantity)
        return Level.given(Grid.tones([1000]), [level_db], plane=DRUM, tags=tags, source="entered")

    both = power_sum(sound("speech", 60.0), sound("noise", 60.0), quantity="speech in noise")
    assert [str(term) for term in both.terms(1000.0)] == [
        "speech in noise                                               63.0 dB SPL  sum of powers",
        "  + speech at the eardrum                                     60.0 dB SPL  entered",
        "  + noise at the eardrum                                      60.0 dB SPL  entered",
    ]


@PROPERTY
@given(transfers(), st.data())
def test_terms_and_explanation_agree(transfer, data):
    frequency_hz = float(data.draw(st.sampled_from(list(transfer.frequency_hz))))
    lines = transfer.explain(at=frequency_hz).splitlines()
    terms = [str(term) for term in transfer.terms(frequency_hz)]
    assert lines[1 : 1 + len(terms)] == terms
    reasons = transfer.states.reasons(transfer.grid.index(frequency_hz))
    assert lines[1 + len(terms) :] == [f"state: {reason}" for reason in reasons]


def test_a_long_name_widens_the_column_for_all():
    tags = Tags(quantity="x" * 70, ear=None, stimulus=None, statistic=None, coupling=None, source=None)
    given_level = Level.given(GRID, [1, 2, 3, 4], plane=DRUM, tags=tags, source="invented")
    tones = Transfer.given(GRID, [1, 1, 1, 1], start=DRUM, end=DRUM, tags=tagged("short"), source="invented")
    lines = (given_level + tones).named("sum").explain(at=1000).splitlines()[1:]
    assert len({line.index(" dB") for line in lines}) == 1
