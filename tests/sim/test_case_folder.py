"""Case folders of the bench: valid, whole, reproducible, and true to their truth file."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from umbo.core import CouplerKind, Ear, Source
from umbo.errors import InputError
from umbo.sim import Fault, RecdBench, Scenario, demo_scenario, random_scenario, write_case

EDGE = 10 ** (1 / 80)


def read_case(folder):
    case = tomllib.loads((folder / "case.toml").read_text(encoding="utf-8"))
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    return case, truth


def recorded_fs(folder, case, name):
    entry = next(r for r in case["recording"] if r["name"] == name)
    samples, rate = soundfile.read(folder / entry["file"])
    assert rate == 48000
    return samples, entry


def response_db(folder, case, name, frequency_hz):
    """Band power of recording over stimulus, from the files alone."""
    samples, entry = recorded_fs(folder, case, name)
    stimulus, _ = soundfile.read(folder / case["stimulus"][entry["stimulus"]]["file"])
    period = samples.reshape(entry["repeats"], -1).mean(axis=0)
    size = 8 * period.size
    power = np.abs(np.fft.rfft(period, size) / np.fft.rfft(stimulus, size)) ** 2
    power *= case["calibration"][entry["calibration"]]["pa_per_full_scale"] ** 2
    bins_hz = np.fft.rfftfreq(size, 1 / 48000)
    grid_hz = np.asarray(frequency_hz)[:, None] * np.linspace(1 / EDGE, EDGE, 41)
    return 10 * np.log10(np.interp(grid_hz, bins_hz, power).mean(axis=1))


def recd_db(folder, coupler="ha1", side="right"):
    case, truth = read_case(folder)
    frequency_hz = truth["frequency_hz"]
    ear = response_db(folder, case, f"{side} ear", frequency_hz)
    return ear - response_db(folder, case, f"{side} coupler {coupler}", frequency_hz)


def quiet(seed, **kwargs):
    """A case of RECDs without noise and calibration errors."""
    scenario = random_scenario(seed, age_months=36.0, **kwargs)
    return replace(scenario, bench=RecdBench(perfect=True))


def test_recordings_hold_the_recd_of_the_truth_file(tmp_path):
    folder = write_case(tmp_path / "case", quiet(1))
    _, truth = read_case(folder)
    for coupler in ("ha1", "cc04"):
        expected = truth["ears"]["right"]["recd"][coupler]["recd_probe_tip_db"]
        # 24-bit steps of 12 µPa are the only noise: they show where the earphone is weakest, above 10 kHz
        assert recd_db(folder, coupler)[:74] == pytest.approx(expected[:74], abs=0.02)
        assert recd_db(folder, coupler)[74:] == pytest.approx(expected[74:], abs=0.15)


def test_a_real_case_agrees_within_its_calibration_and_noise(tmp_path):
    folder = write_case(tmp_path / "case", random_scenario(2, age_months=36.0))
    _, truth = read_case(folder)
    chains = truth["calibration"]
    offset_db = chains["coupler_mic"]["true_error_db"] - chains["probe_mic"]["true_error_db"]
    expected = np.array(truth["ears"]["right"]["recd"]["cc04"]["recd_probe_tip_db"]) + offset_db
    assert recd_db(folder, "cc04")[:70] == pytest.approx(expected[:70], abs=0.5)


def test_case_text_has_the_keys_of_the_format(tmp_path):
    folder = write_case(tmp_path / "case", random_scenario(3, sides=(Ear.RIGHT, Ear.LEFT)))
    case, truth = read_case(folder)
    assert case["schema"] == 1
    assert case["id"] == truth["case"] == "invented-3"
    assert set(case["ear"]) == {"right", "left"}
    assert case["ear"]["right"]["thresholds"]["transducer"] == "insert"
    sweep = case["stimulus"]["sweep"]
    assert (sweep["kind"], sweep["start_hz"], sweep["stop_hz"]) == ("exponential_sweep", 80.0, 20000.0)
    assert len(case["recording"]) == 6
    required = {"name", "file", "stimulus", "repeats", "ear", "place", "coupling", "source", "calibration"}
    sweep_fs, _ = soundfile.read(folder / sweep["file"])
    for entry in case["recording"]:
        assert required <= set(entry) <= required | {"coupler"}
        assert ("coupler" in entry) == (entry["place"] == "coupler")
        assert soundfile.info(folder / entry["file"]).frames == entry["repeats"] * sweep_fs.size
        assert soundfile.info(folder / entry["file"]).subtype == "PCM_24"
    assert {p.name for p in folder.iterdir()} == {r["file"] for r in case["recording"]} | {
        "case.toml",
        "truth.json",
        "sweep.wav",
    }


def test_same_scenario_same_bytes(tmp_path):
    first, second = (write_case(tmp_path / name, random_scenario(4)) for name in ("a", "b"))
    for file in first.iterdir():
        assert file.read_bytes() == (second / file.name).read_bytes(), file.name
    other = write_case(tmp_path / "c", replace(random_scenario(4), seed=5))
    assert (other / "right-ear.wav").read_bytes() != (first / "right-ear.wav").read_bytes()


def test_a_folder_with_something_in_it_is_left_alone(tmp_path):
    taken = tmp_path / "case"
    taken.mkdir()
    (taken / "note.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="something is there already"):
        write_case(taken, quiet(5))
    assert [p.name for p in tmp_path.rglob("*")] == ["case", "note.txt"]
    file = tmp_path / "file"
    file.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="something is there already"):
        write_case(file, quiet(5))


def test_a_place_that_cannot_be_written_to(tmp_path):
    file = tmp_path / "file"
    file.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="its place cannot be written to"):
        write_case(file / "case", quiet(5))


def test_an_empty_folder_is_filled_and_a_failure_leaves_nothing(tmp_path, monkeypatch):
    empty = tmp_path / "deep" / "case"
    empty.mkdir(parents=True)
    assert (write_case(empty, quiet(6)) / "case.toml").exists()

    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("umbo.sim._case_folder.case_truth", full)
    with pytest.raises(InputError, match="No space left"):
        write_case(tmp_path / "other", quiet(6))
    assert sorted(p.name for p in tmp_path.iterdir()) == ["deep"]


def error_db(tmp_path, fault):
    folder = write_case(tmp_path / "case", quiet(7, faults={Ear.RIGHT: (fault,)}))
    _, truth = read_case(folder)
    assert [f["name"] for f in truth["ears"]["right"]["faults"]] == [str(fault)]
    return folder, recd_db(folder) - np.array(truth["ears"]["right"]["recd"]["ha1"]["recd_db"])


def test_leak_lowers_low_frequencies(tmp_path):
    _, error = error_db(tmp_path, Fault.LEAK)
    assert error[0] < -6.0
    assert np.all(np.abs(error[50:70]) < 1.5)


def test_shallow_probe_lowers_high_frequencies_and_hides_its_place(tmp_path):
    folder, error = error_db(tmp_path, Fault.SHALLOW_PROBE)
    assert np.all(np.abs(error[:30]) < 0.6)
    assert np.min(error[60:]) < -5.0
    assert "tip_to_drum_mm" not in read_case(folder)[0]["ear"]["right"]


def test_blocked_probe_lowers_everything(tmp_path):
    _, error = error_db(tmp_path, Fault.BLOCKED_PROBE)
    assert np.all(error < -14.0)
    assert error[60] < error[10] - 6.0


def test_wrong_coupler_label_is_off_by_the_step_between_couplers(tmp_path):
    _, error = error_db(tmp_path, Fault.WRONG_COUPLER_LABEL)
    assert np.mean(error[40:60]) == pytest.approx(-14.0, abs=1.5)


def test_swapped_files_turn_the_sign(tmp_path):
    folder, _ = error_db(tmp_path, Fault.SWAPPED_FILES)
    _, truth = read_case(folder)
    expected = np.array(truth["ears"]["right"]["recd"]["ha1"]["recd_probe_tip_db"])
    assert recd_db(folder)[:70] == pytest.approx(-expected[:70], abs=0.1)


def test_clipped_ear_recording_has_a_flat_top(tmp_path):
    folder, _ = error_db(tmp_path, Fault.CLIPPED)
    samples, _ = recorded_fs(folder, read_case(folder)[0], "right ear")
    assert np.sum(np.abs(samples) >= np.max(np.abs(samples)) * (1 - 1e-9)) > 100


def test_disagreeing_repeats(tmp_path):
    folder, _ = error_db(tmp_path, Fault.DISAGREEING_REPEATS)
    samples, entry = recorded_fs(folder, read_case(folder)[0], "right ear")
    periods = samples.reshape(entry["repeats"], -1)
    rms = np.std(periods, axis=1)
    assert np.std(periods[0] - periods[1]) < 1e-6 * rms[0] + 1e-6
    assert np.std(periods[1] - periods[2]) > 0.2 * rms[0]


def test_noisy_ear(tmp_path):
    residuals = []
    for name, faults in (("a", {}), ("b", {Ear.RIGHT: (Fault.NOISY,)})):
        folder = write_case(tmp_path / name, random_scenario(7, age_months=36.0, faults=faults))
        samples, _ = recorded_fs(folder, read_case(folder)[0], "right ear")
        periods = samples.reshape(4, -1)
        residuals.append(np.std(periods[0] - periods[1]))
    assert 20 * np.log10(residuals[1] / residuals[0]) == pytest.approx(35.0, abs=0.5)


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demonstration case with short speech."""
    scenario = replace(demo_scenario(), speech_s=4.0)
    return write_case(tmp_path_factory.mktemp("demo") / "case", scenario), scenario


