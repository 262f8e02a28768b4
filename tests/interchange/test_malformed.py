"""Every malformed case gives one sentence that names what is wrong, and leaves the folder as it was."""

from __future__ import annotations

import pytest
from case_builder import build_case, fingerprint
from malformed import MALFORMED

from umbo.errors import CaseError, RecordingError
from umbo.interchange import open_case


def read_everything(folder):
    case = open_case(folder)
    for name, stimulus in case.plan.stimuli.items():
        if stimulus.has_file:
            case.stimulus(name)
    for take in case.plan.takes:
        case.take(take.name)
    return case


@pytest.mark.parametrize("bad", MALFORMED, ids=lambda bad: bad.name.replace(" ", "-"))
def test_one_sentence(bad, tmp_path):
    folder = build_case(tmp_path / "case")
    bad.mutate(folder)
    before = fingerprint(tmp_path)

    with pytest.raises((CaseError, RecordingError)) as caught:
        read_everything(folder)

    sentence = str(caught.value)
    assert len(sentence.splitlines()) == 1
    assert sentence.isprintable()
    assert sentence.endswith(".")
    assert not sentence.endswith("..")
    assert len(sentence) < 500
    assert caught.value.exit_status == 2
    for name in bad.names:
        assert name in sentence
    assert fingerprint(tmp_path) == before


def test_the_list_is_long_and_its_names_differ():
    names = [bad.name for bad in MALFORMED]
    assert len(names) >= 45
    assert len(set(names)) == len(names)


def test_the_case_that_is_spoilt_is_right(tmp_path):
    folder = build_case(tmp_path / "case")
    before = fingerprint(tmp_path)
    case = read_everything(folder)
    assert [take.name for take in case.plan.takes] == ["coupler sweep", "ear sweep"]
    assert fingerprint(tmp_path) == before


def test_no_such_folder(tmp_path):
    with pytest.raises(CaseError, match="no such folder"):
        open_case(tmp_path / "nothing")


def test_the_file_in_place_of_the_folder(tmp_path):
    folder = build_case(tmp_path / "case")
    with pytest.raises(CaseError, match="a file and not a folder"):
        open_case(folder / "case.toml")


def test_a_path_that_cannot_exist():
    with pytest.raises(CaseError, match="no such folder"):
        open_case("a\0b")


def test_an_unknown_recording_is_named(tmp_path):
    case = open_case(build_case(tmp_path / "case"))
    with pytest.raises(RecordingError, match=r"'eer sweep'.*it has: coupler sweep, ear sweep"):
        case.take("eer sweep")
    with pytest.raises(RecordingError, match=r"'seep'.*it has: sweep"):
        case.stimulus("seep")


def test_a_file_that_changes_after_opening_is_refused(tmp_path):
    folder = build_case(tmp_path / "case")
    case = open_case(folder)
    content = (folder / "ear.wav").read_bytes()
    (folder / "ear.wav").write_bytes(content[: len(content) // 2])
    with pytest.raises(RecordingError, match="cut off"):
        case.take("ear sweep")
