"""The keys of thresholds and discomfort: each arrives as written, and each nonsense is one sentence."""

from __future__ import annotations

import json
import tomllib

import jsonschema
import pytest
from case_builder import CASE_TOML, append, build_case, edit

from umbo.core import Ear, Transducer
from umbo.ear import CorrectionSet, DiscomfortRule, Masking, Reliability, ThresholdMethod, discomfort_rule
from umbo.errors import CaseError
from umbo.interchange import case_schema, open_case

SCALE = 'scale = "HL"'
FEWER = (
    ("frequency_hz = [250, 500, 1000, 2000, 4000, 8000]", "frequency_hz = [500, 1000, 2000, 4000]"),
    ("level_db = [30, 35, 45, 55, 60, 65]", "level_db = [60, 65, 65, 65]"),
    ("no_response = [false, false, false, false, false, true]\n", ""),
)
REGRESSION = """
[corrections.mine]
frequency_hz = [500, 1000, 2000, 4000]
slope = [0.8, 0.8, 0.9, 1.0]
intercept_db = [4, 2, 1, -2]
source = "invented"
version = "2"
method = "abr_tone"
"""
OWN_RULE = """
[discomfort_rules.line]
scale = "HL"
slope = 0.5
intercept_db = 80.0
u_db = 9.0
source = "invented"

[ear.right.fitting]
discomfort_prediction = "line"
"""


@pytest.fixture
def folder(tmp_path):
    return build_case(tmp_path / "case")


def evoked(folder, keys):
    """Thresholds at four frequencies in nHL with these keys."""
    for old, new in FEWER:
        edit(folder, old, new)
    edit(folder, SCALE, f'scale = "nHL"\n{keys}')
    return folder


def thresholds(folder):
    return open_case(folder).plan.ears[Ear.RIGHT].thresholds


def test_what_is_left_out_is_not_stated(folder):
    entry = thresholds(folder)
    assert (entry.method, entry.reliability, entry.masking, entry.corrected_by_recorder) == (None, None, (), None)
    assert (entry.highest_level_db, entry.redd_db, entry.fill_in_hz, entry.correction) == (None, None, (), None)


@pytest.mark.parametrize("method", ["conventional", "play", "vra"])
@pytest.mark.parametrize("reliability", ["good", "fair", "poor"])
def test_how_behaviour_was_tested_arrives(folder, method, reliability):
    edit(folder, SCALE, f'{SCALE}\nmethod = "{method}"\nreliability = "{reliability}"\nfill_in_hz = [3000]')
    entry = thresholds(folder)
    assert (entry.method, entry.reliability) == (ThresholdMethod(method), Reliability(reliability))
    assert entry.fill_in_hz == (3000.0,)


@pytest.mark.parametrize("word", list(Masking))
def test_masking_in_one_word_holds_for_every_point(folder, word):
    edit(folder, SCALE, f'{SCALE}\nmasking = "{word}"')
    assert thresholds(folder).masking == (word,) * 6


def test_masking_point_by_point(folder):
    edit(folder, SCALE, f"{SCALE}\nmasking = [true, true, false, false, true, false]")
    masked, unmasked = Masking.MASKED, Masking.UNMASKED
    assert thresholds(folder).masking == (masked, masked, unmasked, unmasked, masked, unmasked)


def test_levels_of_the_equipment_and_a_measured_redd_arrive(folder):
    edit(folder, 'transducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"', 'transducer = "circumaural"')
    edit(folder, SCALE, f"{SCALE}\nhighest_level_db = [90, 110, 120, 120, 120, 100]\nredd_db = [12, 10, 8, 14, 12, 15]")
    entry = thresholds(folder)
    assert entry.transducer is Transducer.CIRCUMAURAL
    assert entry.highest_level_db == (90.0, 110.0, 120.0, 120.0, 120.0, 100.0)
    assert entry.redd_db == (12.0, 10.0, 8.0, 14.0, 12.0, 15.0)


@pytest.mark.parametrize("method", ["abr_tone", "abr_chirp", "assr"])
def test_a_shipped_set_needs_no_table(folder, method):
    keys = f'correction = "tone-pip-10-10-5-0"\nmethod = "{method}"\ncorrected_by_recorder = false'
    entry = thresholds(evoked(folder, keys))
    assert entry.correction.estimate(entry.frequency_hz, entry.level_db) == [50, 55, 60, 65]
    assert (entry.method, entry.corrected_by_recorder) == (ThresholdMethod(method), False)


