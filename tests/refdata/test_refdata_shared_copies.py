"""The project's tables against the shared reference folder, value by value."""

import csv
import json
import re

import pytest

from umbo import refdata

pytestmark = pytest.mark.shared

F = "frequency_hz"
SPEECH = ["speech_normal_spectrum_level_db", "speech_raised_db", "speech_loud_db", "speech_shout_db"]
INTERNAL = "reference_internal_noise_spectrum_level_db"
IMPORTANCE = ["average_speech", "nonsense_syllables", "cid22", "nu6", "drt", "short_passages", "spin"]
AUDIOGRAM_HZ = [250, 375, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000]
PROFOUND_HZ = [250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000]
PROBE_HZ = [2000, 3000, 4000, 6000, 8000, 10000, 12500, 16000]
BANDS = [INTERNAL, "free_field_to_eardrum_db", "importance_average_speech", *SPEECH]
OES = "oes_transfer_impedance/computed-simulator-library-2024"

# shared file: its key column, then {table: its columns, "ours=theirs" where the names differ}
COPIES = {
    "retspl_insert.csv": (
        F,
        {
            "retspl_insert/iso-389-2-1994": ["er3a_oes_db_spl", "er3a_ha2_db_spl"],
            "retspl_insert/ansi-s3.6-undated": ["er3a_ha1_db_spl"],
        },
    ),
    "retspl_insert_hf_er2.csv": (F, {"retspl_insert/iso-389-5-2006": ["er2_oes_db_spl"]}),
    "etspl_er2_han_poulsen.csv": (F, {"etspl_insert/han-poulsen-1998": ["er2_oes_etspl_db_spl"]}),
    "retspl_supraaural.csv": (
        F,
        {
            "retspl_supra_aural/iso-389-1-1998": [
                "tdh39_iec60318_3_db_spl",
                "dt48_iec60318_3_db_spl",
                "supraaural_iec60318_1_db_spl",
            ],
            "retspl_supra_aural/ansi-s3.6-undated": ["tdh49_50_nbs9a_db_spl"],
        },
    ),
    "retspl_circumaural_hda200.csv": (
        F,
        {"retspl_circumaural/iso-389-8-2004+retspl_circumaural/iso-389-5-2006": ["hda200_db_spl"]},
    ),
    "threshold_sound_field.csv": (
        F,
        {
            "sound_field_threshold/iso-389-7-2005": ["free_field_binaural_0deg_db_spl"],
            "sound_field_threshold/iso-389-7-2019": ["diffuse_field_binaural_db_spl"],
        },
    ),
    "map_eardrum_monaural.csv": (F, {"map_eardrum/bentler-pavlovic-1989": ["map_eardrum_db_spl"]}),
    "field_to_eardrum.csv": (
        F,
        {
            "field_to_eardrum/ansi-s3.5-1997": ["ansi_s3p5_free_field_to_eardrum_db"],
            "field_to_eardrum/moore-2016": ["moore_2016_free_field_db", "moore_2016_diffuse_db"],
            "field_to_eardrum/iso-11904-1-2002": ["iso11904_1_free_field_db", "iso11904_1_diffuse_db"],
        },
    ),
    "ltass_byrne_1994.csv": (
        F,
        {"ltass/byrne-1994": ["combined_70db_overall_db_spl", "male_db_spl", "female_db_spl"]},
    ),
    "sii_third_octave.csv": (
        F,
        {
            "sii_third_octave/ansi-s3.5-1997": [
                "bandwidth_10log_hz_db",
                *BANDS,
                *[f"importance_{n}" for n in IMPORTANCE[1:]],
            ],
            "sii_third_octave/cst-undated": ["importance_cst_nonstandard"],
        },
    ),
    "sii_octave.csv": (F, {"sii_octave/ansi-s3.5-1997": ["lower_hz", "upper_hz", *BANDS]}),
    "sii_critical_band.csv": (F, {"sii_critical_band/ansi-s3.5-1997": ["lower_hz", "upper_hz", *BANDS]}),
    "standard_audiograms_iec60118_15.csv": (
        "name",
        {"standard_audiograms/bisgaard-2010": [f"threshold_{hz}_hz_db_hl" for hz in AUDIOGRAM_HZ]},
    ),
    "nal_r_k.csv": (F, {"nal_r/byrne-dillon-1986": ["k_db"]}),
    "nal_rp_profound_correction.csv": (
        "threshold_2khz_db_hl",
        {"nal_rp_profound_correction/byrne-1990": [f"pc_{hz}_hz_db" for hz in PROFOUND_HZ]},
    ),
    "oes_lumped_parameters.csv": ("element", {"oes_lumped_parameters/simulator-library-2024": ["value"]}),
    "eardrum_model_kringlebotn_1988.csv": ("element", {"eardrum_model/kringlebotn-1988": ["value"]}),
    "oes_minus_2cc_er3a_derived.csv": (
        F,
        {
            "recd_adult_mean/derived-iso-389-2-1994": [
                "recd_re_ha1_db=oes_minus_ha1_db",
                "recd_re_ha2_db=oes_minus_ha2_db",
                "ha2_minus_ha1_db",
            ]
        },
    ),
    "oes_transfer_impedance_computed.csv": (
        F,
        {
            OES: [
                "level_re_1_mpa_s_per_m3_db=level_re_1_MPa_s_per_m3_db",
                "level_with_optional_damping_db",
                "equivalent_volume_cm3",
                "oes_minus_2cc_stiff_source_db",
                "oes_minus_0p4cc_stiff_source_db",
                "0p4cc_minus_2cc_stiff_source_db",
            ]
        },
    ),
    "probe_standing_wave_error.csv": (
        "distance_from_eardrum_mm",
        {
            "probe_standing_wave_error/computed-rigid-drum": [
                "quarter_wave_null_hz",
                *[f"error_at_{hz}_hz_db" for hz in PROBE_HZ],
            ]
        },
    ),
}

