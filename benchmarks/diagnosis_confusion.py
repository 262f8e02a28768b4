"""Write docs/diagnosis-confusion.md: what the diagnosis makes of simulated measurements whose cause is known.

Run it with the project's interpreter and, if wanted, the number of ears per condition (default 1000); it takes minutes.
"""

import sys
from collections import Counter, defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "diagnosis"))

import numpy as np  # noqa: E402
from measured_ears import DOUBLE, HZ, SINGLE, measured, stray_source  # noqa: E402
from measured_levels import as_measurement  # noqa: E402

from umbo.diagnosis import diagnose_many, source_class  # noqa: E402

#: Nothing wrong is met as often as the weights of the diagnosis say; causes evenly.
MIXTURE = ("ok",) * 5 + SINGLE
CONDITIONS = (
    ("known source", {"known": True}, MIXTURE, 1.0),
    ("known source, noise alike over a third of an octave", {"known": True, "correlated": True}, MIXTURE, 0.5),
    ("source known by its class", {"known": False}, MIXTURE, 0.3),
    ("two causes, known source", {"known": True}, DOUBLE, 0.3),
    (
        "nothing wrong, known source, noise alike over a third of an octave",
        {"known": True, "correlated": True},
        ("ok",),
        0.2,
    ),
)


def run(count, seed, causes, *, known, correlated=False):
    """Truth and answer for many ears."""
    rng = np.random.default_rng(seed)
    ears = [
        measured(rng, causes[i % len(causes)], source=None if known else stray_source(rng), correlated=correlated)
        for i in range(count)
    ]
    asked = [as_measurement(ear, ear.source if known else source_class("insert")) for ear in ears]
    return list(zip(ears, diagnose_many(asked), strict=True))


def figures(pairs):
    """Shares of right answers, false alarms, and what stated probabilities are worth."""
    right = np.array([answer.best == ear.cause for ear, answer in pairs])
    stated = np.array([answer.probability[answer.best] for _, answer in pairs])
    good = np.array([ear.cause == "ok" for ear, _ in pairs])
    lines = [f"- cause right: {100 * right.mean():.1f} % of {right.size}"]
    if good.any():
        lines.append(f"- false alarm on good ears: {100 * (1 - right[good].mean()):.1f} % of {good.sum()}")
    for low, high in ((0.0, 0.5), (0.5, 0.8), (0.8, 0.95), (0.95, 0.99), (0.99, 1.01)):
        inside = (stated >= low) & (stated < high)
        if inside.any():
            lines.append(
                f"- stated {low:.2f} to {min(high, 1):.2f}: right {100 * right[inside].mean():.1f} % of {inside.sum()}"
            )
    return lines


def level_lines(pairs):
    """What carrying the reading to the drum does, from 6 to 10 kHz, on good and on shallow probes."""
    band = (HZ >= 6000) & (HZ <= 10000)
    errors = defaultdict(list)
    for ear, answer in pairs:
        kind = {"ok": "nothing wrong", "shallow_probe": "shallow probe"}.get(ear.cause)
        if kind:
            truth = ear.drum_db[band]
            errors[kind].append((ear.ear_db[band] - truth, answer.level_at_drum.level_db[band] - 60.0 - truth))
    return [
        f"- level at the drum, 6-10 kHz, {kind}: reading {rms(raw):.1f} dB rms off, carried there {rms(done):.1f} dB"
        for kind, (raw, done) in ((kind, zip(*values, strict=True)) for kind, values in errors.items())
    ]


def rms(values):
    return float(np.sqrt(np.mean(np.square(values))))


def confusion(pairs):
    """Rows of a table: for each truth its answers, most frequent first."""
    table = defaultdict(Counter)
    for ear, answer in pairs:
        table[ear.cause][answer.best] += 1
    rows = ["| truth | ears | right | taken for |", "| --- | ---: | ---: | --- |"]
    for truth, answers in sorted(table.items()):
        total = sum(answers.values())
        others = ", ".join(f"{name} {n}" for name, n in answers.most_common() if name != truth)
        rows.append(f"| {truth} | {total} | {100 * answers[truth] / total:.0f} % | {others} |")
    return rows


def main(count):
    out = [HEAD]
    for seed, (title, how, causes, share) in enumerate(CONDITIONS):
        pairs = run(round(count * share), 1000 + seed, causes, **how)
        out += [
            "",
            f"## {title[0].upper()}{title[1:]}",
            "",
            *figures(pairs),
            *level_lines(pairs),
            "",
            *confusion(pairs),
        ]
        print(title, *figures(pairs), sep="\n", flush=True)
    (ROOT / "docs" / "diagnosis-confusion.md").write_text("\n".join(out) + "\n", encoding="utf-8")


HEAD = """# What the diagnosis makes of known causes

Written by `benchmarks/diagnosis_confusion.py`; nothing here is typed by hand.

The measurements are simulated ears that are richer than the model fitted to them: canals of sixteen cones with random
bumps and an oblique drum, two published drums, exact losses, another source than the nominal one, couplers of another
temperature and inlet, 0.4 dB of ripple alike over a third of an octave, 0.5 dB of calibration error, 1 dB of noise in
each twelfth-octave. Ages: six in ten adults, two children, two infants.

Faults are drawn down to where they cost what the table of consequences asks; a fault below that counts as nothing
wrong, and faults just above it are the hardest. They are not filtered: what lies at the border counts."""


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
