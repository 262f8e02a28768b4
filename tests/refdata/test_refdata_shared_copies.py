"""The project's tables against the shared reference folder, value by value."""

import json
import re

import pytest
from shared_tables import COPIES, ELSEWHERE, FACTS, NOT_CARRIED, F, get, rows_of

from umbo import refdata

pytestmark = pytest.mark.shared


def test_every_shared_table_is_accounted_for(shared_reference):
    names = {path.name for path in shared_reference.glob("*.csv")}
    assert names == set(COPIES) | set(FACTS) | ELSEWHERE | NOT_CARRIED


@pytest.mark.parametrize("name", list(COPIES))
def test_numbers_are_the_shared_ones(shared_reference, name):
    key, tables = COPIES[name]
    compared = 0
    for sources, columns in tables.items():
        copies = [get(source) for source in sources.split("+")]
        for pair in columns:
            ours, _, theirs = pair.partition("=")
            expected = {}
            for row in rows_of(shared_reference, name):
                if row[theirs or ours] not in ("", "past null"):
                    expected[row[key] if key in ("name", "element") else float(row[key])] = float(row[theirs or ours])
            found = {
                index: float(value)
                for copy in copies
                for index, value, present in zip(copy.columns[key], copy.columns[ours], copy.present(ours), strict=True)
                if present
            }
            assert found == pytest.approx(expected, abs=1e-9), (name, ours)
            compared += len(found)
    assert compared > 0


def test_insert_statuses_are_the_shared_ones(shared_reference):
    iso = get("retspl_insert/iso-389-2-1994")
    ansi = get("retspl_insert/ansi-s3.6-undated")
    for row in rows_of(shared_reference, "retspl_insert.csv"):
        frequency_hz = float(row[F])
        assert iso.status_at(frequency_hz, "er3a_oes_db_spl") == row["oes_status"]
        assert iso.status_at(frequency_hz, "er3a_ha2_db_spl") == row["ha2_status"]
        if row["er3a_ha1_db_spl"]:
            assert ansi.status_at(frequency_hz, "er3a_ha1_db_spl") == row["ha1_status"]


def test_eardrum_models_keep_the_printed_value(shared_reference):
    columns = {
        "hudde-engel-1998": "adult_hudde_engel_1998",
        "sankowsky-rothe-2022": "infant_sankowsky_rothe_2022",
    }
    for source, column in columns.items():
        model = refdata.table("eardrum_model", source=source)
        for row in rows_of(shared_reference, "eardrum_model_hudde_engel_and_infant.csv"):
            assert model.text_at(row["parameter"], "printed") == row[column]


def test_prescription_formulas_are_the_shared_ones(shared_reference):
    ours = {}
    for source in refdata.available("prescription_formulas"):
        found = refdata.table("prescription_formulas", source=source)
        ours |= dict(zip(found.text("name"), found.text("formula"), strict=True))
    theirs = {row["name"]: row["formula"] for row in rows_of(shared_reference, "prescription_formulas.csv")}
    absent = {name for name, formula in theirs.items() if formula.startswith(("not obtained", "licensed"))}
    assert ours == {name: formula for name, formula in theirs.items() if name not in absent}


def test_simple_rules_are_the_shared_ones(shared_reference):
    sources = {
        "POGO": "mccandless-lyregaard-1983",
        "Berger": "berger-undated",
        "Libby one-third": "libby-undated",
    }
    seen = 0
    for row in rows_of(shared_reference, "simple_rule_constants.csv"):
        if row["rule"] == "half-gain":
            rule = get("simple_rules/half-gain-undated")
            assert rule.at("slope_on_hl", "value") == float(row["slope_on_hl"])
            assert rule.at("constant", "value") == float(row["constant_db"])
            continue
        rule = refdata.table("simple_rules", source=sources[row["rule"]])
        assert rule.text_at(float(row[F]), "printed_slope") == row["slope_on_hl"]
        assert rule.at(float(row[F]), "constant_db") == float(row["constant_db"])
        seen += 1
    assert seen == sum(refdata.table("simple_rules", source=source).sidecar.rows for source in sources.values())


def test_sii_worked_values_are_the_shared_ones(shared_reference):
    published = get("sii_worked_values/muesch-undated")
    computed = get("sii_worked_values/computed-muesch-undated")
    rows = rows_of(shared_reference, "sii_worked_values.csv")
    assert len(rows) == published.sidecar.rows + computed.sidecar.rows
    for row in rows:
        place = re.fullmatch(r"binaural quiet, (normal effort|shouted), distance ([\d.]+) m", row["condition"])
        value = float(row["sii"])
        if place:
            effort = "normal" if place[1] == "normal effort" else "shout"
            key = f"binaural_{effort}_{place[2]}_m"
            assert published.at(key, "sii") == value
            assert published.at(key, "distance_m") == float(place[2])
        elif row["condition"].startswith("third-octave; E="):
            assert published.at("spectrum_average_importance", "sii") == value
        elif row["condition"].startswith("same, importance"):
            assert published.at("spectrum_given_importance", "sii") == value
        else:
            effort = row["condition"] if row["condition"] in ("raised", "loud", "shout") else "normal"
            assert computed.at(f"monaural_{effort}", "sii") == value


def spread(text):
    """Write out a spectrum such as "90 5 40x12"."""
    values = []
    for word in text.split():
        value, _, times = word.partition("x")
        values += [float(value)] * int(times or 1)
    return values


def test_sii_worked_inputs_are_the_shared_ones(shared_reference):
    first, second = (row["condition"] for row in rows_of(shared_reference, "sii_worked_values.csv")[:2])
    inputs = get("sii_worked_inputs/muesch-undated")
    letters = {"E": "speech_spectrum_level_db", "N": "noise_spectrum_level_db", "T": "threshold_db_hl"}
    for letter, column in letters.items():
        written = re.search(rf"{letter}=\[([^\]]*)\]", first)[1]
        assert inputs.column(column).tolist() == spread(written)
    written = re.search(r"importance=\[([^\]]*)\]", second)[1]
    assert inputs.column("importance_second_case").tolist() == spread(written)


def test_scenario_reference_thresholds_equal_the_tables(shared_reference):
    scenarios = json.loads((shared_reference / "scenarios.json").read_text(encoding="utf-8"))
    pairs = {
        "RETSPL_HA1": ("ansi-s3.6-undated", "er3a_ha1_db_spl"),
        "RETSPL_HA2": ("iso-389-2-1994", "er3a_ha2_db_spl"),
        "RETSPL_occluded_ear_simulator": ("iso-389-2-1994", "er3a_oes_db_spl"),
    }
    for name, (source, column) in pairs.items():
        found = refdata.table("retspl_insert", source=source)
        assert len(scenarios[name]) == 10
        for frequency_hz, value in scenarios[name].items():
            assert found.at(float(frequency_hz), column) == value
