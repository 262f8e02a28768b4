"""Prescriptions compared for a case: the same as a verification prescribes, from as little as thresholds."""

from dataclasses import replace

import numpy as np
import pytest
from bench_port import recd_plan
from curve_case import s1_case
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from threshold_case import imported, threshold_case

from umbo.core import CouplerKind, Coupling, Ear, PointState, Transducer
from umbo.errors import InputError
from umbo.interchange import open_case
from umbo.prescription import METHODS, speech_in_field
from umbo.session import ThresholdSet, compare_prescriptions, run
from umbo.sim import random_ear, recd_takes

DISCOMFORT = (95, 100, 100, 105)


class NoRecordings:
    """A port that fails when it is asked for anything."""

    def take(self, name):
        raise AssertionError(name)

    stimulus = take


def plan_of(folder):
    return open_case(folder, needs_measurement=False).plan


def compared(folder, **asked):
    return compare_prescriptions(plan_of(folder), NoRecordings(), **asked)


def by_key(one):
    return {entry.key: entry for entry in one.methods.methods}


def test_thresholds_alone_are_enough(tmp_path):
    found = compared(threshold_case(tmp_path / "case", discomfort=DISCOMFORT))
    (one,) = found.ears[Ear.RIGHT].inputs
    assert found.inputs_db_spl == (65.0,)
    assert [entry.key for entry in one.methods.computed] == list(METHODS)
    assert found.ears[Ear.RIGHT].why_not is None
    assert found.ears[Ear.RIGHT].no_insertion_gain is None


def test_without_a_route_to_the_eardrum_only_the_mapping_is_refused(tmp_path):
    found = compared(threshold_case(tmp_path / "case", transducer="insert", discomfort=DISCOMFORT))
    (one,) = found.ears[Ear.RIGHT].inputs
    assert set(one.methods.refused) == {"dsl_io_1995"}
    assert "no threshold is known at the eardrum" in one.methods.refused["dsl_io_1995"]
    assert found.ears[Ear.RIGHT].thresholds.at_eardrum is None


@pytest.mark.parametrize("key", list(METHODS))
def test_the_same_targets_as_in_a_verification(key, tmp_path):
    """Two ways through the program, one answer: the baby of S1, imported target taken out, discomfort entered."""
    folder = s1_case(tmp_path / "s1")
    path = folder / "case.toml"
    text = path.read_text().replace('prescription = "none"', f'prescription = "{key}"')
    start, stop = text.index('[[target]]\nname = "speech 65"'), text.index('[[target]]\nname = "limit"')
    heard = text[text.index("[ear.right.thresholds]") : text.index("[corrections")]
    bounds = heard.replace("thresholds]", "discomfort]").replace("[60, 65, 65, 65]", "[105, 110, 110, 115]")
    bounds = bounds.replace('"nHL"', '"HL"').replace('correction = "scenario protocol"', "")
    path.write_text(text[:start] + text[stop:] + "\n" + bounds)
    case = open_case(folder)
    verified = {t.input_db_spl: t for t in run(case.plan, case).ears[Ear.RIGHT].targets if t.input_db_spl}
    ear = compare_prescriptions(case.plan, NoRecordings(), inputs_db_spl=(75, 55, 65)).ears[Ear.RIGHT]
    for one in ear.inputs:
        wanted, target = by_key(one)[key], verified[one.methods.input_db_spl]
        assert wanted.frequency_hz == tuple(target.level.frequency_hz)
        assert wanted.aided_db_spl == pytest.approx(target.level.level_db, abs=1e-9)
        assert wanted.u_db == pytest.approx(target.level.u_db, abs=1e-9)
        assert wanted.findings == target.findings


def insert_plan(age_months=400.0):
    """Sweeps of an insert earphone for an RECD, and thresholds taken with it."""
    rng = np.random.default_rng(7)
    takes = recd_takes(random_ear(rng, age_months=age_months), CouplerKind.HA1, rng)
    plan, port = recd_plan(takes, "ha1", age_months=age_months, declared_mm=3.0)
    heard = ThresholdSet(
        scale="HL",
        transducer=Transducer.INSERT,
        coupler=CouplerKind.HA1,
        coupling=Coupling.FOAM_TIP,
        frequency_hz=(500.0, 1000.0, 2000.0, 4000.0),
        level_db=(40.0, 45.0, 50.0, 60.0),
        no_response=(False,) * 4,
    )
    bounds = replace(heard, level_db=(100.0,) * 4)
    ear = replace(plan.ears[Ear.RIGHT], thresholds=heard, discomfort=bounds)
    return replace(plan, ears={Ear.RIGHT: ear}), port


