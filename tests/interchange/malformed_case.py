"""One way in which a case folder can be wrong, and what several of them do to the folder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from case_builder import edit

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Malformed", "changed_bytes", "edited", "replaced_by"]


@dataclass(frozen=True)
class Malformed:
    """One malformed case.

    ``mutate`` changes a folder that ``case_builder.build_case`` made; the sentence holds each of ``names``.
    """

    name: str
    mutate: Callable[[Path], None]
    names: tuple[str, ...]


def edited(old: str, new: str) -> Callable[[Path], None]:
    return lambda folder: edit(folder, old, new)


def changed_bytes(file: str, change: Callable[[bytes], bytes]) -> Callable[[Path], None]:
    def mutate(folder: Path) -> None:
        path = folder / file
        path.write_bytes(change(path.read_bytes()))

    return mutate


def replaced_by(make: Callable[[Path], None], file: str) -> Callable[[Path], None]:
    def mutate(folder: Path) -> None:
        (folder / file).unlink()
        make(folder / file)

    return mutate
