"""Which file of the shared reference folder is carried by which table, and how both are read."""

import csv

from umbo import refdata

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
