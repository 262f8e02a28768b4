"""Writing files so that a reader sees the old one or the new one, never half of one."""

from __future__ import annotations

import json
import os
from secrets import token_hex
from typing import TYPE_CHECKING

from umbo.errors import InputError
from umbo.interchange._wording import plain

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["json_text", "write_bytes", "write_json", "write_text"]


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file whole: into a temporary file in the same folder, which then takes its name.

    Parameters
    ----------
    path : Path
        Where; its folder must exist. A file of that name is replaced.
    content : bytes
        What.

    Raises
    ------
    InputError
        If the file cannot be written; nothing is left behind.
    """
    temporary = path.with_name(f".{path.name}.{token_hex(4)}.part")
    try:
        with temporary.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise InputError(
            f"write '{plain(path.name)}'",
            f"the folder '{plain(str(path.parent))}' does not take it ({error.strerror})",
            "choose a folder you may write to",
        ) from None


def write_text(path: Path, text: str) -> None:
    """Write a text file whole, as UTF-8 with the line ends it has. Errors as :func:`write_bytes`."""
    write_bytes(path, text.encode("utf-8"))


def json_text(obj: object) -> str:
    """JSON of plain data, indented, with a final line end.

    Raises
    ------
    InputError
        If a number is not finite: NaN is no message.
    """
    try:
        return json.dumps(obj, ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    except ValueError as error:
        raise InputError("write JSON", f"a value has no JSON form ({error})", "give finite numbers only") from None


def write_json(path: Path, obj: object) -> None:
    """Write plain data as JSON, whole. Errors as :func:`write_bytes` and :func:`json_text`."""
    write_text(path, json_text(obj))
