"""Prescriptions chosen in a case: which targets come of them, what is said, and what stands in the answer."""

import json

import pytest
from case_builder import append
from curve_case import HZ, numbers, s1_case

from umbo.interchange import open_case
from umbo.prescription import METHODS
from umbo.record import verify_answer
from umbo.session import run

DISCOMFORT = (
    '[ear.right.discomfort]\nscale = "HL"\ntransducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"\n'
    f"frequency_hz = {numbers(HZ)}\nlevel_db = [95, 100, 100, 105]\n\n[ear.right.fitting]"
)


def right(folder):
    case = open_case(folder)
    return run(case.plan, case).ears["right"]


def s1_by(folder, key, *changes):
    """S1 with a prescription in place of the imported speech target."""
    s1_case(folder, changes=(('prescription = "none"', f'prescription = "{key}"'), *changes))
    path = folder / "case.toml"
    text = path.read_text()
    start, stop = text.index('[[target]]\nname = "speech 65"'), text.index('[[target]]\nname = "limit"')
    path.write_text(text[:start] + text[stop:])
    return folder


@pytest.mark.parametrize("key", list(METHODS))
def test_every_prescription_can_be_chosen(key, tmp_path):
    ear = right(s1_by(tmp_path / "s1", key, ("[ear.right.fitting]", DISCOMFORT)))
    made = [target for target in ear.targets if target.input_db_spl is not None]
    assert [target.input_db_spl for target in made] == [55.0, 65.0, 75.0]
    assert all(target.method == METHODS[key].method for target in made)
    assert ear.speech[0].deviation is not None
    codes = [finding.code for finding in ear.findings]
    assert ("insertion_gain_for_child" in codes) == METHODS[key].is_insertion_gain  # the baby is three months old
    assert ("prescription_from_memory" in codes) == METHODS[key].is_from_memory


def test_a_prescription_that_lacks_something_says_so(tmp_path):
    ear = right(s1_by(tmp_path / "s1", "dsl_io_1995"))
    assert all(target.input_db_spl is None for target in ear.targets)
    (said,) = [finding for finding in ear.findings if finding.code == "nothing_prescribed"]
    assert said.text == (
        "No speech target was prescribed (prescribe aided levels by the DSL[i/o] core mapping): no discomfort level is "
        "known at the eardrum, and the method needs one."
    )
    assert said.action == "Measure discomfort levels."


def test_an_imported_target_from_a_json_file_says_what_made_it(tmp_path):
    folder = s1_by(tmp_path / "s1", "none")
    said = {
        "method": "invented rule",
        "version": "5.1",
        "options": "child, quiet",
        "kind": "speech",
        "level_db_spl": 65,
        "frequency_hz": list(HZ),
        "level_db": [78, 83, 90, 96],
    }
    (folder / "targets.json").write_text(json.dumps(said))
    append(
        folder,
        '\n[[target]]\nname = "ours"\near = "right"\nmethod = "invented rule"\nversion = "5.1"\n'
        'options = "child, quiet"\nkind = "speech"\nlevel_db_spl = 65.0\nfile = "targets.json"\n',
    )
    case = open_case(folder)
    answer = verify_answer(run(case.plan, case))
    (target,) = [t for t in answer.ears["right"].targets if t.input_db_spl == 65.0]
    assert target.method == "invented rule, 5.1, child, quiet"
    assert target.at_eardrum.level_db == [78, 83, 90, 96]
