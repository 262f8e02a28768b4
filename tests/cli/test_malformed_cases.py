"""Every malformed case: exit status 2, one sentence on standard error, nothing on standard output, nothing written."""

import pytest
from case_builder import build_case, fingerprint
from malformed import MALFORMED


def test_there_are_enough_of_them():
    assert len(MALFORMED) >= 40


@pytest.mark.parametrize("bad", MALFORMED, ids=lambda bad: bad.name.replace(" ", "-"))
def test_a_malformed_case_is_one_sentence(bad, tmp_path, umbo):
    case = build_case(tmp_path / "case")
    bad.mutate(case)
    before = fingerprint(case)
    status, out, err = umbo("verify", case, "--json", "--out", tmp_path / "answer")
    assert status == 2, err
    assert out == ""
    assert err.endswith(".\n")
    assert err.count("\n") == 1
    assert "Traceback" not in err
    assert fingerprint(case) == before
    assert not (tmp_path / "answer").exists()
