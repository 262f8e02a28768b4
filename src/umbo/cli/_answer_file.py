"""Reading a file that a command wrote earlier."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from umbo.errors import InputError
from umbo.record import SCHEMA

__all__ = ["first_problem", "read_answer_file"]

#: No answer of two ears is larger than a hundredth of this. [B]
_LARGEST_BYTES = 64_000_000

_LONGEST = 60


def read_answer_file(path: Path, command: str, needed: tuple[str, ...], do: str) -> tuple[dict[str, Any], str]:
    """Read the data of an earlier answer.

    Parameters
    ----------
    path : Path
        The file.
    command : str
        Command that wrote it, for messages.
    needed : tuple of str
        Keys such an answer has and others have not.
    do : str
        What to do where it is none.

    Returns
    -------
    (dict, str)
        The data, and the first part of a sentence about it.

    Raises
    ------
    InputError
        If it cannot be read, is not JSON, is no such answer, or has another schema.
    """
    asked = f"compare with the earlier answer '{_plain(path.name)}'"
    data = _data(path, asked, do)
    if not isinstance(data, dict) or any(key not in data for key in ("schema", *needed)):
        raise InputError(asked, f"it is JSON, but no answer of {command}", do)
    if data["schema"] != SCHEMA:
        found = _plain(str(data["schema"]))
        raise InputError(asked, f"its schema is {found}, and this version reads {SCHEMA}", "use the umbo that wrote it")
    return data, asked


def _data(path: Path, asked: str, do: str) -> object:
    try:
        with path.open("rb") as file:
            raw = file.read(_LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "no file can have that name"
        raise InputError(asked, f"it cannot be read ({why})", "check its name and permissions") from None
    if len(raw) > _LARGEST_BYTES:
        raise InputError(asked, f"it is larger than {_LARGEST_BYTES} bytes", do)
    try:
        data: object = json.loads(raw)
    except (ValueError, RecursionError) as error:
        raise InputError(asked, f"it is not JSON ({_plain(str(error) or type(error).__name__)})", do) from None
    return data


def first_problem(error: ValidationError) -> str:
    """Where an answer departs from its schema first, and how."""
    detail = error.errors(include_url=False, include_input=False)[0]
    where = ".".join(_plain(str(step)) for step in detail["loc"])
    said = detail["msg"]
    return f"{where or 'it'}: {_plain(said[:1].lower() + said[1:])}"


def _plain(text: str) -> str:
    """Text from outside on one line and short."""
    clean = "".join(c if c.isprintable() else "?" for c in text)
    return clean if len(clean) <= _LONGEST else f"{clean[:_LONGEST]}..."
