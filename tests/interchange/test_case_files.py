"""From a case folder to samples: formats, subfolders, links, and how case.toml itself may be written."""

from __future__ import annotations

import numpy as np
import pytest
from case_builder import RATE_HZ, append, build_case, edit, recording, sweep, write_wav

from umbo.interchange import open_case


@pytest.fixture
def folder(tmp_path):
    return build_case(tmp_path / "case")


def test_silence_needs_no_file(folder):
    write_wav(folder / "quiet.wav", 1e-4 * np.random.default_rng(3).standard_normal(5000))
    append(
        folder,
        """
[stimulus.quiet]
kind = "silence"

[[recording]]
name = "room noise"
file = "quiet.wav"
stimulus = "quiet"
ear = "right"
place = "probe_tip"
coupling = "foam_tip"
source = "aid"
calibration = "probe_mic"
""",
    )
    case = open_case(folder)
    assert case.plan.takes[2].repeats == 1
    assert case.take("room noise").samples_fs.size == 5000


@pytest.mark.parametrize("subtype", ["PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
def test_sample_formats(folder, subtype):
    samples = recording(0.4, 2)
    write_wav(folder / "ear.wav", samples, subtype=subtype)
    read = open_case(folder).take("ear sweep")
    step = {"PCM_16": 2**-15, "PCM_24": 2**-23, "PCM_32": 2**-31, "FLOAT": 2**-24, "DOUBLE": 0}[subtype]
    assert read.samples_fs.dtype == np.float64
    assert read.sampling_rate_hz == RATE_HZ
    np.testing.assert_allclose(read.samples_fs, samples, rtol=0, atol=step)


def test_flac_and_subfolders(folder):
    (folder / "takes").mkdir()
    write_wav(folder / "takes" / "ear.flac", recording(0.4, 2))
    edit(folder, '"ear.wav"', '"takes/ear.flac"')
    read = open_case(folder).take("ear sweep")
    np.testing.assert_allclose(read.samples_fs, recording(0.4, 2), rtol=0, atol=2**-23)


def test_the_stimulus_is_read_as_it_was_played(folder):
    played = open_case(folder).stimulus("sweep")
    np.testing.assert_allclose(played.samples_fs, sweep(), rtol=0, atol=2**-23)


def test_two_stimuli_may_share_a_file(folder):
    append(
        folder,
        '\n[stimulus.again]\nkind = "exponential_sweep"\nfile = "sweep.wav"\nstart_hz = 80.0\nstop_hz = 20000.0\n',
    )
    assert list(open_case(folder).plan.stimuli) == ["sweep", "again"]


def test_a_byte_order_mark_and_windows_line_ends_are_read(folder):
    path = folder / "case.toml"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert open_case(folder).plan.case_id == "invented-0001"


def test_the_folder_may_be_a_link_and_a_relative_path(folder, tmp_path, monkeypatch):
    (tmp_path / "link").symlink_to(folder)
    monkeypatch.chdir(tmp_path)
    assert open_case("link").plan.case_id == "invented-0001"