def test_an_insert_route_reads_the_sweeps_of_its_recd_and_nothing_else():
    plan, port = insert_plan()
    speech = replace(plan.takes[1], name="speech", source="aid")
    ear = compare_prescriptions(replace(plan, takes=(*plan.takes, speech)), port).ears[Ear.RIGHT]
    whole = run(plan, port).ears[Ear.RIGHT]
    assert ear.thresholds.at_eardrum.level_db == pytest.approx(whole.thresholds.at_eardrum.level_db, abs=1e-9)
    assert "dsl_io_1995" not in ear.inputs[0].methods.refused


def test_thresholds_by_another_earphone_read_nothing():
    plan, _ = insert_plan()
    here = plan.ears[Ear.RIGHT]
    supra = {"transducer": Transducer.SUPRA_AURAL, "coupler": None, "coupling": None}
    ear = replace(here, thresholds=replace(here.thresholds, **supra), discomfort=None)
    found = compare_prescriptions(replace(plan, ears={Ear.RIGHT: ear}), NoRecordings())
    assert found.ears[Ear.RIGHT].thresholds.at_eardrum is not None


def test_imported_targets_stand_beside_with_their_gains(tmp_path):
    levels = (66.0, 71.0, 79.0, 82.0)
    extra = imported(levels) + imported((60, 66, 75, 79), at_db=55.0, name="soft")
    extra += imported((110, 112, 113, 114), at_db=None, name="limit")
    ear = compared(threshold_case(tmp_path / "case", extra=extra)).ears[Ear.RIGHT]
    (beside,) = ear.inputs[0].imported
    hz = beside.target.level.frequency_hz
    assert str(beside.target.method) == "invented rule, 5.1, adult, quiet"
    assert beside.aided_gain.level_db == pytest.approx(levels - speech_in_field(hz, 65.0, ear=None).level_db)
    nal_r = by_key(ear.inputs[0])["nal_r"]
    for index, f in enumerate(hz.tolist()):
        at = nal_r.frequency_hz.index(f)
        # the same speech and the same unaided gain: insertion gains differ as the wanted levels do
        apart = levels[index] - nal_r.aided_db_spl[at]
        assert beside.insertion_gain.level_db[index] - nal_r.insertion_gain_db[at] == pytest.approx(apart)
        assert beside.from_median_db[index] - nal_r.from_median_db[at] == pytest.approx(apart)
    assert ear.other_inputs_db_spl == (55.0,)
    assert [target.input_db_spl for target in ear.limits] == [None]


def test_an_imported_target_where_nothing_is_prescribed_has_no_median(tmp_path):
    extra = imported((60, 70, 80), hz=(200, 1000, 10000))
    ear = compared(threshold_case(tmp_path / "case", extra=extra), methods=("nal_r",)).ears[Ear.RIGHT]
    (beside,) = ear.inputs[0].imported
    assert [value is None for value in beside.from_median_db] == [True, False, True]
    assert beside.insertion_gain is None  # the unaided gain ends at 8 kHz
    assert "unaided gain" in beside.why_not
    assert beside.aided_gain is not None


def test_a_child_gets_no_insertion_gain_and_the_reason(tmp_path):
    ear = compared(threshold_case(tmp_path / "case", age_months=30, extra=imported((70,) * 4))).ears[Ear.RIGHT]
    assert "the client is 30 months old" in ear.no_insertion_gain
    assert all(entry.insertion_gain_db is None for entry in ear.inputs[0].methods.computed)
    (beside,) = ear.inputs[0].imported
    assert (beside.insertion_gain, beside.why_not) == (None, None)
    unknown = compared(threshold_case(tmp_path / "other", age_months=None)).ears[Ear.RIGHT]
    assert "age is not known" in unknown.no_insertion_gain


def test_no_response_withdraws_a_point_and_refuses_a_mean(tmp_path):
    silent = "no_response = [false, false, false, true, false, false, false]"
    ear = compared(threshold_case(tmp_path / "case", keys=silent)).ears[Ear.RIGHT]
    (one,) = ear.inputs
    assert {"nal_r", "nal_rp"} < set(one.methods.refused)
    pogo = by_key(one)["pogo"]
    at = pogo.frequency_hz.index(2000.0)
    assert (pogo.state[at], pogo.from_median_db[at]) == (PointState.WITHDRAWN, None)


