"""What is audible, invented, for records in code."""

from invented_answer import answer_data

BANDS_HZ = [250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0]
OPENINGS = {
    55.0: "When someone speaks softly",
    65.0: "When someone speaks in an ordinary voice",
    75.0: "When someone speaks loudly",
}
GROUPS = [
    "vowels and other low sounds",
    "consonants of middle pitch such as d and g",
    "thin, high sounds such as s and f",
]


def index_data(sii, *, upper=None):
    return {
        "sii": sii, "u_sii": 0.02, "interval": [sii - 0.04, sii + 0.04], "bounds": [sii, upper or sii],
        "method": "ANSI S3.5-1997, invented bands", "frequency_hz": BANDS_HZ, "importance": [1 / 6] * 6,
        "audibility": [sii] * 6, "audibility_most": [sii] * 6, "known": ["known"] * 6, "unknown_hz": [],
        "noise_included": True, "trusted_max_hz": 8000.0, "draws": 1000, "seed": 1997, "sentence": "invented",
    }  # fmt: skip


def reach_data(relation="equal", hz=4900.0):
    return {
        "relation": relation, "at_least_hz": None if relation in ("nowhere", "not_known") else hz,
        "at_most_hz": {"equal": hz, "at_most": hz, "nowhere": 0.0}.get(relation), "interval_hz": [hz, None],
        "known_to_hz": 8000.0, "sentence": "invented",
    }  # fmt: skip


def words_data(level, text="are loud enough to be heard well."):
    return {
        "groups": dict.fromkeys(GROUPS, "well"),
        "sentence": f"{OPENINGS[level]}, vowels and other low sounds {text}",
    }


def audible_data(level, sii=0.5, *, upper=None, text="are loud enough to be heard well.", peaks=True):
    return {
        "index": index_data(sii, upper=upper), "unaided": index_data(0.12),
        "bandwidth": {
            "peaks": reach_data() if peaks else None, "average": reach_data("at_most", 1600.0), "extended": [],
            "extended_sentence": "Above 8 kHz nothing was measured.", "draws": 1000, "seed": 1997,
        },
        "words": words_data(level, text), "why_not": {},
    }  # fmt: skip


def nothing_audible(reason="The thresholds are not known at the eardrum: invented."):
    parts = ("index", "unaided", "bandwidth", "words")
    return dict.fromkeys(parts) | {"why_not": dict.fromkeys(parts, reason)}


def heard_data(outcome="cannot_tell", *, texts=None, **more):
    """An answer whose every run says what is audible; ``texts`` ends the sentence of each speech level."""
    data = answer_data(outcome, **more)
    for ear in data["ears"].values():
        for run in ear["speech"]:
            level = run["input_db_spl"]
            text = (texts or {}).get(level, "are loud enough to be heard well.")
            run["audibility"] = audible_data(level, level / 130.0, upper=level / 130.0 + 0.02, text=text)
    return data
