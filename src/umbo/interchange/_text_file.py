"""Reading a small text file, with one sentence for whatever is wrong with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from umbo.errors import CaseError
from umbo.interchange._toml import LARGEST_BYTES, bad_byte

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["read_text_file"]


def read_text_file(path: Path, asked: str, what: str) -> str:
    """Read the text of a file.

    Parameters
    ----------
    path : Path
        A regular file.
    asked : str
        First part of an error's sentence.
    what : str
        What one file holds, for the sentence about one that is too large.

    Raises
    ------
    CaseError
        If the file cannot be read, is too large, or is not UTF-8.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise CaseError(asked, f"it cannot be read ({error.strerror})", "check its name and permissions") from None
    if len(raw) > LARGEST_BYTES:
        raise CaseError(asked, f"it is larger than {LARGEST_BYTES} bytes", f"keep one {what} in one file")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CaseError(asked, f"it is not UTF-8 text: {bad_byte(error)}", "save it as UTF-8") from None