def test_demo_case_is_the_one_described(demo):
    folder, _ = demo
    case, truth = read_case(folder)
    assert case["client"]["age_months"] == 27.0
    assert set(case["ear"]) == {"right", "left"}
    kinds = [
        (r["source"], r["place"], r.get("coupler"), r["stimulus"]) for r in case["recording"] if r["ear"] == "left"
    ]
    assert ("insert", "probe_tip", None, "sweep") in kinds
    for coupler in ("ha1", "cc04"):
        assert ("insert", "coupler", coupler, "sweep") in kinds
        for stimulus in ("speech_55", "speech_65", "speech_75", "sweep_maximum"):
            assert ("aid", "coupler", coupler, stimulus) in kinds
    assert case["stimulus"]["speech_55"]["level_db_spl"] == 55.0
    assert case["stimulus"]["sweep_maximum"]["level_db_spl"] == 90.0
    assert [f["name"] for f in truth["ears"]["left"]["faults"]] == ["shallow_probe"]
    assert truth["ears"]["left"]["probe_to_drum_mm"] > 9.0
    assert truth["ears"]["right"]["probe_to_drum_mm"] < 5.0
    assert truth["ears"]["right"]["faults"] == []


def third_octave_db(band_db, frequency_hz, centre_hz):
    """Sum of the twelfth-octaves inside a third-octave, outer ones by half."""
    power = np.convolve(10 ** (np.array(band_db) / 10), [0.5, 1, 1, 1, 0.5], "same")
    return 10 * np.log10(power[int(np.argmin(np.abs(np.log(np.array(frequency_hz) / centre_hz))))])


