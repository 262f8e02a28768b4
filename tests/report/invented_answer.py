"""An invented record in code: two ears, two couplers, speech, maximum output; parts can be left out or changed."""

import math

from umbo.record import CAUTIONS, RecdAnswer, ResponseAnswer, VerifyAnswer

TWELFTH_HZ = [round(1000.0 * 2.0 ** (n / 12.0), 6) for n in range(-36, 49)]
THIRD_HZ = [round(1000.0 * 10.0 ** (n / 10.0), 6) for n in range(-9, 13)]
TONE_HZ = [250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0]
TARGET_HZ = [250.0, 500.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0]
LEVELS_DB = (55.0, 65.0, 75.0)
NAMES = {"ha1": "2 cc coupler HA-1", "cc04": "0.4 cc coupler"}
CAUTION = "Repeat the measurement with the tip reseated."


def curve(quantity, hz, level, *, plane="eardrum", unit="dB SPL", bandwidth="1/3_octave", u=1.0, state="ok"):
    states = [state] * len(hz) if isinstance(state, str) else list(state)
    return {
        "quantity": quantity, "plane": plane, "unit": unit, "bandwidth": bandwidth, "frequency_hz": list(hz),
        "level_db": [round(float(v), 4) for v in level], "u_db": [u] * len(hz), "state": states,
    }  # fmt: skip


def shape(hz):
    """A smooth hump around 2 kHz. [dB]"""
    return 12.0 * math.exp(-((math.log2(hz / 2000.0)) ** 2) / 3.0)


def finding(code="implausible", text="The curve lies below the range.", severity="warn", action=CAUTION):
    return {"code": code, "severity": severity, "text": text, "action": action, "source": "invented"}


def recd(coupler, limit_hz=8000.0, rule="coupler", *, ear_offset_db=0.0):
    fall = 0.0 if coupler == "ha1" else 13.0
    level = [2.0 + 0.9 * shape(hz) - fall for hz in TWELFTH_HZ]
    ear = [65.0 + 0.5 * shape(hz) + ear_offset_db for hz in TWELFTH_HZ]
    return {
        "coupler": coupler, "source": "insert", "coupling": "foam_tip", "from": f"coupler:{coupler}", "to": "eardrum",
        "bandwidth": "1/12_octave", "frequency_hz": TWELFTH_HZ, "level_db": level, "u_db": [0.6] * len(TWELFTH_HZ),
        "state": ["ok" if hz <= limit_hz else "outside_coupler" for hz in TWELFTH_HZ],
        "ear_curve_db": ear, "coupler_curve_db": [e - d for e, d in zip(ear, level, strict=True)],
        "coupler_noise_db": [None, *[5.0] * (len(TWELFTH_HZ) - 1)], "ear_noise_db": [8.0] * len(TWELFTH_HZ),
        "insertions": 1, "tip_to_drum_mm": 3.7, "tip_to_drum_u_mm": 1.0, "tip_to_drum_known_by": "declared",
        "trusted_max_hz": limit_hz, "trusted_limit": rule,
        "limits": [{"rule": rule, "max_hz": limit_hz, "reason": "it ends there", "action": "none", "source": "x"}],
        "grade": "C", "grade_reasons": ["The curve lies below the range."], "findings": [finding()],
    }  # fmt: skip


def explain(quantity, total, parts):
    top = {"depth": 0, "sign": 1, "label": quantity, "level_db": total, "unit": "dB SPL", "source": "sum"}
    return [top, *parts]


SPEECH_TERMS = [
    {"depth": 1, "sign": 1, "label": "speech at the eardrum", "level_db": 71.0, "unit": "dB SPL", "source": "sum"},
    {"depth": 2, "sign": 1, "label": "speech in the coupler", "level_db": 59.1, "unit": "dB SPL", "source": "take 'a'"},
    {
        "depth": 2, "sign": 1, "label": "RECD re 2 cc coupler HA-1 (coupler:ha1 to eardrum)",
        "level_db": 11.9, "unit": "dB", "source": "difference",
    },
    {"depth": 3, "sign": 1, "label": "sweep at the probe tip", "level_db": 64.0, "unit": "dB SPL", "source": "'b'"},
    {"depth": 3, "sign": -1, "label": "sweep in the coupler", "level_db": 52.1, "unit": "dB SPL", "source": "take 'c'"},
    {
        "depth": 1, "sign": 1, "label": "microphone-location effect (eardrum to eardrum)",
        "level_db": 3.0, "unit": "dB", "source": "regridded (log frequency)",
    },
    {
        "depth": 2, "sign": 1, "label": "microphone-location effect (eardrum to eardrum)",
        "level_db": 3.0, "unit": "dB", "source": "invented with this case",
    },
]  # fmt: skip


