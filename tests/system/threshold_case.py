"""A case folder that holds thresholds and nothing measured: enough to prescribe from."""

from curve_case import numbers

# Scenario S4: hearing levels of an adult of 68 years, taken with supra-aural earphones.
S4_HZ = (250, 500, 1000, 2000, 3000, 4000, 6000)
S4_HL = (20, 25, 35, 50, 60, 65, 70)


def threshold_case(
    folder,
    *,
    hz=S4_HZ,
    level_db=S4_HL,
    transducer="supra_aural",
    age_months=816,
    ears=("right",),
    keys="",
    discomfort=None,
    extra="",
):
    """Write it; ``keys`` go into each [ear.SIDE.thresholds], ``discomfort`` are levels at 500, 1000, 2000, 4000 Hz."""
    folder.mkdir(parents=True)
    how = f'scale = "HL"\ntransducer = "{transducer}"'
    if transducer == "insert":
        how += '\ncoupler = "ha1"\ncoupling = "foam_tip"'
    blocks = ['schema = 1\nid = "thresholds"', '[client]\ncode = "T"']
    if age_months is not None:
        blocks[-1] += f"\nage_months = {age_months}"
    for side in ears:
        blocks.append(f'[ear.{side}]\nmiddle_ear = "normal"')
        at = f"frequency_hz = {numbers(hz)}\nlevel_db = {numbers(level_db)}"
        blocks.append(f"[ear.{side}.thresholds]\n{how}\n{at}\n{keys}")
        if discomfort is not None:
            at = f"frequency_hz = [500, 1000, 2000, 4000]\nlevel_db = {numbers(discomfort)}"
            blocks.append(f"[ear.{side}.discomfort]\n{how}\n{at}")
    (folder / "case.toml").write_text("\n\n".join([*blocks, extra]) + "\n")
    return folder


def imported(levels, *, at_db=65.0, ear="right", name="ours", hz=(500, 1000, 2000, 4000)):
    """A [[target]] block of an invented method; a limit without an input level."""
    kind = 'kind = "maximum_output"' if at_db is None else f'kind = "speech"\nlevel_db_spl = {at_db}'
    said = 'method = "invented rule"\nversion = "5.1"\noptions = "adult, quiet"'
    at = f"frequency_hz = {numbers(hz)}\nlevel_db = {numbers(levels)}"
    return f'[[target]]\nname = "{name}"\near = "{ear}"\n{said}\n{kind}\n{at}\n'
