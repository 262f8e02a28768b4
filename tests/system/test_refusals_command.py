"""What the tool must refuse or never do silently, through the command; the rest stands in test_scenario_s1_command."""

import json
import sys

import pytest
from curve_case import numbers, s1_case

from umbo.cli import main


@pytest.fixture
def verify(monkeypatch, capsys):
    def run(folder):
        monkeypatch.setattr(sys, "argv", ["umbo", "verify", str(folder), "--json"])
        with pytest.raises(SystemExit) as stop:
            main()
        out, err = capsys.readouterr()
        return stop.value.code or 0, json.loads(out) if out else None, err

    return run


def test_thresholds_without_a_transducer_are_not_converted(verify, tmp_path):
    status, answer, err = verify(s1_case(tmp_path / "s1", changes=(('transducer = "insert"\n', ""),)))
    assert (status, answer) == (2, None)
    assert "transducer" in err


def test_no_response_is_a_bound_and_never_a_threshold(verify, tmp_path):
    flags = "\nno_response = [false, false, false, true]"
    changed = ((f"level_db = {numbers((60, 65, 65, 65))}", f"level_db = {numbers((60, 65, 65, 65))}{flags}"),)
    _, answer, _ = verify(s1_case(tmp_path / "s1", changes=changed))
    thresholds = answer["ears"]["right"]["thresholds"]
    assert thresholds["no_response"] == [False, False, False, True]
    assert thresholds["at_eardrum"]["state"][-1] == "withdrawn"
    assert answer["ears"]["right"]["speech"][0]["sensation_level"]["state"][-1] == "withdrawn"


def test_noise_is_not_shown_as_a_measurement(verify, tmp_path):
    folder = s1_case(tmp_path / "s1")
    speech = folder / "speech65.csv"
    speech.write_text(speech.read_text().replace("4000,66,0.3,10", "4000,66,0.3,62"))
    _, answer, _ = verify(folder)
    ear = answer["ears"]["right"]
    assert ear["speech"][0]["deviation"]["state"][-1] == "below_noise"
    match = next(j for j in ear["verdict"]["judgements"] if j["criterion"] == "match_65")
    assert match["points"][-1]["outcome"] == "cannot_tell"


def test_a_2cc_curve_ends_at_8_khz(verify, tmp_path):
    _, answer, _ = verify(s1_case(tmp_path / "s1"))
    recd = answer["ears"]["right"]["recds"][0]
    above = [s for f, s in zip(recd["frequency_hz"], recd["state"], strict=True) if f > 8100]
    assert set(above) == {"outside_coupler"}
    assert recd["trusted_max_hz"] <= 8000


def test_the_source_of_the_recd_is_never_hidden(verify, tmp_path):
    _, answer, _ = verify(s1_case(tmp_path / "s1"))
    ear = answer["ears"]["right"]
    assert ear["recd_used"] == "2 cc coupler HA-1"
    assert (ear["recds"][0]["source"], ear["recds"][0]["coupling"]) == ("insert", "foam_tip")
    assert "foam_recd_for_mould" in [finding["code"] for finding in ear["findings"]]


def test_no_audibility_index_with_frequency_lowering(verify, tmp_path):
    changed = (('prescription = "none"', 'prescription = "none"\nfrequency_lowering = true'),)
    _, answer, _ = verify(s1_case(tmp_path / "s1", changes=changed))
    assert "frequency_lowering" in [finding["code"] for finding in answer["ears"]["right"]["findings"]]
    assert "sii" not in json.dumps(answer).lower().replace("transmission", "")
