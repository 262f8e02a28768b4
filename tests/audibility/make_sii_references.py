"""Writes the reference values of the speech intelligibility index; run by hand, never by the tests.

Third octaves: speech-intelligibility-index 1.0.2 (Apache-2.0; numpy 2.4.6), whose code goes back to H. Muesch. Octaves:
mosqito 1.2.1 (Apache-2.0). Critical bands: a public C program for all procedures of the standard (no author named in
its text), its sums as they stand, its result printed to six decimals instead of three; it is not carried here. Each in
an environment of its own:

    python make_sii_references.py third_octave
    python make_sii_references.py octave
    python make_sii_references.py critical_band PROGRAM

Conditions are whole decibels drawn with a fixed seed and stored with the result, so that nothing depends on the
generator staying what it is. Speech is a standard spectrum moved and bent; noise is absent (-50 dB) in a quarter of
the conditions.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
N_CONDITIONS = {"third_octave": 1000, "octave": 500, "critical_band": 500}
N_BANDS = {"third_octave": 18, "octave": 6, "critical_band": 21}
NO_NOISE_DB = -50


def conditions(procedure):
    """Speech, noise, threshold (n, bands) in whole decibels, and which importance function (n,), 1 to 7."""
    rng = np.random.default_rng(351997)
    n, bands = N_CONDITIONS[procedure], N_BANDS[procedure]
    x = np.linspace(0.0, 1.0, bands)
    speech = (
        35 - 33 * x + rng.uniform(-15, 60, (n, 1)) + rng.uniform(-20, 20, (n, 1)) * x + rng.normal(0, 6, (n, bands))
    )
    noise = rng.uniform(-20, 60, (n, 1)) + rng.uniform(-30, 20, (n, 1)) * x + rng.normal(0, 8, (n, bands))
    noise[rng.random(n) < 0.25] = NO_NOISE_DB
    threshold = rng.uniform(-10, 60, (n, 1)) + rng.uniform(-10, 50, (n, 1)) * x + rng.normal(0, 5, (n, bands))
    which = rng.integers(1, 8, n) if procedure == "third_octave" else np.ones(n, dtype=int)
    return (*(np.rint(part).astype(int) for part in (speech, noise, threshold)), which)


def by_package(speech, noise, threshold, which):
    """Third octaves; the package takes its speech as a list, and numbers the importance functions from 1."""
    from speech_intelligibility_index import sii  # noqa: PLC0415  (only in the environment that makes the references)

    rows = zip(speech, noise, threshold, which, strict=True)
    return [sii.sii(e.tolist(), n.astype(float), t.astype(float), int(i)) for e, n, t, i in rows]


def by_mosqito(speech, noise, threshold, _which):
    """Octaves; the inner function takes a speech spectrum, and gets arrays of its own; the threshold as a list."""
    from mosqito.sq_metrics.speech_intelligibility.sii_ansi._main_sii import _main_sii  # noqa: PLC0415

    rows = zip(speech.astype(float), noise.astype(float), threshold.astype(float), strict=True)
    return [_main_sii("octave", e.copy(), n.copy(), t.tolist())[0] for e, n, t in rows]


def by_program(program, speech, noise, threshold, _which):
    """Critical bands; the program reads three lines of levels from a file."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for levels in zip(speech, noise, threshold, strict=True):
            path = Path(folder) / "input"
            path.write_text("\n".join(" ".join(map(str, row.tolist())) for row in levels) + "\n")
            done = subprocess.run([program, str(path)], capture_output=True, text=True, check=True)
            found.append(float(done.stdout))
    return found


def main(procedure, *program):
    """One row a condition: the importance function, the index, and all levels by band."""
    drawn = conditions(procedure)
    maker = {"third_octave": by_package, "octave": by_mosqito, "critical_band": by_program}[procedure]
    index = maker(*program, *drawn)
    names = [f"{what}_{k + 1}" for what in ("speech", "noise", "threshold") for k in range(N_BANDS[procedure])]
    lines = [",".join(["importance", "sii", *names])]
    for value, which, *levels in zip(index, drawn[3], *drawn[:3], strict=True):
        lines.append(",".join([str(which), f"{value:.6f}", *map(str, np.concatenate(levels).tolist())]))
    (HERE / f"sii_{procedure}.csv").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
