"""Folders that commands write into."""

from __future__ import annotations

from pathlib import Path

from umbo.errors import InputError

__all__ = ["make_folder", "require_outside"]


def require_outside(case: Path, out: Path) -> None:
    """Refuse to write into a case, or where a file is.

    Raises
    ------
    InputError
        If it is the case folder itself, or a file.
    """
    if out.resolve() == case.resolve():
        raise InputError(
            f"write the answer to '{out}'",
            "that is the case folder itself, which is only read",
            "name another folder",
        )
    if out.exists() and not out.is_dir():
        raise InputError(f"write the answer to '{out}'", "it is a file and not a folder", "name a folder")


def make_folder(out: Path) -> None:
    """Make a folder where there is none.

    Raises
    ------
    InputError
        If it cannot be made.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            f"make the folder '{out}'", f"it cannot be made ({error.strerror})", "name another one"
        ) from None
