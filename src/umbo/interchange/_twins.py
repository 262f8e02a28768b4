"""Files that should differ and do not: one file named twice, or a copy of it under another name."""

from __future__ import annotations

from filecmp import cmp
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

from umbo.errors import CaseError
from umbo.interchange._wording import plain

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

__all__ = ["NamedFile", "refuse_twins"]

_PROBE_BYTES = 4096


class NamedFile(NamedTuple):
    """A file and the key that names it; a stimulus may share its file with another stimulus only."""

    key: str
    path: Path
    is_stimulus: bool


def refuse_twins(files: Iterable[NamedFile], asked: str) -> None:
    """Refuse measurements that are one file, or byte for byte the same.

    Two measurements are never alike, because noise is part of both; alike files were copied or swapped.

    Raises
    ------
    CaseError
        Naming the two keys.
    """
    groups: dict[tuple[int, bytes], list[NamedFile]] = {}
    for file in files:
        groups.setdefault(_fingerprint(file.path), []).append(file)
    for group in groups.values():
        for one, other in combinations(group, 2):
            if not (one.is_stimulus and other.is_stimulus):
                _refuse_pair(one, other, asked)


def _fingerprint(path: Path) -> tuple[int, bytes]:
    size = path.stat().st_size
    with path.open("rb") as file:
        file.seek(size // 2)
        return size, file.read(_PROBE_BYTES)


def _refuse_pair(one: NamedFile, other: NamedFile, asked: str) -> None:
    if one.path.samefile(other.path):
        raise CaseError(
            asked,
            f"{one.key} and {other.key} name the same file '{plain(one.path.name)}'",
            "give each measurement its own file",
        )
    if cmp(one.path, other.path, shallow=False):
        raise CaseError(
            asked,
            f"{one.key} and {other.key} hold the same bytes ('{plain(one.path.name)}', '{plain(other.path.name)}')",
            "put the right file in the place of the copy",
        )
