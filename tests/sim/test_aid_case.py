"""Aid-test cases: what the folder says, what the recordings hold, and what the truth file promises."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from umbo.core import CouplerKind, Ear
from umbo.errors import InputError
from umbo.sim import AidEar, AidFault, AidScenario, school_aid, school_scenario, write_aid_case

RATE_HZ = 48000
TESTS = {
    "output_90",
    "full_on_gain",
    "reference_response",
    "distortion",
    "input_noise",
    "input_output",
    "attack_release",
    "speech",
    "noise",
    "front",
    "back",
    "telecoil",
    "remote_microphone",
    "lowering_off",
    "lowering_on",
    "expansion",
}
DATA_SHEET = {"output_90", "full_on_gain", "reference_response", "distortion", "input_noise"}


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


def small_scenario(**changes):
    base = school_scenario(couplers=(CouplerKind.HA1, CouplerKind.CC04))
    return replace(base, speech_levels_db_spl=(65.0,), speech_s=8.0, noise_s=12.0, **changes)


@pytest.fixture(scope="module")
def school(tmp_path_factory):
    return Written(write_aid_case(tmp_path_factory.mktemp("aid") / "school", small_scenario()))


@pytest.fixture(scope="module")
def right(school):
    return school.truth["ears"]["right"]


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


def test_every_test_is_there_and_every_file(school):
    assert {entry.get("test") for entry in school.case["recording"]} == TESTS | {"check_source"}
    second = {entry["test"] for entry in school.entries(coupler="cc04")}
    assert second == DATA_SHEET
    for entry in school.case["recording"]:
        stimulus = school.case["stimulus"][entry["stimulus"]]
        if entry["test"] != "check_source":
            assert entry["settings"] in school.case["settings"]
        recorded = soundfile.info(school.folder / entry["file"])
        if "file" in stimulus:
            played = soundfile.info(school.folder / stimulus["file"])
            assert recorded.frames == entry["repeats"] * played.frames
        else:
            assert stimulus["kind"] == "silence"
    names = [entry["name"] for entry in school.case["recording"]]
    assert len(set(names)) == len(names)
    files = [entry["file"] for entry in school.case["recording"]]
    assert len(set(files)) == len(files)


def test_no_file_is_left_over(school):
    named = {entry["file"] for entry in school.case["recording"]}
    named |= {entry["file"] for entry in school.case["stimulus"].values() if "file" in entry}
    assert {path.name for path in school.folder.iterdir()} == named | {"case.toml", "truth.json"}


def test_settings_say_what_is_on(school):
    settings = school.case["settings"]
    assert settings["full_on"]["volume"] == "full_on"
    assert set(settings["reference"]["features"].values()) == {"off"}
    assert settings["dynamic"]["features"]["compression"] == "on"
    for name, feature in (
        ("fitted_noise_reduction", "noise_reduction"),
        ("fitted_directional", "directional"),
        ("fitted_lowering", "frequency_lowering"),
    ):
        changed = {
            key for key, value in settings[name]["features"].items() if settings["fitted"]["features"][key] != value
        }
        assert changed == {feature}


def test_nothing_is_clipped(school):
    for entry in school.case["recording"]:
        samples, _ = soundfile.read(school.folder / entry["file"])
        assert np.max(np.abs(samples)) < 0.999, entry["name"]


def test_level_steps_and_tones_carry_their_levels(school):
    steps = school.case["stimulus"]["steps_2000"]
    assert steps == {
        "kind": "level_steps",
        "file": "steps-2000.wav",
        "frequency_hz": 2000.0,
        "levels_db_spl": [55.0, 90.0, 55.0],
        "step_s": 1.0,
    }
    assert school.case["stimulus"]["distortion_tones"]["frequency_hz"] == [500.0, 800.0, 1600.0]
    assert "level_db_spl" not in school.case["stimulus"]["coil_sweep"]
    assert school.case["stimulus"]["coil_sweep"]["field_a_per_m"] == 0.0316


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


def test_weak_receiver_is_low_in_everything_and_draws_more(school):
    good, weak = (school.truth["ears"][ear]["data_sheet"]["ha1"] for ear in ("right", "left"))
    # 5 dB; more distortion adds a little to the fundamental at the ceiling
    assert 2.0 < good["ospl90"]["hfa_db_spl"] - weak["ospl90"]["hfa_db_spl"] < 5.1
    assert good["full_on_gain"]["hfa_db"] - weak["full_on_gain"]["hfa_db"] == pytest.approx(5.0, abs=0.3)
    assert weak["distortion"]["total_percent"][0] > 2 * good["distortion"]["total_percent"][0]
    entered = school.case["entered"]
    assert entered["left"]["battery_current_ma"] == pytest.approx(1.25 * entered["right"]["battery_current_ma"])
    assert {fault["name"] for fault in school.truth["ears"]["left"]["faults"]} == {
        "weak_receiver",
        "noisy_microphone",
        "swapped_ports",
    }


def test_data_sheet_is_that_of_the_sound_aid(school, right):
    sheet, truth = school.case["data_sheet"], right["data_sheet"]["ha1"]
    assert sheet["hfa_ospl90_db_spl"] == pytest.approx(truth["ospl90"]["hfa_db_spl"], abs=0.5)
    assert sheet["hfa_full_on_gain_db"] == pytest.approx(truth["full_on_gain"]["hfa_db"], abs=0.5)
    assert sheet["coupler"] == "ha1"
    place = sheet["response"]["frequency_hz"].index(1000.0)
    assert sheet["response"]["gain_db"][place] == pytest.approx(truth["response"]["gain_db"][36], abs=0.25)


@pytest.mark.parametrize("fault", list(AidFault))
def test_faults_leave_their_mark_and_nothing_else(fault, tmp_path):
    sound, faulty = (
        Written(
            write_aid_case(
                tmp_path / name,
                AidScenario(
                    name=name,
                    seed=3,
                    ears=(AidEar(side=Ear.LEFT, aid=school_aid(), faults=faults),),
                    tests=("output_90",),
                    speech_s=1.0,
                    noise_s=1.0,
                    with_data_sheet=False,
                ),
            )
        ).truth["ears"]["left"]
        for name, faults in (("sound", ()), ("faulty", (fault,)))
    )
    before, after = (entry["data_sheet"]["ha1"] for entry in (sound, faulty))
    output_db = after["ospl90"]["hfa_db_spl"] - before["ospl90"]["hfa_db_spl"]
    gain_db = after["full_on_gain"]["hfa_db"] - before["full_on_gain"]["hfa_db"]
    noise_db = after["input_noise"]["equivalent_db_spl"] - before["input_noise"]["equivalent_db_spl"]
    current = faulty["battery_current_ma"] / sound["battery_current_ma"]
    weak = fault is AidFault.WEAK_RECEIVER
    assert (output_db < -2.0) is weak
    assert current == pytest.approx(1.25 if weak else 1.0)
    expected_gain_db = {AidFault.WEAK_RECEIVER: -5.0, AidFault.BLOCKED_MICROPHONE: -10.0}.get(fault, 0.0)
    assert gain_db == pytest.approx(expected_gain_db, abs=0.3)
    expected_noise_db = {AidFault.NOISY_MICROPHONE: 8.0, AidFault.BLOCKED_MICROPHONE: 10.0}.get(fault, 0.0)
    assert noise_db == pytest.approx(expected_noise_db, abs=0.5)


def test_same_scenario_same_bytes(tmp_path):
    scenario = AidScenario(
        name="twice",
        seed=5,
        ears=(AidEar(side=Ear.RIGHT, aid=school_aid()),),
        tests=("output_90", "input_noise", "speech"),
        speech_s=1.0,
        noise_s=1.0,
    )
    first, second = (write_aid_case(tmp_path / name, scenario) for name in ("one", "two"))
    names = sorted(path.name for path in first.iterdir())
    assert names == sorted(path.name for path in second.iterdir())
    for name in names:
        assert (first / name).read_bytes() == (second / name).read_bytes()


def test_an_aid_without_features_is_not_tested_for_them(tmp_path):
    plain = replace(
        school_aid(), expansion=None, noise_reduction=None, lowering=None, telecoil=None, remote_microphone=None
    )
    scenario = AidScenario(
        name="plain",
        seed=1,
        ears=(AidEar(side=Ear.RIGHT, aid=plain),),
        speech_levels_db_spl=(),
        tests=("output_90", "expansion", "noise", "telecoil", "remote_microphone", "lowering_on"),
        with_data_sheet=False,
    )
    written = Written(write_aid_case(tmp_path / "plain", scenario))
    assert {entry["test"] for entry in written.case["recording"]} == {"output_90", "check_source"}
    assert "data_sheet" not in written.case
    assert "noise_reduction" not in written.truth["ears"]["right"]["features"]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"ears": ()}, "its sides are missing"),
        ({"couplers": (CouplerKind.HA1, CouplerKind.HA1)}, "name one or more different couplers"),
        ({"tests": ("loudness",)}, "the bench has no test 'loudness'"),
        ({"name": "a b"}, "other signs than letters"),
    ],
)
def test_scenarios_that_cannot_be_are_refused(changes, sentence):
    with pytest.raises(InputError, match=sentence):
        replace(school_scenario(), **changes)


def test_aids_that_cannot_be_are_refused():
    with pytest.raises(InputError, match="a volume of 3 dB"):
        AidEar(side=Ear.LEFT, aid=school_aid(), fitted_db=3.0)


def test_a_place_that_is_taken_is_refused(tmp_path):
    (tmp_path / "note.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="something is there already"):
        write_aid_case(tmp_path, school_scenario())
