"""Reading case.toml into plain Python data, with one sentence for everything that can be wrong with the text."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from umbo.errors import CaseError
from umbo.interchange._wording import plain, shown

__all__ = ["LARGEST_BYTES", "read_toml"]

#: A case.toml larger than this is not one. [byte]
LARGEST_BYTES = 1_000_000


def read_toml(path: Path, asked: str) -> dict[str, Any]:
    """Data of a TOML file.

    Parameters
    ----------
    path : Path
        A regular file.
    asked : str
        First part of an error's sentence.

    Raises
    ------
    CaseError
        If the file is too large, not UTF-8, or not TOML.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise CaseError(asked, f"{path.name} cannot be read ({error.strerror})", "check its permissions") from None
    if len(raw) > LARGEST_BYTES:
        raise CaseError(
            asked,
            f"{path.name} is larger than {LARGEST_BYTES} bytes, which no description of a case is",
            "keep samples and curves in files of their own",
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise CaseError(
            asked,
            f"{path.name} is not UTF-8 text: byte {error.start} is 0x{raw[error.start]:02x}",
            "save it as UTF-8",
        ) from None
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise CaseError(asked, f"{path.name} nests its values too deeply", "write it flat") from None
    except ValueError as error:
        raise CaseError(asked, f"{path.name} is not TOML: {_why(error, text)}", "correct that line") from None


def _why(error: ValueError, text: str) -> str:
    message, _, place = str(error).rpartition(" (at ")
    if not message:
        return plain(str(error)[:1].lower() + str(error)[1:])
    number = place.removeprefix("line ").partition(",")[0]
    lines = text.splitlines()
    line = lines[int(number) - 1].strip() if number.isdigit() and int(number) <= len(lines) else ""
    at = f" (line {number}: {shown(line)})" if line else f" ({plain(place.rstrip(')'))})"
    reason = "a key is given twice" if message == "Cannot overwrite a value" else plain(message)
    return f"{reason[:1].lower()}{reason[1:]}{at}"