def hearing(quantity, hz, dial_db):
    route = "dB HL + RETSPL 2 cc coupler HA-1 + RECD re 2 cc coupler HA-1 (F2)"
    at = [db + 8.0 + shape(f) for f, db in zip(hz, dial_db, strict=True)]
    entered = {
        "depth": 1, "sign": 1, "label": f"{quantity} on the insert dial", "level_db": 60.0, "unit": "dB HL",
        "source": "entered as dB nHL, corrected by 'invented set'",
    }  # fmt: skip
    return {
        "entered": curve(quantity, hz, dial_db, plane="dial:insert", unit="dB HL", bandwidth="tone"),
        "at_eardrum": curve(quantity, hz, at, bandwidth="tone"), "no_response": [False] * len(hz), "route": route,
        "why_not": None, "explain_at_hz": 4000.0, "explain": explain(f"{quantity} at the eardrum", 71.9, [entered]),
    }  # fmt: skip


def threshold_db(hz):
    return 38.0 + 10.0 * math.log2(max(hz, 250.0) / 250.0)


def speech(level, *, state="ok"):
    at = [level - 8.0 + shape(hz) - 6.0 * max(math.log2(hz / 4000.0), 0.0) for hz in THIRD_HZ]
    heard = [hz for hz in THIRD_HZ if 240.0 < hz < 8200.0]
    sensation = [at[THIRD_HZ.index(hz)] - threshold_db(hz) for hz in heard]
    states = [state if abs(hz - 4000.0) < 100.0 else "ok" for hz in heard]
    return {
        "recording": f"aid speech {level:g}", "input_db_spl": level, "coupler": "ha1",
        "coupler_level": curve("speech", THIRD_HZ, [v - 10.0 for v in at], plane="coupler:ha1"),
        "percentiles": {
            share: curve("speech", THIRD_HZ, [v + up for v in at])
            for share, up in (("30", -12.0), ("65", -2.0), ("99", 10.0))
        },
        "at_eardrum": curve(f"speech {level:g} dB", THIRD_HZ, at), "noise_at_eardrum_db": [20.0] * len(THIRD_HZ),
        "coupler_target": None, "deviation": curve("deviation", TARGET_HZ, [1.0] * 7, unit="dB"),
        "sensation_level": curve("sensation level", heard, sensation, unit="dB", state=states),
        "explain_at_hz": 4000.0, "explain": explain(f"speech {level:g} dB at the eardrum", 74.0, SPEECH_TERMS),
    }  # fmt: skip


def maximum():
    at = [95.0 + 0.5 * shape(hz) for hz in TWELFTH_HZ]
    return {
        "recording": "aid sweep 90", "input_db_spl": 90.0, "coupler": "ha1",
        "coupler_level": curve("maximum output", TWELFTH_HZ, [v - 10 for v in at], plane="coupler:ha1"),
        "at_eardrum": curve("maximum output", TWELFTH_HZ, at, bandwidth="1/12_octave"),
        "limit": curve("discomfort level", [500.0, 1000.0, 2000.0, 4000.0], [112.0] * 4, bandwidth="tone"),
        "limit_source": "discomfort levels, dB HL + RETSPL 2 cc coupler HA-1 + RECD re 2 cc coupler HA-1 (F2)",
        "excess": None, "largest_db_spl": 98.0, "largest_hz": 841.4,
        "harmonic_percent": {"2": [1.0] * len(TWELFTH_HZ)}, "explain_at_hz": 4000.0,
        "explain": explain("maximum output at the eardrum", 96.0, []),
    }  # fmt: skip


def point(hz, deviation, outcome, tolerance=5.0):
    reason = "" if outcome == "pass" else "outside"
    return {
        "frequency_hz": hz, "deviation_db": deviation, "u_db": 1.2, "tolerance_db": tolerance, "outcome": outcome,
        "reason": reason,
    }  # fmt: skip


def judgement(criterion, outcome, sentence, *, points=(), value=None):
    action = "" if outcome == "pass" else "Adjust and measure again."
    return {
        "criterion": criterion, "outcome": outcome, "sentence": sentence, "action": action,
        "source": "invented criterion", "points": list(points), "value_db": value, "u_db": None,
    }  # fmt: skip


