"""Cases of exported curves with two ears, dates and a guidance: small invented numbers, everything exact to 0.3 dB."""

from curve_case import HZ, curve_block, numbers, write_curve

SPEECH_65 = (67, 70, 70, 66)
MAXIMUM = (98, 101, 101, 97)
RECD = (9, 13, 16, 21)
TARGET_65 = (78, 83, 90, 96)
LIMIT = (110, 114, 116, 116)
HEARING = (50, 55, 60, 65)
MLE = (0.5, 1, 3, 3)


def fitted_case(folder, ears=None, *, age_months=3, measured="2026-06-01", guidance="", day="", case_id="two"):
    """Write a case; ``ears`` maps a side to what differs from the numbers above (keys in lower case)."""
    folder.mkdir(parents=True)
    at = f"frequency_hz = {numbers(HZ)}"
    blocks = [
        f'schema = 1\nid = "{case_id}"' + (f"\nmeasured = {measured}" if measured else ""),
        f'[client]\ncode = "C-1"\nage_months = {age_months}',
        '[stimulus.sweep]\nkind = "exponential_sweep"\nstart_hz = 80.0\nstop_hz = 16000.0',
        '[stimulus.speech65]\nkind = "speech"\nlevel_db_spl = 65.0',
        '[stimulus.sweep90]\nkind = "exponential_sweep"\nstart_hz = 80.0\nstop_hz = 16000.0\nlevel_db_spl = 90.0',
    ]
    for side, own in ({"right": {}} if ears is None else ears).items():
        blocks += _ear(folder, side, own, at, guidance, day)
    (folder / "case.toml").write_text("\n\n".join(blocks) + "\n")
    return folder


def _ear(folder, side, own, at, guidance, day):
    recd = own.get("recd", RECD)
    other = 0.01 if side == "left" else 0.0  # two files may not hold the same bytes
    write_curve(folder, f"{side}_coupler.csv", "coupler:ha1", (70 + other,) * 4)
    write_curve(folder, f"{side}_ear.csv", "probe_tip", [70 + other + r for r in recd])
    write_curve(folder, f"{side}_speech.csv", "coupler:ha1", [v + other for v in own.get("speech", SPEECH_65)])
    write_curve(folder, f"{side}_mpo.csv", "coupler:ha1", [v + other for v in own.get("maximum", MAXIMUM)])
    fitting = 'prescription = "none"'
    if guidance:
        fitting += f'\nguidance = "{guidance}"'
    if "mould" in own:
        fitting += f"\nmould_since = {own['mould']}"
    method = f'ear = "{side}"\nmethod = "invented"\nversion = "1"\noptions = ""'
    ear = curve_block(f"{side} ear", f"{side}_ear.csv", "probe_tip", "sweep", "insert", ear=side)
    blocks = [
        f'[ear.{side}]\nmiddle_ear = "{own.get("middle_ear", "normal")}"\ntip_to_drum_mm = 0.0',
        f"[ear.{side}.fitting]\n{fitting}",
        (
            f'[ear.{side}.thresholds]\nscale = "HL"\ntransducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"\n'
            f"{at}\nlevel_db = {numbers(own.get('hearing', HEARING))}"
        ),
        f'[ear.{side}.mle]\n{at}\nlevel_db = {numbers(MLE)}\nsource = "invented"',
        curve_block(f"{side} coupler", f"{side}_coupler.csv", "coupler", "sweep", "insert", coupler="ha1", ear=side),
        f"{ear}\ndate = {day}" if day else ear,
        _aid(f"{side} speech", f"{side}_speech.csv", "speech65", side),
        _aid(f"{side} maximum", f"{side}_mpo.csv", "sweep90", side),
    ]
    speech = f'kind = "speech"\nlevel_db_spl = 65.0\n{method}\n{at}\nlevel_db = {numbers(own.get("target", TARGET_65))}'
    limit = f'kind = "maximum_output"\n{method}\n{at}\nlevel_db = {numbers(own.get("limit", LIMIT))}'
    return [*blocks, f'[[target]]\nname = "{side} speech"\n{speech}', f'[[target]]\nname = "{side} limit"\n{limit}']


def _aid(name, file, stimulus, side):
    return curve_block(name, file, "coupler", stimulus, "aid", coupler="ha1", coupling="mould", ear=side)
