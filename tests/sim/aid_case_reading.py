"""An aid-test case read back by plain means, for the tests of such cases."""

from __future__ import annotations

import json
import tomllib

import numpy as np
import soundfile

RATE_HZ = 48000


class Written:
    """A case folder read back by plain means."""

    def __init__(self, folder):
        self.folder = folder
        self.case = tomllib.loads((folder / "case.toml").read_text(encoding="utf-8"))
        self.truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
        self.pa = self.truth["calibration"]["coupler_mic"]["true_pa_per_full_scale"]

    def entries(self, **wanted):
        return [e for e in self.case["recording"] if all(e.get(key) == value for key, value in wanted.items())]

    def pascals(self, **wanted):
        (entry,) = self.entries(**wanted)
        samples, rate = soundfile.read(self.folder / entry["file"])
        assert rate == RATE_HZ
        return samples * self.pa


def tone_db_spl(samples_pa, frequency_hz):
    window = np.hanning(samples_pa.size)
    turned = samples_pa * window * np.exp(-2j * np.pi * frequency_hz * np.arange(samples_pa.size) / RATE_HZ)
    return 20 * np.log10(2 * abs(turned.sum()) / window.sum() / np.sqrt(2) / 2e-5)


def band_db_spl(samples_pa, low_hz, high_hz):
    power = np.abs(np.fft.rfft(samples_pa)) ** 2 * 2 / samples_pa.size**2
    frequency_hz = np.fft.rfftfreq(samples_pa.size, 1 / RATE_HZ)
    return 10 * np.log10(power[(frequency_hz >= low_hz) & (frequency_hz < high_hz)].sum() / 4e-10)


def third_db_spl(samples_pa, centre_hz):
    return band_db_spl(samples_pa, centre_hz / 10**0.05, centre_hz * 10**0.05)


def with_noise(signal_db_spl, noise_db_spl):
    return 10 * np.log10(10 ** (signal_db_spl / 10) + 10 ** (noise_db_spl / 10))
