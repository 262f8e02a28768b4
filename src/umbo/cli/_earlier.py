"""Reading the answer of an earlier visit."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from umbo.errors import InputError
from umbo.record import SCHEMA, VerifyAnswer, earlier_visit
from umbo.session import Earlier

__all__ = ["read_earlier"]

#: No answer of two ears is larger than a hundredth of this. [B]
_LARGEST_BYTES = 64_000_000

_DO = "give the result.json that umbo verify --out wrote"
_LONGEST = 60


def read_earlier(path: Path) -> Earlier:
    """Read an answer of ``umbo verify`` as the earlier visit to compare with.

    Parameters
    ----------
    path : Path
        The result.json.

    Returns
    -------
    Earlier
        What is kept of that visit.

    Raises
    ------
    InputError
        If it cannot be read, or is not wholly an answer of ``umbo verify`` in the schema of this version.
    """
    asked = f"compare with the earlier answer '{_plain(path.name)}'"
    data = _data(path, asked)
    if "schema" not in data or "ears" not in data or "verified" not in data:
        raise InputError(asked, "it is JSON, but no answer of umbo verify", _DO)
    if data["schema"] != SCHEMA:
        found = _plain(str(data["schema"]))
        raise InputError(asked, f"its schema is {found}, and this version reads {SCHEMA}", "use the umbo that wrote it")
    try:
        return earlier_visit(VerifyAnswer.model_validate(data))
    except ValidationError as error:
        raise InputError(asked, _first(error), _DO) from None
    except InputError as error:
        raise InputError(asked, error.disagrees, _DO) from None


def _data(path: Path, asked: str) -> dict[str, Any]:
    try:
        with path.open("rb") as file:
            raw = file.read(_LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "no file can have that name"
        raise InputError(asked, f"it cannot be read ({why})", "check its name and permissions") from None
    if len(raw) > _LARGEST_BYTES:
        raise InputError(asked, f"it is larger than {_LARGEST_BYTES} bytes", _DO)
    try:
        data = json.loads(raw)
    except (ValueError, RecursionError) as error:
        raise InputError(asked, f"it is not JSON ({_plain(str(error) or type(error).__name__)})", _DO) from None
    if not isinstance(data, dict):
        raise InputError(asked, "it is JSON, but no answer of umbo verify", _DO)
    return data


def _first(error: ValidationError) -> str:
    """Where it departs from the schema first, and how."""
    detail = error.errors(include_url=False, include_input=False)[0]
    where = ".".join(_plain(str(step)) for step in detail["loc"])
    said = detail["msg"]
    return f"{where or 'it'}: {_plain(said[:1].lower() + said[1:])}"


def _plain(text: str) -> str:
    """Text from outside on one line and short."""
    clean = "".join(c if c.isprintable() else "?" for c in text)
    return clean if len(clean) <= _LONGEST else f"{clean[:_LONGEST]}..."
