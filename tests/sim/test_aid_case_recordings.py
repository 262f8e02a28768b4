"""Recordings of an aid-test case: every truth is found in them by plain means."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile
from aid_case_reading import RATE_HZ, band_db_spl, third_db_spl, tone_db_spl, with_noise


@pytest.mark.parametrize("ear", ["right", "left"])
def test_input_output_curve_in_the_recording(school, ear):
    samples = school.pascals(ear=ear, test="input_output")
    truth = school.truth["ears"][ear]["dynamics"]["input_output"]
    levels = [tone_db_spl(part[-9600:], 2000.0) for part in samples.reshape(len(truth["input_db_spl"]), -1)]
    # the first step comes after the last one of the period before, at 90 dB: it has had time to settle
    assert levels == pytest.approx(truth["output_db_spl"], abs=0.15)


def test_expansion_in_the_recording(school, right):
    truth = right["dynamics"]["expansion"]
    parts = school.pascals(ear="right", test="expansion").reshape(len(truth["input_db_spl"]), -1)
    levels = np.array([tone_db_spl(part[-9600:], 2000.0) for part in parts])
    # the aid's own noise takes part in what its detector sees, the more the softer the tone
    assert levels == pytest.approx(truth["output_with_own_noise_db_spl"], abs=0.6)
    assert levels[4:] == pytest.approx(truth["output_db_spl"][4:], abs=0.3)
    slope = (truth["output_db_spl"][2] - truth["output_db_spl"][1]) / 5.0
    assert slope == pytest.approx(truth["slope"], abs=0.01)


@pytest.mark.parametrize("ear", ["right", "left"])
@pytest.mark.parametrize("coupler", ["ha1", "cc04"])
def test_distortion_in_the_recording(school, ear, coupler):
    truth = school.truth["ears"][ear]["data_sheet"][coupler]["distortion"]
    parts = school.pascals(ear=ear, test="distortion", coupler=coupler).reshape(3, -1)
    for part, frequency_hz, percent in zip(parts, truth["frequency_hz"], truth["total_percent"], strict=True):
        levels = 10 ** (np.array([tone_db_spl(part[9600:43200], n * frequency_hz) for n in (1, 2, 3)]) / 20)
        assert 100 * np.hypot(levels[1], levels[2]) / levels[0] == pytest.approx(percent, abs=0.1)


@pytest.mark.parametrize("coupler", ["ha1", "cc04"])
def test_noise_in_the_recording(school, right, coupler):
    truth = right["data_sheet"][coupler]["input_noise"]
    found = band_db_spl(school.pascals(ear="right", test="input_noise", coupler=coupler), 200.0, 5000.0)
    # the coupler's microphone adds its 28 dB(A), far below
    assert found == pytest.approx(truth["output_200_5000_db_spl"], abs=0.4)


@pytest.mark.parametrize(("test", "level_db_spl"), [("reference_response", 60.0), ("full_on_gain", 50.0)])
def test_gain_in_the_recording(school, right, test, level_db_spl):
    samples = school.pascals(ear="right", test=test, coupler="ha1").reshape(2, -1).mean(axis=0)
    sweep, _ = soundfile.read(school.folder / "sweep.wav")
    rms_fs = np.sqrt(np.mean(sweep[9600:40000] ** 2))
    impulse = np.fft.irfft(np.fft.rfft(samples) / np.fft.rfft(sweep), n=sweep.size)
    impulse[9600:-1200] = 0.0
    response = np.abs(np.fft.rfft(impulse)) * rms_fs / (2e-5 * 10 ** (level_db_spl / 20))
    sheet = right["data_sheet"]["ha1"]
    gain_db = sheet["response"]["gain_db"] if test == "reference_response" else sheet["full_on_gain"]["gain_db"]
    for k in (24, 36, 48, 56):
        centre_hz = school.truth["frequency_hz"][k]
        step = RATE_HZ / sweep.size
        inside = slice(round(centre_hz / 1.02 / step), round(centre_hz * 1.02 / step) + 1)
        found = 10 * np.log10(np.mean(response[inside] ** 2))
        assert found == pytest.approx(gain_db[k], abs=0.5)


def test_reduction_of_noise_in_the_recordings(school, right):
    truth = right["features"]["noise_reduction"]
    on = school.pascals(ear="right", test="noise", stimulus="noise", settings="fitted_noise_reduction")
    off = school.pascals(ear="right", test="noise", stimulus="noise", settings="fitted")
    last = -3 * RATE_HZ
    for place, centre_hz in enumerate(right["features"]["third_octaves_hz"]):
        change_db = third_db_spl(on[last:], centre_hz) - third_db_spl(off[last:], centre_hz)
        assert change_db == pytest.approx(truth["noise_change_db"][place], abs=0.3)
    early = slice(RATE_HZ, 2 * RATE_HZ)
    assert third_db_spl(on[early], 1000.0) == pytest.approx(third_db_spl(off[early], 1000.0), abs=0.1)
    assert max(np.abs(truth["speech_change_db"])) < 0.5


@pytest.mark.parametrize(("ear", "sign"), [("right", 1.0), ("left", -1.0)])
def test_front_and_back_in_the_recordings(school, ear, sign):
    truth = school.truth["ears"][ear]["features"]["directional"]
    front, back = (school.pascals(ear=ear, test=t, settings="fitted_directional") for t in ("front", "back"))
    for place, centre_hz in enumerate(school.truth["ears"][ear]["features"]["third_octaves_hz"]):
        for samples, name in ((front, "front_on"), (back, "back_on")):
            expected = with_noise(truth[f"{name}_db_spl"][place], truth[f"{name}_noise_db_spl"][place])
            assert third_db_spl(samples, centre_hz) == pytest.approx(expected, abs=0.6)
        difference = truth["front_on_db_spl"][place] - truth["back_on_db_spl"][place]
        assert truth["output_front_minus_back_on_db"][place] == pytest.approx(difference, abs=1e-3)
        assert sign * difference > 3.0
    plain = [school.pascals(ear=ear, test=t, settings="fitted") for t in ("front", "back")]
    assert third_db_spl(plain[0], 1000.0) == pytest.approx(third_db_spl(plain[1], 1000.0), abs=0.1)


def test_remote_microphone_in_the_recordings(school, right):
    truth = right["features"]["remote_microphone"]
    (own,) = (e for e in school.entries(ear="right", test="remote_microphone") if "input" not in e)
    remote = school.pascals(ear="right", test="remote_microphone", input="remote_microphone")
    heard = soundfile.read(school.folder / own["file"])[0] * school.pa
    found = [third_db_spl(remote, f) - third_db_spl(heard, f) for f in truth["frequency_hz"]]
    assert found == pytest.approx(truth["offset_db"], abs=0.2)
    assert np.mean(found) == pytest.approx(truth["mean_offset_db"], abs=0.15)


def test_lowering_in_the_recordings(school, right):
    truth = right["features"]["frequency_lowering"]
    for state in ("off", "on"):
        samples = school.pascals(ear="right", test=f"lowering_{state}", stimulus="fricative")
        for (low, high), level in zip(truth["bands_hz"], truth[f"fricative_{state}_db_spl"], strict=True):
            assert band_db_spl(samples, low, high) == pytest.approx(level, abs=1.5 if level < 50 else 0.3)
    assert truth["fricative_on_db_spl"][3] < truth["fricative_off_db_spl"][3] - 20.0


def test_telecoil_in_the_recording(school, right):
    truth = right["features"]["telecoil"]
    coil = school.pascals(ear="right", test="telecoil").reshape(2, -1).mean(axis=0)
    sound = school.pascals(ear="right", test="reference_response", coupler="ha1").reshape(2, -1).mean(axis=0)
    ratio_db = 20 * np.log10(np.abs(np.fft.rfft(coil) / np.fft.rfft(sound)))
    step = RATE_HZ / coil.size
    found = [np.mean(ratio_db[round(f / 1.02 / step) : round(f * 1.02 / step)]) for f in truth["hfa_hz"]]
    # 1.2 s of sweep once each: harmonics of the aid lie in both
    assert np.mean(found) == pytest.approx(truth["hfa_minus_acoustic_db"], abs=0.3)


@pytest.mark.parametrize("ear", ["right", "left"])
def test_speech_in_the_recording(school, ear):
    features = school.truth["ears"][ear]["features"]
    (truth,) = features["speech"]
    samples = school.pascals(ear=ear, test="speech")
    played, _ = soundfile.read(school.folder / "speech.wav")
    played_pa = played * 2e-5 * 10 ** (65.0 / 20) / np.sqrt(np.mean(played**2))
    for place, centre_hz in enumerate(features["third_octaves_hz"]):
        expected = with_noise(truth["output_db_spl"][place], truth["noise_db_spl"][place])
        assert third_db_spl(samples, centre_hz) == pytest.approx(expected, abs=0.15)
        assert third_db_spl(played_pa, centre_hz) == pytest.approx(truth["input_db_spl"][place], abs=0.01)


def test_check_source_drifted_by_what_the_truth_says(school):
    earlier, now = (school.pascals(test="check_source", run=run) for run in ("earlier", "now"))
    assert band_db_spl(now, 500.0, 4000.0) - band_db_spl(earlier, 500.0, 4000.0) == pytest.approx(1.4, abs=0.02)
    assert school.truth["check_source"]["drift_db"] == 1.4