# Facts in words: every number of the shared value must be carried by a table of the quantity.
FACTS = {
    "coupler_dimensions.csv": "coupler_dimensions",
    "ear_canal_geometry.csv": "ear_canal_geometry",
    "external_ear_resonance_by_age.csv": "external_ear_resonance",
    "fit_tolerances.csv": "fit_tolerances",
    "hearing_aid_test_conditions.csv": "hearing_aid_test",
    "loudness_discomfort.csv": "loudness_discomfort",
    "recd_literature.csv": "recd_facts",
    "speech_percentiles.csv": "speech_percentiles",
}

ELSEWHERE = {
    "eardrum_model_hudde_engel_and_infant.csv",
    "prescription_formulas.csv",
    "simple_rule_constants.csv",
    "sii_worked_values.csv",
}
NOT_CARRIED = {"open_datasets.csv"}  # a list of data sets to look at, not numbers


def rows_of(folder, name):
    with (folder / name).open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def get(name):
    quantity, source = name.split("/")
    return refdata.table(quantity, source=source)


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
                    expected[row[key] if key in ("name", "element") else float(row[key])] = float(
                        row[theirs or ours]
                    )
            found = {
                index: float(value)
                for copy in copies
                for index, value, present in zip(
                    copy.columns[key], copy.columns[ours], copy.present(ours), strict=True
                )
                if present
            }
            assert found == pytest.approx(expected, abs=1e-9), (name, ours)
            compared += len(found)
    assert compared > 0


def in_hertz(match):
    return " ".join(f"{float(number) * 1000:g}" for number in match.groups() if number) + " Hz"


def numbers(text):
    """Every number in a text, without its sign, kilohertz turned into hertz."""
    text = re.sub(r"([\d.]+)(?:-([\d.]+))? kHz", in_hertz, text)
    return {abs(float(number)) for number in re.findall(r"\d+(?:\.\d+)?", text)}


@pytest.mark.parametrize("name", list(FACTS))
def test_every_number_of_a_fact_is_carried(shared_reference, name):
    carried = set()
    extra = ("recd_prediction_band",) if name == "recd_literature.csv" else ()
    for quantity in (FACTS[name], *extra):
        for source in refdata.available(quantity):
            found = refdata.table(quantity, source=source)
            side = found.sidecar
            for column in ("value", "value_to", "sd", "half_width_db", "n_ears"):
                if column in found.columns:
                    carried |= {abs(float(v)) for v in found.column(column)[found.present(column)]}
            words = [side.subjects, *side.notes, *side.not_found, side.edition]
            words += [cell for row in found.cells for cell in row]
            carried |= set().union(*(numbers(text) for text in words))
    for row in rows_of(shared_reference, name):
        for number in numbers(row["value"]):
            assert number in carried, (row, number)


@pytest.mark.parametrize("name", list(FACTS))
def test_nothing_recalled_has_become_something_read(shared_reference, name):
    recalled = sum(row["status"].startswith("from memory") for row in rows_of(shared_reference, name))
    statuses = [
        s
        for source in refdata.available(FACTS[name])
        for s in refdata.table(FACTS[name], source=source).text("status")
    ]
    assert sum("memory" in status for status in statuses) >= recalled


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
    assert seen == sum(
        refdata.table("simple_rules", source=source).sidecar.rows for source in sources.values()
    )


def test_sii_worked_values_are_the_shared_ones(shared_reference):
    published = get("sii_worked_values/muesch-undated")
    computed = get("sii_worked_values/computed-muesch-undated")
    rows = rows_of(shared_reference, "sii_worked_values.csv")
    assert len(rows) == published.sidecar.rows + computed.sidecar.rows
    for row in rows:
        place = re.fullmatch(
            r"binaural quiet, (normal effort|shouted), distance ([\d.]+) m", row["condition"]
        )
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


def edges(cell):
    """Read "-2…+5" or "±5" as a pair."""
    if cell.startswith("±"):
        return -float(cell[1:]), float(cell[1:])
    low, high = cell.replace("−", "-").split("…")
    return float(low), float(high)


def test_plausibility_band_is_the_one_of_the_job_description(shared_reference):
    text = (shared_reference.parent / "JOB.md").read_text(encoding="utf-8")
    lines = text[text.index("### 3.2") : text.index("### 3.3")].splitlines()
    printed = [
        [cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("|")
    ]
    assert printed[0] == ["Age", "250", "500", "1k", "2–4k", "6k"]
    band = refdata.table("recd_plausibility_band", source="engineering-judgement")
    found = list(zip(band.column("low_db"), band.column("high_db"), strict=True))
    assert found == [edges(cell) for row in printed[2:] for cell in row[1:]]
    columns = ("frequency_from_hz", "frequency_to_hz")
    assert list(zip(*(band.column(name)[:5] for name in columns), strict=True)) == [
        (250, 250),
        (500, 500),
        (1000, 1000),
        (2000, 4000),
        (6000, 6000),
    ]
    assert band.column("age_from_months")[::5].tolist() == [0, 3, 12, 36, 84]
