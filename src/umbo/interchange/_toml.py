"""Reading case.toml into plain data, with one sentence for whatever is wrong with the text."""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING, Any

from umbo.errors import CaseError
from umbo.interchange._wording import plain, shown

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["LARGEST_BYTES", "bad_byte", "read_toml"]

#: A case.toml larger than this is not one. [byte]
LARGEST_BYTES = 1_000_000

#: A key of more parts than any case has; tomllib's time grows with the square of their number.
_DEEP_KEY = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){30}""")


def read_toml(path: Path, asked: str) -> dict[str, Any]:
    """Read the data of a TOML file.

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
            f"{path.name} is not UTF-8 text: {bad_byte(error)}",
            "save it as UTF-8",
        ) from None
    too_deep = CaseError(asked, f"{path.name} nests its values too deeply", "write it flat")
    if _DEEP_KEY.search(text):
        raise too_deep
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise too_deep from None
    except ValueError as error:
        raise CaseError(asked, f"{path.name} is not TOML: {_why(error, text)}", "correct that line") from None


def bad_byte(error: UnicodeDecodeError) -> str:
    """Say where text stops being UTF-8."""
    line = error.object.count(b"\n", 0, error.start) + 1
    return f"line {line} holds the byte 0x{error.object[error.start]:02x}"


def _why(error: ValueError, text: str) -> str:
    message, _, place = str(error).rpartition(" (at ")
    if not isinstance(error, tomllib.TOMLDecodeError):
        return "a number in it has too many digits"
    if not message:
        return plain(str(error)[:1].lower() + str(error)[1:])
    if message.startswith("Cannot declare"):
        message = "a table is given twice"
    elif message == "Cannot overwrite a value":
        message = "a key is given twice"
    number = place.removeprefix("line ").partition(",")[0]
    lines = text.split("\n")
    line = lines[int(number) - 1].strip() if number.isdigit() and int(number) <= len(lines) else ""
    at = f" (line {number}: {shown(line)})" if line else f" ({plain(place.rstrip(')'))})"
    return f"{plain(message[:1].lower() + message[1:])}{at}"
