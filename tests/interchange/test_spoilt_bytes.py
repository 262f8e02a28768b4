"""Whatever bytes case.toml or a WAV header hold: a case opens, or one sentence says why not."""

from __future__ import annotations

import numpy as np
import pytest
from case_builder import build_case
from test_malformed import read_everything

from umbo.errors import CaseError, RecordingError

_PIECES = [b'"', b"[", b"\n", b"nan", b"-1", b"1e400", b"''", b"= {}", "\u2028".encode(), b"9" * 20, b"\x00", b"#"]


def _spoilt(content: bytes, rng: np.random.Generator, end: int) -> bytes:
    changed = bytearray(content)
    for _ in range(rng.integers(1, 4)):
        at = int(rng.integers(0, min(end, len(changed))))
        match rng.integers(0, 3):
            case 0:
                changed[at] = rng.integers(0, 256)
            case 1:
                del changed[at : at + int(rng.integers(1, 30))]
            case _:
                changed[at:at] = _PIECES[rng.integers(0, len(_PIECES))]
    return bytes(changed)


@pytest.mark.parametrize(("file", "end"), [("case.toml", 10**6), ("ear.wav", 60)])
def test_random_changes(tmp_path, file, end):
    folder = build_case(tmp_path / "case")
    content = (folder / file).read_bytes()
    rng = np.random.default_rng(20261125)
    refused = 0
    for _ in range(150):
        (folder / file).write_bytes(_spoilt(content, rng, end))
        try:
            read_everything(folder)
        except (CaseError, RecordingError) as error:
            sentence = str(error)
            assert sentence.isprintable()
            assert sentence.endswith(".")
            assert len(sentence) < 500
            refused += 1
    assert refused > 75