def test_demo_aids_meet_their_targets_at_the_true_eardrum(demo):
    folder, _ = demo
    case, truth = read_case(folder)
    for target in case["target"]:
        run = next(r for r in truth["ears"][target["ear"]]["speech"] if r["level_db_spl"] == target["level_db_spl"])
        for frequency_hz, level_db in zip(target["frequency_hz"], target["level_db"], strict=True):
            found = third_octave_db(run["eardrum"]["signal_db_spl"], truth["frequency_hz"], frequency_hz)
            assert found == pytest.approx(level_db, abs=4.0), (target["name"], frequency_hz)


def test_demo_recordings_hold_the_true_coupler_levels(demo):
    folder, _ = demo
    case, truth = read_case(folder)
    chain = truth["calibration"]["coupler_mic"]
    for coupler in ("ha1", "cc04"):
        samples, entry = recorded_fs(folder, case, f"right aid {coupler} speech 65")
        pressure = samples.reshape(entry["repeats"], -1) * chain["true_pa_per_full_scale"]
        run = truth["ears"]["right"]["speech"][1]["coupler"][coupler]
        bins_hz = np.fft.rfftfreq(pressure.shape[1], 1 / 48000)
        scale = 2 / pressure.shape[1] ** 2
        total = np.mean(np.abs(np.fft.rfft(pressure)) ** 2, axis=0) * scale
        noise = np.abs(np.fft.rfft((pressure[0] - pressure[1]) / np.sqrt(2))) ** 2 * scale
        for k in (20, 36, 48, 60, 68):
            inside = np.abs(np.log10(bins_hz[1:] / truth["frequency_hz"][k])) <= 1 / 80
            noise_db, total_db = (10 * np.log10(np.sum(p[1:][inside]) / 4e-10) for p in (noise, total))
            expected = 10 * np.log10(10 ** (run["signal_db_spl"][k] / 10) + 10 ** (run["noise_db_spl"][k] / 10))
            assert noise_db == pytest.approx(run["noise_db_spl"][k], abs=1.5)
            assert total_db == pytest.approx(expected, abs=0.3)


