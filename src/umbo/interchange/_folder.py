"""The case folder as a fence: which files belong to it, and which are refused before they are opened."""

from __future__ import annotations

from stat import S_ISREG
from typing import TYPE_CHECKING

from umbo.errors import CaseError
from umbo.interchange._wording import plain

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["asked_of", "case_directory", "file_inside"]


def asked_of(folder: Path) -> str:
    """First part of every sentence about opening a case."""
    return f"open the case '{plain(folder.name or str(folder))}'"


def case_directory(folder: Path) -> Path:
    """Real path of a case folder.

    Raises
    ------
    CaseError
        If there is no such folder.
    """
    asked = asked_of(folder)
    try:
        real = folder.resolve(strict=True)
        is_directory = real.is_dir()
    except (OSError, ValueError, RuntimeError):
        raise CaseError(asked, "there is no such folder", "name the folder that holds case.toml") from None
    if not is_directory:
        raise CaseError(asked, "it is a file and not a folder", "name the folder that holds case.toml")
    return real


def file_inside(folder: Path, name: str, key: str) -> Path:
    """Real path of a file of the case.

    Parameters
    ----------
    folder : Path
        Real path of the case folder.
    name : str
        Name of the file, relative to the folder.
    key : str
        Which key of case.toml names it; empty for case.toml itself.

    Raises
    ------
    CaseError
        If the file is missing, is no regular file, or lies outside the folder, also through a link.
    """
    asked = asked_of(folder)
    what = f"{key} names '{plain(name)}', which" if key else f"its {name}"
    try:
        real = (folder / name).resolve(strict=True)
        mode = real.stat().st_mode
    except (OSError, ValueError, RuntimeError):
        raise CaseError(asked, f"{what} is not there", f"put the file '{plain(name)}' into the folder") from None
    if not real.is_relative_to(folder):
        raise CaseError(asked, f"{what} is a link that leads out of the folder", "put the file itself there")
    if not S_ISREG(mode):
        raise CaseError(asked, f"{what} is not a regular file", "put an ordinary file there")
    return real
