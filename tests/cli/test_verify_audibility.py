"""Audibility and the picture of ``umbo verify``, as a user meets them."""

import json

import pytest
from heard_case import heard_case


@pytest.fixture
def corner(tmp_path):
    return heard_case(tmp_path / "s6", silent=(2000, 4000))


def test_the_index_is_printed_with_interval_unaided_and_bandwidth(umbo, corner):
    status, out, err = umbo("verify", corner)
    assert (status, err) == (1, "")
    assert "no percentage of words" in out
    row = next(line.split("  ") for line in out.splitlines() if line.strip().startswith("65 dB"))
    cells = [cell.strip() for cell in row if cell.strip()]
    _, text, _ = umbo("verify", corner, "--json")
    found = json.loads(text)["ears"]["right"]["speech"][0]["audibility"]
    low, high = found["index"]["interval"]
    upper = found["index"]["bounds"][1]
    assert cells == [
        "65 dB", f"{found['index']['sii']:.2f} ({low:.2f} to {high:.2f}), up to {upper:.2f}",
        f"{found['unaided']['sii']:.2f}", "at most 1.2 kHz (average)",
    ]  # fmt: skip


def test_no_index_with_lowering_but_the_reason(umbo, tmp_path):
    folder = heard_case(tmp_path / "s6", silent=(2000, 4000), fitting="frequency_lowering = true")
    _, out, _ = umbo("verify", folder)
    assert "audibility: Frequency lowering is on, so speech sounds" in " ".join(out.split())
    assert "audible to" not in out


def test_the_picture_is_written_beside_the_answer(umbo, corner, tmp_path):
    for name, start in (("a.svg", b"<svg"), ("a.png", b"\x89PNG")):
        status, out, err = umbo("verify", corner, "--json", "--plot", tmp_path / name)
        assert (status, err) == (1, "")
        assert json.loads(out)["case"] == "heard"
        assert (tmp_path / name).read_bytes().startswith(start)
    text = (tmp_path / "a.svg").read_text()
    assert "no response up to this level" in text
    assert "Right ear: levels at the eardrum" in text
    assert umbo("verify", corner, "--plot", tmp_path / "b.svg")[0] == 1
    assert (tmp_path / "b.svg").read_text() == text


def test_another_ending_is_refused_before_anything_is_read(umbo, tmp_path):
    status, out, err = umbo("verify", tmp_path / "nothing here", "--plot", tmp_path / "a.jpg")
    assert (status, out) == (2, "")
    assert "neither .svg nor .png" in err
    assert err.count("\n") == 1


def test_a_case_with_nothing_at_the_eardrum_has_no_picture(umbo, tmp_path):
    folder = heard_case(tmp_path / "empty", speech=(), with_thresholds=False)
    status, _, err = umbo("verify", folder, "--plot", tmp_path / "a.svg")
    assert status == 2
    assert "no thresholds, speech or maximum output of it are known there" in err
    assert not (tmp_path / "a.svg").exists()
