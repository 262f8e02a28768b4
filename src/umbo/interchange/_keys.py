"""Paths of keys in case.toml, and the nearest known key to an unknown one."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Any

from umbo.interchange._wording import plain

if TYPE_CHECKING:
    from umbo.interchange._fields import Key

__all__ = ["known_keys", "nearest_key", "path_text"]

#: What people write for a key whose spelling is not near, by the last part of the path.
_MEANT = {
    "name": "code",
    "age": "age_months",
    "age_years": "age_months",
    "date_of_birth": "born",
    "rate": "file",
}


def path_text(key: Key, data: object) -> str:
    """Path of a key as a person finds it: ``recording['ear sweep'].repeats``, ``ear.right.mle.level_db[#3]``.

    Parameters
    ----------
    key : tuple of str or int
        The steps.
    data : object
        What case.toml holds; entries of an array of tables are called by their name, where they have one.
    """
    text = ""
    node: Any = data
    for step in key:
        if isinstance(step, int):
            node = node[step] if isinstance(node, list) and step < len(node) else None
            name = node.get("name") if isinstance(node, Mapping) else None
            text += f"['{plain(name)}']" if isinstance(name, str) and name else f"[#{step + 1}]"
        else:
            node = node.get(step) if isinstance(node, Mapping) else None
            text += f".{plain(step)}" if text else plain(step)
    return text


def known_keys(schema: Mapping[str, Any], key: Key) -> list[str]:
    """Keys a table may hold, from the JSON Schema of the case and the path of the table."""
    node = _resolved(schema, schema)
    for step in key:
        node = _resolved(schema, _below(node, step))
    return list(node.get("properties", {}))


def _below(node: Mapping[str, Any], step: str | int) -> Mapping[str, Any]:
    """Find the schema of an array's entry, of a key, or of an entry in a table whose keys are names."""
    found: Mapping[str, Any]
    if isinstance(step, int):
        found = node.get("items", {})
    elif step in node.get("properties", {}):
        found = node["properties"][step]
    else:
        found = next(iter(node.get("patternProperties", {}).values()), {})
    return found


def _resolved(schema: Mapping[str, Any], node: Mapping[str, Any]) -> Mapping[str, Any]:
    for option in node.get("anyOf", []):
        if option.get("type") != "null":
            return _resolved(schema, option)
    if "$ref" in node:
        found: Mapping[str, Any] = schema["$defs"][node["$ref"].rpartition("/")[2]]
        return found
    return node


def nearest_key(unknown: str, known: list[str]) -> str | None:
    """Find the known key that is most like an unknown one; none when nothing is known."""
    meant = _MEANT.get(unknown.lower())
    if meant in known:
        return meant
    short = unknown[:100].lower()
    return max(known, key=lambda k: SequenceMatcher(None, short, k).ratio(), default=None)