def test_an_ear_without_thresholds_says_so_and_keeps_its_imported_targets(tmp_path):
    folder = s1_case(tmp_path / "s1")
    plan = plan_of(folder)
    bare = replace(plan, ears={Ear.RIGHT: replace(plan.ears[Ear.RIGHT], thresholds=None)})
    ear = compare_prescriptions(bare, NoRecordings()).ears[Ear.RIGHT]
    assert "the case holds no thresholds of it" in ear.why_not
    assert ear.inputs[0].methods.methods == ()
    assert len(ear.inputs[0].imported) == 1


def test_what_an_ear_may_not_bear_is_said(tmp_path):
    """POGO II at a loss of 105 dB: 52.5 + 20 dB of gain (by hand) on 48.7 + 2.6 dB of speech at 1 kHz, 123.8 dB SPL."""
    hz, level = (250, 500, 1000), (75, 85, 105)
    folder = threshold_case(tmp_path / "case", hz=hz, level_db=level, age_months=540, discomfort=(105, 108, 110, 110))
    ear = compared(folder, methods=("pogo_ii", "libby")).ears[Ear.RIGHT]
    said = [f for f in ear.findings if f.code.startswith("wanted")]
    assert [f.code for f in said] == ["wanted_above_discomfort"]
    assert said[0].text.startswith("POGO II wants speech of 65 dB at 123.8 dB SPL at 1000 Hz, ")
    loud = compared(folder, methods=("pogo_ii",), inputs_db_spl=(75,)).ears[Ear.RIGHT]
    # 10 dB more in: 133.8 dB SPL, above the caution level of 132 dB SPL (21 CFR 801, from memory)
    assert {f.code for f in loud.findings if f.code.startswith("wanted")} == {
        "wanted_above_discomfort",
        "wanted_above_caution",
    }


def test_a_point_without_response_warns_of_nothing(tmp_path):
    silent = "no_response = [false, false, true]"
    folder = threshold_case(
        tmp_path / "case", hz=(250, 500, 1000), level_db=(30, 35, 120), keys=silent, discomfort=(105, 108, 110, 110)
    )
    ear = compared(folder, methods=("pogo_ii",), inputs_db_spl=(80,)).ears[Ear.RIGHT]
    assert not [f for f in ear.findings if f.code.startswith("wanted")]


def test_two_ears_are_compared_only_if_both_were_asked_about(tmp_path):
    folder = threshold_case(tmp_path / "case", ears=("right", "left"))
    path = folder / "case.toml"
    head, tail = path.read_text().split("[ear.left.thresholds]")
    path.write_text(head + "[ear.left.thresholds]" + tail.replace("[20, 25, 35, 50", "[60, 65, 75, 90"))
    assert "asymmetric_thresholds" in [f.code for f in compared(folder).findings]
    assert compared(folder, ears=(Ear.LEFT,)).findings == ()


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"ears": (Ear.LEFT,)}, "the case has the right ear"),
        ({"methods": ("nal_q",)}, "no open prescription has that key"),
        ({"inputs_db_spl": (120.0,)}, "between 30 and 100 dB SPL"),
        ({"inputs_db_spl": (float("nan"),)}, "between 30 and 100 dB SPL"),
        ({"inputs_db_spl": ()}, "no speech level was given"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(asked, words, tmp_path):
    with pytest.raises(InputError, match=words):
        compared(threshold_case(tmp_path / "case"), **asked)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(level=st.floats(40.0, 90.0), more_db=st.floats(0.0, 5.0))
def test_a_linear_rule_follows_the_speech(level, more_db, tmp_path_factory):
    plan = plan_of(threshold_case(tmp_path_factory.mktemp("linear") / "case"))
    first, second = (
        by_key(
            compare_prescriptions(plan, NoRecordings(), methods=("pogo",), inputs_db_spl=(at,))
            .ears[Ear.RIGHT]
            .inputs[0]
        )
        for at in (level, level + more_db)
    )
    moved = np.subtract(second["pogo"].aided_db_spl, first["pogo"].aided_db_spl)
    assert moved == pytest.approx(np.full(moved.size, more_db), abs=1e-9)
    assert second["pogo"].aided_gain_db == pytest.approx(first["pogo"].aided_gain_db, abs=1e-9)