def test_an_own_table_wins_over_a_shipped_set(folder):
    evoked(folder, 'correction = "tone-pip-10-10-5-0"')
    own = "frequency_hz = [500, 1000, 2000, 4000]\nlevel_db = [1, 2, 3, 4]\nsource = 'ours'"
    append(folder, f"\n[corrections.tone-pip-10-10-5-0]\n{own}\n")
    assert thresholds(folder).correction.intercept_db == (-1.0, -2.0, -3.0, -4.0)


def test_a_regression_arrives(folder):
    evoked(folder, 'correction = "mine"')
    append(folder, REGRESSION)
    assert thresholds(folder).correction == CorrectionSet(
        name="mine",
        version="2",
        made_for=ThresholdMethod.ABR_TONE,
        frequency_hz=(500.0, 1000.0, 2000.0, 4000.0),
        slope=(0.8, 0.8, 0.9, 1.0),
        intercept_db=(4.0, 2.0, 1.0, -2.0),
        source="invented",
    )


def test_discomfort_at_the_eardrum_arrives(folder):
    append(
        folder,
        '\n[ear.right.discomfort]\nscale = "SPL"\nfrequency_hz = [500, 2000]\nlevel_db = [105, 110]\n'
        "no_response = [false, true]\n",
    )
    entry = open_case(folder).plan.ears[Ear.RIGHT].discomfort
    assert (entry.scale, entry.transducer, entry.level_db) == ("SPL", None, (105.0, 110.0))
    assert entry.no_response == (False, True)


def test_a_prediction_is_only_there_when_it_is_named(folder):
    assert open_case(folder).plan.ears[Ear.RIGHT].discomfort_prediction is None
    append(folder, '\n[ear.right.fitting]\ndiscomfort_prediction = "constant-100-db-spl"\n')
    rule = open_case(folder).plan.ears[Ear.RIGHT].discomfort_prediction
    assert rule == discomfort_rule("constant-100-db-spl")


def test_an_own_rule_arrives(folder):
    append(folder, OWN_RULE)
    assert open_case(folder).plan.ears[Ear.RIGHT].discomfort_prediction == DiscomfortRule(
        name="line", scale="HL", slope=0.5, intercept_db=80.0, u_db=9.0, source="invented"
    )


BEHAVIOUR = [
    ("masking = 'yes'", ("thresholds.masking is 'yes'", "'masked', 'unmasked', 'not_needed'")),
    ("masking = [true, false]", ("thresholds.masking has 2 values for 6",)),
    ("masking = [1, 0, 1, 0, 1, 0]", ("thresholds.masking is an array of 6 values", "an array of true and false")),
    ("reliability = 'excellent'", ("thresholds.reliability is 'excellent'", "'good', 'fair' or 'poor'")),
    ("method = 'guess'", ("thresholds.method is 'guess'",)),
    ("method = 'abr_tone'", ("thresholds.method is 'abr_tone' although the scale is HL", "'nHL' with a correction")),
    ("method = 'click'", ("thresholds.method is 'click'", "belongs to no single one")),
    ("corrected_by_recorder = true", ("thresholds.corrected_by_recorder is given although the scale is HL",)),
    ("redd_db = [1, 1, 1, 1, 1, 1]", ("thresholds.redd_db is given", "supra-aural and circumaural")),
    ("highest_level_db = [120]", ("thresholds.highest_level_db has 1 value for 6",)),
    (
        "highest_level_db = [20, 120, 120, 120, 120, 120]",
        ("thresholds.highest_level_db is 20 dB at 250 Hz, below the level of 30 dB",),
    ),
    ("fill_in_hz = [3000, 1500]", ("thresholds.fill_in_hz is not ascending",)),
]

