"""A sweep and steady tones agree on a linear aid and part on a compressive one, which is what the finding says."""

import numpy as np
from aid_parts import EXACT, HA1, RATE_HZ, amplitude_fs, conditions, curve, recording, settings, tags

from umbo.aid import StimulusKind, Volume, output_90
from umbo.calibration import sweep_spectrum
from umbo.core import Grid
from umbo.curves import SweepReading, tone_series, tone_steps

HZ = np.array([250.0, 500.0, 1000.0, 2000.0, 4000.0])
START_HZ, STOP_HZ = 80.0, 20000.0


def aid(samples, ratio):
    """A resonance at 1 kHz, then a wide-band compressor: peak detector on 1 ms, attack 5 ms, release 100 ms."""
    hz = np.fft.rfftfreq(samples.size, 1 / RATE_HZ)
    bump = 10 ** (12 * np.exp(-((np.log2(np.maximum(hz, 1.0) / 1000) / 0.7) ** 2)) / 20)
    shaped = np.fft.irfft(np.fft.rfft(samples) * bump, samples.size)
    block = int(0.001 * RATE_HZ)
    size = shaped.size // block * block
    level = 20 * np.log10(np.maximum(np.abs(shaped[:size]).reshape(-1, block).max(axis=1), 1e-9))
    state, smooth = level[0], np.empty_like(level)
    for i, now in enumerate(level):
        keep = np.exp(-0.001 / (0.005 if now > state else 0.1))
        state = keep * state + (1 - keep) * now
        smooth[i] = state
    gain = -(1 - 1 / ratio) * (smooth - 20 * np.log10(amplitude_fs(60.0)))
    return shaped * 10 ** (np.interp(np.arange(shaped.size), np.arange(level.size) * block, gain) / 20)


def swept(ratio):
    t = np.arange(int(1.0 * RATE_HZ)) / RATE_HZ
    rate = 1.0 / np.log(STOP_HZ / START_HZ)
    stimulus = np.concatenate(
        [np.sin(2 * np.pi * START_HZ * rate * (np.exp(t / rate) - 1)), np.zeros(int(0.25 * RATE_HZ))]
    )
    stimulus[:480] *= np.sin(np.linspace(0, np.pi / 2, 480)) ** 2
    out = aid(np.tile(stimulus * float(amplitude_fs(60.0)), 3), ratio)[stimulus.size :]
    spectrum = sweep_spectrum(
        recording(out), recording(stimulus * 0.5, "sweep"), EXACT, repeats=2, start_hz=START_HZ, stop_hz=STOP_HZ
    )
    return SweepReading(spectrum, HA1, tags(), clipped=False, findings=()).on(Grid.tones(HZ)).level


def toned(ratio):
    steps = tone_steps(HZ.tolist(), [60.0] * HZ.size, 1.0)
    time_s = np.arange(int(RATE_HZ)) / RATE_HZ
    played = np.concatenate([float(amplitude_fs(60.0)) * np.sin(2 * np.pi * f * time_s) for f in HZ])
    return tone_series(
        recording(aid(played, ratio)), steps, EXACT, repeats=1, settle_s=0.6, highest_harmonic=3, plane=HA1,
        tags=tags(stimulus="tones"),
    ).level()  # fmt: skip


def test_linear_aid_reads_alike_and_a_compressive_one_does_not(show):
    def rms(ratio):
        return float(np.sqrt(np.mean((swept(ratio).level_db - toned(ratio).level_db) ** 2)))

    linear, compressive = rms(1.0), rms(3.0)
    show(f"sweep minus steady tones: linear {linear:.2f} dB rms, 3:1 {compressive:.2f} dB rms")
    assert linear < 0.2
    assert compressive > max(0.4, 3 * linear)


def test_each_result_names_its_stimulus():
    """The phrase and the finding of a result say with which of the two it was read."""
    for kind, word in ((StimulusKind.SWEEP, "a sweep"), (StimulusKind.LEVEL_STEPS, "level steps")):
        own = conditions(kind, 90.0, set_to=settings(Volume.FULL_ON, compression="on"))
        found = output_90(curve(100.0), own)
        assert word in str(found.maximum)
        assert found.findings[0].text.endswith(f"this result holds for {word}.")
