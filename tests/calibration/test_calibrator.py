"""A calibrator recording makes a calibration, or a sentence says why not."""

from datetime import date

import numpy as np
import pytest

from umbo.calibration import Calibration, Drift, Recording, calibration_from_calibrator
from umbo.core import Severity
from umbo.errors import CalibrationError, RecordingError

RATE = 48000.0


def tone(level_db_spl, pa_per_full_scale, *, frequency_hz=1000.0, seconds=2.0, noise_db=30.0, seed=1):
    t = np.arange(int(seconds * RATE)) / RATE
    rng = np.random.default_rng(seed)
    pressure = np.sqrt(2) * 20e-6 * 10 ** (level_db_spl / 20) * np.sin(2 * np.pi * frequency_hz * t + 0.3)
    pressure += 20e-6 * 10 ** (noise_db / 20) * rng.standard_normal(t.size)
    return Recording("calibrator", pressure / pa_per_full_scale, RATE)


def calibrate(recording, level=94.0):
    return calibration_from_calibrator(
        recording, name="mic", level_db_spl=level, frequency_hz=1000.0, u_calibrator_db=0.1, date=date(2026, 1, 1)
    )


@pytest.mark.parametrize("level", [94.0, 114.0])
@pytest.mark.parametrize("frequency_hz", [1000.0, 996.3, 1007.0])
def test_known_sensitivity_comes_back(level, frequency_hz):
    found = calibrate(tone(level, 37.5, frequency_hz=frequency_hz), level)
    assert abs(20 * np.log10(found.pa_per_full_scale / 37.5)) < 0.005
    assert 0.1 <= found.u_db < 0.11
    assert found.method == f"calibrator {level:g} dB SPL at 1000 Hz"


def test_94_db_is_one_pascal():
    # 94 dB SPL is 1.0024 Pa (20 uPa x 10^4.7): a full scale of 1 Pa peak is passed by its peak of 1.417 Pa
    found = calibrate(tone(94.0, 10.0))
    samples = tone(94.0, 10.0).samples_fs
    assert np.sqrt(np.mean(found.pressure_pa(samples) ** 2)) == pytest.approx(1.0024, abs=1e-3)


@pytest.mark.parametrize(
    ("recording", "said"),
    [
        (tone(94.0, 37.5, seconds=0.5), "it lasts 0.50 s and 1 s is needed"),
        (tone(94.0, 37.5, frequency_hz=250.0), "a tone at 1000 Hz holds 0 % of its power"),
        (tone(94.0, 37.5, noise_db=90.0), "of its power and 99 % are needed"),
        (Recording("calibrator", np.clip(tone(94.0, 1.0).samples_fs, -1, 1), RATE), "its samples reach full scale"),
        (Recording("calibrator", np.zeros(96000), RATE), "a tone at 1000 Hz holds 0 % of its power"),
    ],
)
def test_what_is_no_calibrator_is_refused(recording, said):
    with pytest.raises(CalibrationError, match=said):
        calibrate(recording)


@pytest.mark.parametrize("factor", [0.0, -1.0, float("nan"), float("inf")])
def test_no_sensitivity_is_refused(factor):
    with pytest.raises(CalibrationError, match="is no sensitivity; give a positive factor"):
        Calibration(name="mic", pa_per_full_scale=factor, u_db=0.1, date=date(2026, 1, 1), method="entered")


def test_uncertainty_must_be_positive():
    with pytest.raises(CalibrationError, match=r"an uncertainty of -0\.1 dB cannot be"):
        Calibration(name="mic", pa_per_full_scale=1.0, u_db=-0.1, date=date(2026, 1, 1), method="entered")


def test_age_of_a_calibration():
    calibration = Calibration(name="mic", pa_per_full_scale=1.0, u_db=0.1, date=date(2025, 1, 1), method="entered")
    assert calibration.age_finding(date(2025, 12, 31)) is None
    assert calibration.age_finding(date(2026, 1, 3)).code == "calibration_old"
    assert calibration.age_finding(date(2024, 12, 31)).code == "calibration_after"


@pytest.mark.parametrize(
    ("change", "severity"),
    [(0.9, None), (-1.0, None), (1.4, Severity.WARN), (-1.9, Severity.WARN), (2.3, Severity.STOP)],
)
def test_drift_of_the_check_source(change, severity):
    # scenario S8: +1.4 dB since the morning warns and does not block
    finding = Drift(change).finding()
    assert (finding.severity if finding else None) == severity


def test_recording_refuses_what_is_not_a_channel():
    with pytest.raises(RecordingError, match="it holds no single channel"):
        Recording("take", np.zeros((10, 2)), RATE)
    with pytest.raises(RecordingError, match="its sample 3 is not a finite number"):
        Recording("take", np.array([0.0, 1.0, 2.0, np.nan]), RATE)


def test_recording_does_not_change_and_cannot_be_changed():
    samples = np.ones(10)
    recording = Recording("take", samples, RATE)
    with pytest.raises(ValueError, match="read-only"):
        recording.samples_fs[0] = 2.0
    samples[0] = 2.0  # the caller's array stays the caller's
    assert samples[0] == 2.0
