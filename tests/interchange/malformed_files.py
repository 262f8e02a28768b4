"""Malformed cases: files that are absent, lead out of the folder, or are one and the same."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from case_builder import edit
from malformed_case import Malformed, edited, replaced_by

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["FILES"]


def _link_out(folder: Path) -> None:
    outside = folder.parent / f"{folder.name}-outside.wav"
    (folder / "ear.wav").rename(outside)
    (folder / "ear.wav").symlink_to(outside)


def _linked_folder(folder: Path) -> None:
    outside = folder.parent / f"{folder.name}-elsewhere"
    outside.mkdir()
    (folder / "ear.wav").rename(outside / "ear.wav")
    (folder / "inner").symlink_to(outside)
    edit(folder, '"ear.wav"', '"inner/ear.wav"')


def _copy(source: str, file: str) -> Callable[[Path], None]:
    return lambda folder: replaced_by(lambda p: p.write_bytes((folder / source).read_bytes()), file)(folder)


def _hard_link(folder: Path) -> None:
    (folder / "ear.wav").unlink()
    os.link(folder / "coupler.wav", folder / "ear.wav")


FILES = [
    Malformed(
        "recording not there",
        lambda f: (f / "ear.wav").unlink(),
        ("recording['ear sweep'].file", "'ear.wav'", "not there"),
    ),
    Malformed("stimulus not there", lambda f: (f / "sweep.wav").unlink(), ("stimulus.sweep.file", "sweep.wav")),
    Malformed(
        "absolute path",
        lambda f: edit(f, '"ear.wav"', f'"{f}/ear.wav"'),
        ("recording['ear sweep'].file", "out of the case folder"),
    ),
    Malformed(
        "drive letter",
        edited('"ear.wav"', r"'C:\ear.wav'"),
        ("recording['ear sweep'].file", "out of the case folder"),
    ),
    Malformed(
        "path upwards",
        lambda f: edit(f, '"ear.wav"', f'"../{f.name}/ear.wav"'),
        ("recording['ear sweep'].file", "out of the case folder"),
    ),
    Malformed("link out of the folder", _link_out, ("recording['ear sweep'].file", "leads out")),
    Malformed("folder linked out of the folder", _linked_folder, ("inner/ear.wav", "leads out")),
    Malformed(
        "link to nothing",
        replaced_by(lambda p: p.symlink_to("nowhere.wav"), "ear.wav"),
        ("ear.wav", "not there"),
    ),
    Malformed(
        "link in a circle",
        replaced_by(lambda p: p.symlink_to("ear.wav"), "ear.wav"),
        ("ear.wav", "not there"),
    ),
    Malformed("recording is a folder", replaced_by(Path.mkdir, "ear.wav"), ("ear.wav", "regular file")),
    Malformed("recording is a pipe", replaced_by(os.mkfifo, "ear.wav"), ("ear.wav", "regular file")),
    Malformed(
        "one file for two",
        edited('"ear.wav"', '"coupler.wav"'),
        ("recording['coupler sweep']", "recording['ear sweep']", "same file"),
    ),
    Malformed("one file by two spellings", edited('"ear.wav"', '"./coupler.wav"'), ("same file 'coupler.wav'",)),
    Malformed("one file by a hard link", _hard_link, ("same file",)),
    Malformed(
        "copy of the other recording",
        _copy("coupler.wav", "ear.wav"),
        ("recording['coupler sweep']", "recording['ear sweep']", "same bytes"),
    ),
    Malformed(
        "stimulus in place of the recording",
        lambda f: (
            _copy("sweep.wav", "ear.wav")(f),
            edit(f, 'repeats = 2\near = "right"\nplace = "probe_tip"', 'ear = "right"\nplace = "probe_tip"'),
        ),
        ("stimulus.sweep", "recording['ear sweep']", "same bytes"),
    ),
    Malformed(
        "recording and stimulus swapped",
        lambda f: (
            edit(f, '"sweep.wav"', '"x.wav"'),
            edit(f, '"ear.wav"', '"sweep.wav"'),
            edit(f, '"x.wav"', '"ear.wav"'),
        ),
        ("'coupler.wav' is too short", "'ear.wav'"),
    ),
]