def test_demo_maximum_output_of_the_sweep_is_near_that_of_tones(demo):
    folder, _ = demo
    case, truth = read_case(folder)
    stimulus, _ = soundfile.read(folder / "sweep.wav")
    true_error_db = truth["calibration"]["coupler_mic"]["true_error_db"]
    for side in ("right", "left"):
        maximum = truth["ears"][side]["maximum_output"]
        for coupler in ("ha1", "cc04"):
            gain_db = response_db(folder, case, f"{side} aid {coupler} sweep 90", truth["frequency_hz"])
            # 90 dB is the level of a tone of the sweep's amplitude
            levels = 90.0 + gain_db - 20 * np.log10(2e-5 * 10 ** (90 / 20) * np.sqrt(2) / np.max(np.abs(stimulus)))
            limited = np.array(maximum["limited"])
            limited[:12] = limited[73:] = False
            assert np.sum(limited) > 15
            error_db = levels[limited] + true_error_db - np.array(maximum["coupler_db_spl"][coupler])[limited]
            # gains still move while a one-second sweep passes: up to 2 dB from steady tones
            assert np.max(np.abs(error_db)) < 2.5
            assert abs(np.median(error_db)) < 0.75


def discomfort_at_drum_db(case, truth, side, frequency_hz):
    """Dial level plus HA-1 reference level plus true RECD."""
    dial = dict(
        zip(case["ear"][side]["discomfort"]["frequency_hz"], case["ear"][side]["discomfort"]["level_db"], strict=True)
    )
    reference = {500.0: 6.0, 1000.0: 0.0, 2000.0: 2.5, 4000.0: 0.0}  # ISO 389-2, HA-1, from memory
    k = int(np.argmin(np.abs(np.array(truth["frequency_hz"]) - frequency_hz)))
    recd = truth["ears"][side]["recd"]["ha1"]["recd_db"][k]
    return dial[frequency_hz] + reference[frequency_hz] + recd, truth["ears"][side]["maximum_output"]["eardrum_db_spl"][
        k
    ]


def test_demo_output_stays_below_discomfort_and_the_fault_lifts_it_above(demo, tmp_path):
    folder, scenario = demo
    case, truth = read_case(folder)
    for side in ("right", "left"):
        for frequency_hz in (500.0, 1000.0, 2000.0, 4000.0):
            limit, output = discomfort_at_drum_db(case, truth, side, frequency_hz)
            assert output < limit - 3.0
    loud = replace(
        scenario,
        ears=(replace(scenario.ears[0], faults=(Fault.HIGH_OUTPUT,)),),
        speech_levels_db_spl=(),
        couplers=(CouplerKind.HA1,),
    )
    stated = tuple(zip((500.0, 1000.0, 2000.0, 4000.0), (83.0, 88.0, 88.0, 88.0), strict=True))
    assert loud.ears[0].discomfort_in_force == stated
    case, truth = read_case(write_case(tmp_path / "loud", loud))
    pairs = [discomfort_at_drum_db(case, truth, "right", f) for f in (500.0, 1000.0, 2000.0, 4000.0)]
    assert any(output > limit + 2.0 for limit, output in pairs)


def test_scenarios_that_make_no_case_are_refused():
    entry = demo_scenario().ears[0]
    with pytest.raises(InputError, match="ears are missing"):
        Scenario(name="none", seed=1, age_months=27.0, ears=())
    with pytest.raises(InputError, match="ears are right, right"):
        Scenario(name="twice", seed=1, age_months=27.0, ears=(entry, entry))
    with pytest.raises(InputError, match="other signs"):
        Scenario(name="a/b", seed=1, age_months=27.0, ears=(entry,))


def test_random_scenario_with_an_aid(tmp_path):
    scenario = replace(
        random_scenario(8, age_months=480.0, with_aid=True, couplers=(CouplerKind.HA1,)),
        speech_s=2.0,
        speech_levels_db_spl=(65.0,),
    )
    case, truth = read_case(write_case(tmp_path / "case", scenario))
    assert [r["source"] for r in case["recording"]].count(str(Source.AID)) == 2
    assert len(truth["ears"]["right"]["speech"]) == 1
