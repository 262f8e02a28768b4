"""Keys of vents, of the aid's delay and of the aid's state in a case: what arrives and what is refused."""

import pytest

from umbo.errors import CaseError
from umbo.interchange import open_case

CASE = """
schema = 1
id = "vent"
[client]
code = "K-1"
age_months = 30
[ear.left]
middle_ear = "normal"
[ear.left.fitting]
{fitting}
[stimulus.sweep]
kind = "exponential_sweep"
start_hz = 80.0
stop_hz = 16000.0
[[curve]]
name = "in the ear"
file = "ear.csv"
stimulus = "sweep"
ear = "left"
place = "{place}"
coupling = "mould"
source = "{source}"
{state}
"""


def written(folder, *, fitting="", place="probe_tip", source="aid", state=""):
    coupler = '\ncoupler = "ha1"' if place == "coupler" else ""
    text = CASE.format(fitting=fitting, place=place, source=source, state=state + coupler)
    (folder / "case.toml").write_text(text)
    plane = "coupler:ha1" if coupler else place
    (folder / "ear.csv").write_text(f"# plane: {plane}\nfrequency_hz,level_db\n500,60\n1000,61\n2000,62\n")
    return folder


def refusal(folder):
    with pytest.raises(CaseError) as refused:
        open_case(folder)
    sentence = str(refused.value)
    assert "\n" not in sentence
    return sentence


def test_a_vent_arrives_in_metres(tmp_path):
    fitting = 'venting = "vented"\nvent_diameter_mm = 2.0\nvent_length_mm = 18.0\naid_delay_ms = 6.0'
    ear = open_case(written(tmp_path, fitting=fitting)).plan.ears["left"]
    assert (ear.vent.diameter_m, ear.vent.length_m) == pytest.approx((2e-3, 18e-3))
    assert ear.aid_delay_s == pytest.approx(6e-3)


@pytest.mark.parametrize("state", ["on", "muted", "removed"])
def test_the_state_of_the_aid_arrives(tmp_path, state):
    assert open_case(written(tmp_path, state=f'aid = "{state}"')).plan.curves[0].aid == state


def test_left_out_there_is_no_vent_and_the_aid_is_on(tmp_path):
    plan = open_case(written(tmp_path)).plan
    assert (plan.ears["left"].vent, plan.ears["left"].aid_delay_s, plan.curves[0].aid) == (None, None, "on")


@pytest.mark.parametrize(
    ("fitting", "sentence"),
    [
        ("vent_diameter_mm = 2.0\nvent_length_mm = 18.0", "vent_diameter_mm is given although venting is 'closed'"),
        ('venting = "open"\nvent_length_mm = 18.0', "vent_length_mm is given although venting is 'open'"),
        ('venting = "vented"\nvent_diameter_mm = 2.0', "vent_length_mm is missing although vent_diameter_mm is given"),
        ('venting = "vented"\nvent_diameter_mm = 0.0\nvent_length_mm = 18.0', "vent_diameter_mm"),
        ('venting = "vented"\nvent_diameter_mm = 2.0\nvent_length_mm = 50.0', "vent_length_mm"),
        ("aid_delay_ms = -1.0", "aid_delay_ms"),
    ],
)
def test_a_vent_that_cannot_be_is_refused(tmp_path, fitting, sentence):
    assert sentence in refusal(written(tmp_path, fitting=fitting))


@pytest.mark.parametrize(
    ("keys", "sentence"),
    [
        ({"source": "insert", "state": 'aid = "muted"'}, "is 'muted' although the source is 'insert'"),
        ({"place": "coupler", "state": 'aid = "removed"'}, "is 'removed' although place is 'coupler'"),
        ({"state": 'aid = "off"'}, "aid"),
    ],
)
def test_a_state_that_cannot_be_is_refused(tmp_path, keys, sentence):
    assert sentence in refusal(written(tmp_path, **keys))
