"""Faults of a schoolgirl's aid, planted on the bench, are named from its data sheet."""

from dataclasses import replace

import pytest
from aid_bench import SHEET

from umbo.core import Ear, Outcome
from umbo.interchange import open_case
from umbo.session import run_aid
from umbo.sim import AidEar, AidFault, AidScenario, school_aid, write_aid_case


def judged(folder, *faults, receiver_db=0.0):
    """The left aid with faults against the sheet of the sound right one."""
    aid = school_aid()
    scenario = AidScenario(
        name="faults",
        seed=21,
        ears=(
            AidEar(side=Ear.RIGHT, aid=aid),
            AidEar(side=Ear.LEFT, aid=replace(aid, receiver_db=receiver_db), faults=faults),
        ),
        tests=SHEET,
        speech_s=5.0,
        noise_s=12.0,
    )
    case = open_case(write_aid_case(folder, scenario))
    left = next(aid for aid in run_aid(case.plan, case, ears=[Ear.LEFT]).aids)
    return left.sheet


@pytest.mark.parametrize(
    ("fault", "code", "words"),
    [
        (AidFault.WEAK_RECEIVER, "receiver", "Do not fine-tune"),
        (AidFault.BLOCKED_MICROPHONE, "microphone_port", "Clean the microphone port"),
        (AidFault.NOISY_MICROPHONE, "microphone_noise", "Compare the settings"),
    ],
    ids=str,
)
def test_the_fault_is_named(fault, code, words, tmp_path):
    sheet = judged(tmp_path / "case", fault)
    assert sheet.outcome is Outcome.FAIL
    assert sheet.reasons[0].code.startswith(code)
    assert words in sheet.reasons[0].action


def test_a_receiver_that_only_got_softer_is_wax_or_the_receiver(tmp_path):
    sheet = judged(tmp_path / "case", receiver_db=-8.0)
    assert [reason.code for reason in sheet.reasons] == ["receiver_or_wax"]
    assert "wax filter" in sheet.reasons[0].action


def test_a_sound_aid_has_no_reason(tmp_path):
    sheet = judged(tmp_path / "case")
    assert sheet.outcome is Outcome.PASS
    assert sheet.reasons == ()
