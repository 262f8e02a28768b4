"""Plain TOML text: tables of strings, numbers, dates, lists, and tables inside a line."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date

__all__ = ["TomlValue", "pairs_text", "table_text"]

TomlValue = str | int | float | date | Sequence[float] | Mapping[str, str] | Mapping[str, Sequence[float]]


def table_text(head: str, keys: Mapping[str, TomlValue]) -> str:
    """One table, its head as it stands in the file."""
    return f"{head}\n{pairs_text(keys)}"


def pairs_text(keys: Mapping[str, TomlValue]) -> str:
    """Keys and values, one a line."""
    return "".join(f"{key} = {_value_text(value)}\n" for key, value in keys.items())


def _value_text(value: TomlValue) -> str:
    """One value; JSON strings, numbers and arrays of numbers are TOML too."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_value_text(entry)}" for key, entry in value.items()) + " }"
    return json.dumps(value if isinstance(value, str | int | float) else list(value), ensure_ascii=False)
