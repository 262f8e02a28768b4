"""An adult with an open dome, measured in the ear: exported curves with the numbers of scenario S4."""

import numpy as np
from curve_case import curve_block, numbers, write_curve

from umbo.core import Ear
from umbo.prescription import nal_r_insertion_gain, speech_in_field

HZ = (500.0, 1000.0, 2000.0, 3000.0, 4000.0, 6000.0)
#: The curves stand on third-octaves on either side of 3 and 6 kHz, with one value each, so that both can be read there.
CURVE_HZ, CURVE_INDEX = (500.0, 1000.0, 2000.0, 2511.9, 3162.3, 4000.0, 5011.9, 6309.6), [0, 1, 2, 3, 3, 4, 5, 5]
HEARING = (25, 35, 50, 60, 65, 70)
REUG = np.array([2, 3, 11, 15, 13, 8])
REOG = np.array([2, 2.5, 9, 11, 10, 5])
REAG = np.array([3, 13, 27, 36, 34, 20])
FIELD = speech_in_field(np.array(HZ), 65.0, ear=Ear.RIGHT).level_db
TARGET = FIELD + REUG + np.maximum(nal_r_insertion_gain(np.array(HZ), np.array(HEARING, dtype=float)), 0)


def open_case(folder, *, curves=(), venting="open", extra=(), tip="tip_to_drum_mm = 0.0", age=816):
    """Write the case; ``curves`` are (name, place, stimulus, levels, aid) beside speech 65 and a sweep of 85 dB."""
    folder.mkdir(parents=True)
    at, method = f"frequency_hz = {numbers(HZ)}", 'ear = "right"\nmethod = "invented"\nversion = "1"\noptions = ""'
    measured = [
        ("speech 65", "probe_tip", "speech65", FIELD + REAG, "on"),
        ("maximum", "probe_tip", "sweep85", np.array([90, 98, 105, 108, 104, 95]), "on"),
        *curves,
    ]
    speech = f'[[target]]\nname = "speech 65"\nkind = "speech"\nlevel_db_spl = 65.0\n{method}\n{at}'
    blocks = [
        'schema = 1\nid = "open"',
        f'[client]\ncode = "S4"\nage_months = {age}',
        f'[ear.right]\nmiddle_ear = "normal"\n{tip}',
        "\n".join(['[ear.right.fitting]\nprescription = "none"', f'venting = "{venting}"', *extra]),
        f'[ear.right.thresholds]\nscale = "HL"\ntransducer = "supra_aural"\n{at}\nlevel_db = {numbers(HEARING)}',
        '[stimulus.speech65]\nkind = "speech"\nlevel_db_spl = 65.0',
        '[stimulus.sweep65]\nkind = "exponential_sweep"\nstart_hz = 80.0\nstop_hz = 16000.0\nlevel_db_spl = 65.0',
        '[stimulus.sweep85]\nkind = "exponential_sweep"\nstart_hz = 80.0\nstop_hz = 16000.0\nlevel_db_spl = 85.0',
        f"{speech}\nlevel_db = {numbers(np.round(TARGET, 3).tolist())}",
        f'[[target]]\nname = "limit"\nkind = "maximum_output"\n{method}\n{at}\nlevel_db = {numbers((112,) * 6)}',
    ]
    for name, place, stimulus, levels, aid in measured:
        file = f"{name.replace(' ', '_')}.csv"
        coupler = "ha1" if place == "coupler" else None
        values = np.round(np.asarray(levels, dtype=float)[CURVE_INDEX], 3).tolist()
        write_curve(folder, file, "coupler:ha1" if coupler else place, values, hz=CURVE_HZ)
        block = curve_block(name, file, place, stimulus, "aid", coupler=coupler, coupling="dome")
        blocks.append(f'{block}\naid = "{aid}"' if aid != "on" else block)
    (folder / "case.toml").write_text("\n\n".join(blocks) + "\n")
    return folder
