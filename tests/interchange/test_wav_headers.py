"""The length a WAV header promises, read from the file's own bytes."""

from __future__ import annotations

import struct

import numpy as np
import pytest
import soundfile

from umbo.interchange._riff import data_chunk


def _chunk(name, content):
    return name + struct.pack("<I", len(content)) + content + b"\0" * (len(content) % 2)


@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "FLOAT"])
def test_a_whole_file_keeps_its_promise(tmp_path, subtype):
    path = tmp_path / "a.wav"
    soundfile.write(path, np.zeros(101), 48_000, subtype=subtype)
    width = {"PCM_16": 2, "PCM_24": 3, "FLOAT": 4}[subtype]
    chunk = data_chunk(path)
    assert chunk.promised_bytes == 101 * width
    assert not chunk.is_cut_off


def test_chunks_before_the_samples_are_stepped_over(tmp_path):
    path = tmp_path / "a.wav"
    body = _chunk(b"LIST", b"odd") + _chunk(b"fmt ", b"\0" * 16) + _chunk(b"data", b"\0" * 10)
    path.write_bytes(b"RIFF" + struct.pack("<I", 4 + len(body)) + b"WAVE" + body)
    assert data_chunk(path).promised_bytes == 10


def test_a_long_file_states_its_length_apart(tmp_path):
    path = tmp_path / "a.wav"
    sizes = struct.pack("<QQQI", 0, 5_000_000_000, 0, 0)
    body = _chunk(b"ds64", sizes) + b"data" + struct.pack("<I", 0xFFFFFFFF) + b"\0" * 10
    path.write_bytes(b"RF64" + b"\xff" * 4 + b"WAVE" + body)
    chunk = data_chunk(path)
    assert (chunk.promised_bytes, chunk.present_bytes) == (5_000_000_000, 10)
    assert chunk.is_cut_off


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"RIFF",
        b"fLaC" + b"\0" * 50,
        b"RIFF\0\0\0\0WAVE",
        b"RIFF\0\0\0\0WAVEjunk\xff\xff\xff\x7f",
        b"RIFF\0\0\0\0WAVEds64\xff",
    ],
)
def test_what_has_no_samples_says_nothing(tmp_path, content):
    path = tmp_path / "a.wav"
    path.write_bytes(content)
    assert data_chunk(path) is None


def test_every_cut_of_a_file_is_seen(tmp_path):
    path = tmp_path / "a.wav"
    soundfile.write(path, np.zeros(50), 48_000, subtype="PCM_16")
    whole = path.read_bytes()
    for length in range(44, len(whole)):
        path.write_bytes(whole[:length])
        assert data_chunk(path).is_cut_off
