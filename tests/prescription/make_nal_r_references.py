"""Writes nal_r_references.csv: gains that a general-purpose hearing-research library computes for random audiograms.

Not run by the tests. Needs pyclarity 0.9.0 (without its dependencies), numpy and scipy in an environment of its
own: ``python make_nal_r_references.py``. The library designs a filter and keeps the gains to itself, so they are taken
where it hands them to the interpolation; it sets negative gains to zero. Seed 1986.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path
from unittest.mock import patch

import numpy as np
import scipy.interpolate

ROWS = 60


def library_gain_db(frequency_hz: np.ndarray, level_db: np.ndarray) -> np.ndarray:
    """Insertion gains the library uses for one audiogram. Shapes (6,). [Hz], [dB HL], [dB]"""
    from clarity.enhancer.nalr import NALR  # noqa: PLC0415  (only where the script is run)
    from clarity.utils.audiogram import Audiogram  # noqa: PLC0415

    seen = []
    interp1d = scipy.interpolate.interp1d

    def recording_interp1d(x, y, *more, **options):
        seen.append(np.array(y))
        return interp1d(x, y, *more, **options)

    with patch.object(scipy.interpolate, "interp1d", recording_interp1d):
        NALR(220, 16000.0).build(Audiogram(levels=level_db, frequencies=frequency_hz))
    return seen[-1][1:-1]


def main() -> None:
    hz = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0, 6000.0])
    rng = np.random.default_rng(1986)
    first, last = rng.uniform(0, 80, ROWS), rng.uniform(10, 110, ROWS)
    slope = np.linspace(0, 1, hz.size)
    levels = np.clip(first[:, None] + (last - first)[:, None] * slope + rng.normal(0, 8, (ROWS, hz.size)), -10, 110)
    levels = np.round(levels, 1)
    with Path(__file__).with_name("nal_r_references.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([*(f"hl_{f:.0f}_hz_db" for f in hz), *(f"gain_{f:.0f}_hz_db" for f in hz)])
        for row in levels:
            gain = library_gain_db(hz, row)
            writer.writerow([*(f"{v:g}" for v in row), *(f"{v:.6f}" for v in gain)])


if __name__ == "__main__":
    sys.exit(main())
