"""A closed fitting in exported curves: thresholds on an insert dial, one RECD, speech wanted at the eardrum."""

import numpy as np
from curve_case import curve_block, numbers

HZ = (125, 250, 500, 1000, 2000, 4000, 8000)
S6_HZ = (250, 500, 1000, 2000, 4000)
#: Scenario S6 (invented client): hearing level, RECD re HA-1, speech of 65 dB at the eardrum.
S6_HL, S6_RECD, S6_SPEECH = (75, 85, 105, 120, 120), (4, 4.5, 6, 9, 14), (103, 108, 116, 112, 98)


def write(folder, name, plane, hz, levels, noise_db=-20.0):
    noise = np.broadcast_to(noise_db, len(hz))
    rows = [f"{f},{level},0.3,{n}" for f, level, n in zip(hz, levels, noise, strict=True)]
    text = f"# plane: {plane}\n# reference: dB SPL\nfrequency_hz,level_db,u_db,noise_db\n"
    (folder / name).write_text(text + "\n".join(rows) + "\n")


def heard_case(
    folder, *, hl=S6_HL, recd=S6_RECD, speech=((65.0, S6_SPEECH),), hz=S6_HZ, silent=(), age_months=540, fitting="",
    noise_db=-20.0, tip_mm=0.0, with_thresholds=True, thresholds_coupler="ha1",
):  # fmt: skip
    """Write the case; ``speech`` holds input levels with levels at the eardrum. [dB SPL]"""
    folder.mkdir(parents=True)
    at, flags = f"frequency_hz = {numbers(hz)}", ", ".join(str(f in silent).lower() for f in hz)
    write(folder, "coupler.csv", "coupler:ha1", hz, [70.0] * len(hz))
    write(folder, "ear.csv", "probe_tip", hz, 70.0 + np.array(recd))
    blocks = [
        'schema = 1\nid = "heard"',
        f'[client]\ncode = "S6"\nage_months = {age_months}',
        f'[ear.right]\nmiddle_ear = "normal"\ntip_to_drum_mm = {tip_mm}',
        f'[ear.right.fitting]\nprescription = "none"\n{fitting}',
        f'[ear.right.mle]\n{at}\nlevel_db = {numbers([0] * len(hz))}\nsource = "invented"',
        '[stimulus.sweep]\nkind = "exponential_sweep"\nstart_hz = 80.0\nstop_hz = 16000.0',
        curve_block("coupler", "coupler.csv", "coupler", "sweep", "insert", coupler="ha1", coupling="mould"),
        curve_block("ear", "ear.csv", "probe_tip", "sweep", "insert", coupling="mould"),
    ]
    if with_thresholds:
        dial = f'scale = "HL"\ntransducer = "insert"\ncoupler = "{thresholds_coupler}"\ncoupling = "mould"'
        blocks.append(
            f"[ear.right.thresholds]\n{dial}\n{at}\nlevel_db = {numbers(hl)}\nno_response = [{flags}]"
        )  # fmt: skip
    for level, at_eardrum in speech:
        name = f"speech{level:g}"
        write(folder, f"{name}.csv", "coupler:ha1", hz, np.array(at_eardrum) - np.array(recd), noise_db)
        blocks += [
            f'[stimulus.{name}]\nkind = "speech"\nlevel_db_spl = {level}',
            curve_block(name, f"{name}.csv", "coupler", name, "aid", coupler="ha1", coupling="mould"),
        ]
    (folder / "case.toml").write_text("\n\n".join(blocks) + "\n")
    return folder