def verdict(outcome):
    judged = []
    for level in LEVELS_DB:
        points = [point(500.0, -2.5, "pass"), point(4000.0, -9.0 if outcome != "pass" else 1.0, outcome, 8.0)]
        judged += [
            judgement(f"match_{level:g}", outcome, f"Speech at {level:g} dB against its target.", points=points),
            judgement(f"rms_{level:g}", "pass", f"The rms deviation at {level:g} dB is 0.6 dB.", value=0.6244),
            judgement(f"audible_{level:g}", "pass", f"Speech at {level:g} dB is above threshold."),
        ]
    limit = [point(1000.0, -10.8, "pass", 0.0), point(4000.0, -20.0, outcome, 0.0)]
    judged.append(judgement("maximum_output", outcome, "The maximum output against its limit.", points=limit))
    reasons = [j["sentence"] for j in judged if j["outcome"] == outcome]
    actions = list(dict.fromkeys(j["action"] for j in judged if j["action"]))
    return {
        "outcome": outcome, "verified": outcome == "pass", "reasons": reasons, "actions": actions, "judgements": judged
    }  # fmt: skip


def closing(quantity, *, closes):
    return {
        "quantity": quantity, "routes": [NAMES["ha1"], NAMES["cc04"]], "frequency_hz": [500.0, 630.0, 1000.0],
        "error_db": [8.0, 5.0, 30.0], "u_db": [8.0, 2.4, 1.0], "usable": [True, True, False], "closes": closes,
    }  # fmt: skip


def ear_data(outcome="cannot_tell", *, high_state="standing_wave"):
    targets = [
        {
            "method": f"invented method, {level:g}", "input_db_spl": level, "findings": [],
            "at_eardrum": curve(f"target {level:g}", TARGET_HZ, [level - 7.0 + shape(f) for f in TARGET_HZ], u=0.0),
        }
        for level in LEVELS_DB
    ]  # fmt: skip
    return {
        "middle_ear": "normal", "recd_used": NAMES["ha1"],
        "recds": [recd("ha1"), recd("cc04", 9440.0, "standing_wave")],
        "thresholds": hearing("threshold", TONE_HZ, [30.0, 35.0, 45.0, 55.0, 60.0, 65.0]),
        "discomfort": hearing("discomfort level", [500.0, 1000.0, 2000.0, 4000.0], [100.0, 105.0, 105.0, 105.0]),
        "targets": targets, "speech": [speech(level, state=high_state) for level in LEVELS_DB],
        "maximum_output": maximum(),
        "closings": [closing("speech 55 dB", closes=False), closing("maximum output", closes=True)],
        "findings": [
            finding(), finding("shallow_probe", "The probe tip is 9.3 mm from the eardrum.", action="Advance the tube.")
        ],
        "verdict": verdict(outcome),
    }  # fmt: skip


def answer_data(outcome="cannot_tell", *, sides=("right", "left"), age_months=27.0):
    return {
        "schema": 1, "case": "invented-case", "software": "umbo 0.0.test", "client": "invented-client",
        "age_months": age_months, "measured": "2026-03-14", "verified": outcome == "pass",
        "calibrations": ["coupler_mic: 100 Pa per full scale, u 0.3 dB, 2026-03-01, entered"],
        "tables": ["retspl_insert/invented: Invented table. Obtained: invented."],
        "ears": {side: ear_data(outcome) for side in sides}, "findings": [], "cautions": list(CAUTIONS),
    }  # fmt: skip


def validated(data):
    return VerifyAnswer.model_validate(data)


def recds_answer(data):
    ears = {side: ear["recds"] for side, ear in data["ears"].items()}
    return RecdAnswer.model_validate({"schema": 1, "case": data["case"], "ears": ears})


def response_answer(*, with_harmonics=True, with_speech=False):
    level = [70.0 + shape(hz) for hz in TWELFTH_HZ]
    harmonics = {
        "2": {"percent": [1.0] * len(TWELFTH_HZ), "db_re_fundamental": [None, *[-40.0] * (len(TWELFTH_HZ) - 1)]},
        "3": {"percent": [None] * len(TWELFTH_HZ), "db_re_fundamental": [None] * len(TWELFTH_HZ)},
    }
    record = curve("sweep response", TWELFTH_HZ, level, plane="coupler:ha1", bandwidth="1/12_octave") | {
        "recording": "right coupler ha1", "ear": "right", "stimulus": "sweep", "statistic": "rms",
        "noise_db": [None, *[10.0] * (len(TWELFTH_HZ) - 1)], "repeats": 4, "repeats_used": 3,
        "harmonics": harmonics if with_harmonics else {}, "findings": [],
        "percentiles": {"30": [v - 12 for v in level], "99": [v + 10 for v in level]} if with_speech else {},
    }  # fmt: skip
    return ResponseAnswer.model_validate({"schema": 1, "case": "invented-case", "response": record})