EVOKED = [
    ("correction = 'tone-pip-10-10-5-0'\nmethod = 'vra'", ("thresholds.method is 'vra' although the scale is nHL",)),
    ("correction = 'tone-pip-10-10-5-0'\nmethod = 'click'", ("thresholds.method is 'click'",)),
    (
        "correction = 'tone-pip-10-10-5-0'\ncorrected_by_recorder = true",
        ("thresholds.corrected_by_recorder is true although the scale is nHL", "a second time", "scale = 'eHL'"),
    ),
    (
        "correction = 'tone-pip'",
        (
            "thresholds.correction is 'tone-pip'",
            "no [corrections.tone-pip]",
            "it ships: ",
            "narrow-band-chirp-15-10-5-0",
        ),
    ),
]


@pytest.mark.parametrize(("keys", "parts"), BEHAVIOUR)
def test_malformed_keys_of_behaviour_are_one_sentence(folder, keys, parts):
    edit(folder, SCALE, f"{SCALE}\n{keys}")
    refuse(folder, parts)


@pytest.mark.parametrize(("keys", "parts"), EVOKED)
def test_malformed_keys_of_evoked_responses_are_one_sentence(folder, keys, parts):
    refuse(evoked(folder, keys), parts)


def test_a_shipped_set_without_this_frequency_is_one_sentence(folder):
    edit(folder, SCALE, 'scale = "nHL"\ncorrection = "tone-pip-10-10-5-0"')
    refuse(folder, ("thresholds.correction is 'tone-pip-10-10-5-0', which has no value at 250 Hz",))


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (REGRESSION.replace("slope = [0.8, 0.8, 0.9, 1.0]\n", ""), ("corrections.mine.slope is missing",)),
        (REGRESSION.replace("slope", "level_db = [1, 1, 1, 1]\nslope"), ("corrections.mine.level_db is given beside",)),
        (REGRESSION.replace("0.9, 1.0", "0.9, 0"), ("corrections.mine.slope[#4] is 0",)),
        (REGRESSION.replace("0.9, 1.0", "0.9"), ("corrections.mine.slope has 3 values for 4",)),
        ("\n[corrections.mine]\nfrequency_hz = [500]\nsource = 'x'\n", ("corrections.mine.level_db is missing",)),
        (
            OWN_RULE.replace('"line"\n', '"lines"\n'),
            ("fitting.discomfort_prediction is 'lines'", "constant-100-db-spl"),
        ),
        (OWN_RULE.replace("u_db = 9.0", "u_db = 0"), ("discomfort_rules.line.u_db is 0",)),
        (
            '\n[ear.right.discomfort]\nscale = "SPL"\ntransducer = "insert"\nfrequency_hz = [500]\nlevel_db = [105]\n',
            ("ear.right.discomfort.transducer is given although the scale is SPL",),
        ),
        (
            '\n[ear.right.discomfort]\nscale = "HL"\nfrequency_hz = [500]\nlevel_db = [105]\n',
            ("ear.right.discomfort.transducer is missing",),
        ),
        (
            '\n[ear.right.discomfort]\nscale = "nHL"\nfrequency_hz = [500]\nlevel_db = [105]\n',
            ("ear.right.discomfort.scale is 'nHL'",),
        ),
        (
            '\n[ear.left]\nmiddle_ear = "normal"\n[ear.left.fitting]\ndiscomfort_prediction = "constant-100-db-spl"\n',
            ("ear.left.fitting.discomfort_prediction", "no thresholds to predict from"),
        ),
    ],
)
def test_malformed_tables_are_one_sentence(folder, text, parts):
    append(folder, text)
    refuse(folder, parts)


def refuse(folder, parts):
    with pytest.raises(CaseError) as refused:
        open_case(folder)
    sentence = str(refused.value)
    assert "\n" not in sentence
    for part in parts:
        assert part in sentence


@pytest.mark.parametrize("key", ["method", "reliability", "masking", "corrected_by_recorder", "fill_in_hz"])
def test_the_schema_describes_every_new_key(key):
    schema = case_schema()
    entry = schema["$defs"]["ThresholdsTable"]["properties"][key]
    assert entry["description"]


@pytest.mark.parametrize(
    "keys", ['masking = "masked"', "masking = [true, true, true, true, true, true]", 'method = "play"']
)
def test_the_schema_takes_what_the_reader_takes(keys):
    data = tomllib.loads(CASE_TOML.replace(SCALE, f"{SCALE}\n{keys}"))
    jsonschema.Draft202012Validator(case_schema()).validate(json.loads(json.dumps(data, default=str)))
