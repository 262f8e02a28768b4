"""A case folder made of exported curves, for whole-chain checks with known numbers."""

from pathlib import Path

HZ = (500, 1000, 2000, 4000)


def write_curve(folder: Path, name: str, plane: str, levels, *, hz=HZ):
    rows = "\n".join(f"{f},{v}" for f, v in zip(hz, levels, strict=True))
    text = f"# plane: {plane}\n# reference: dB SPL\nfrequency_hz,level_db,u_db,noise_db\n"
    (folder / name).write_text(text + "\n".join(f"{line},0.3,10" for line in rows.splitlines()) + "\n")


def curve_block(name, file, place, stimulus, source, *, coupler=None, coupling="foam_tip", ear="right"):
    lines = [
        "[[curve]]", f'name = "{name}"', f'file = "{file}"', f'ear = "{ear}"', f'place = "{place}"',
        f'coupling = "{coupling}"', f'source = "{source}"', f'stimulus = "{stimulus}"',
    ]  # fmt: skip
    if coupler:
        lines.append(f'coupler = "{coupler}"')
    return "\n".join(lines)


def numbers(values):
    return "[" + ", ".join(f"{v}" for v in values) + "]"


def s1_case(folder: Path, *, nhl=(60, 65, 65, 65), recd=(9, 13, 16, 21), changes=()) -> Path:
    """A baby of three months, limit and targets imported: exported curves with sums that were worked by hand."""
    folder.mkdir(parents=True)
    write_curve(folder, "coupler.csv", "coupler:ha1", (70,) * 4)
    write_curve(folder, "ear.csv", "probe_tip", [70 + r for r in recd])
    write_curve(folder, "speech65.csv", "coupler:ha1", (67, 70, 70, 66))
    write_curve(folder, "mpo.csv", "coupler:ha1", (98, 101, 101, 97))
    at, method = f"frequency_hz = {numbers(HZ)}", 'ear = "right"\nmethod = "invented"\nversion = "1"\noptions = ""'
    speech = 'kind = "speech"\nlevel_db_spl = 65.0'
    blocks = [
        'schema = 1\nid = "s1"',
        '[client]\ncode = "S1"\nage_months = 3',
        '[ear.right]\nmiddle_ear = "normal"\ntip_to_drum_mm = 0.0',
        '[ear.right.fitting]\nprescription = "none"',
        '[ear.right.thresholds]\nscale = "nHL"\ncorrection = "scenario protocol"',
        f'transducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"\n{at}\nlevel_db = {numbers(nhl)}',
        f'[corrections."scenario protocol"]\n{at}\nlevel_db = [10, 10, 5, 0]\nsource = "invented scenario"',
        f'[ear.right.mle]\n{at}\nlevel_db = [0.5, 1, 3, 3]\nsource = "invented scenario"',
        '[stimulus.sweep]\nkind = "exponential_sweep"\nstart_hz = 80.0\nstop_hz = 16000.0',
        '[stimulus.speech65]\nkind = "speech"\nlevel_db_spl = 65.0',
        '[stimulus.sweep90]\nkind = "exponential_sweep"\nstart_hz = 80.0\nstop_hz = 16000.0\nlevel_db_spl = 90.0',
        curve_block("coupler", "coupler.csv", "coupler", "sweep", "insert", coupler="ha1"),
        curve_block("ear", "ear.csv", "probe_tip", "sweep", "insert"),
        curve_block("speech 65", "speech65.csv", "coupler", "speech65", "aid", coupler="ha1", coupling="mould"),
        curve_block("maximum", "mpo.csv", "coupler", "sweep90", "aid", coupler="ha1", coupling="mould"),
        f'[[target]]\nname = "speech 65"\n{speech}\n{method}\n{at}\nlevel_db = [78, 83, 90, 96]',
        f'[[target]]\nname = "limit"\nkind = "maximum_output"\n{method}\n{at}\nlevel_db = [110, 114, 116, 116]',
    ]
    text = "\n\n".join(blocks) + "\n"
    for old, new in changes:
        if old not in text:
            raise AssertionError(old)
        text = text.replace(old, new)
    (folder / "case.toml").write_text(text)
    return folder
