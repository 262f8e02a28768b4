"""The bibliography the tables cite."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING

from umbo.errors import TableError

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Reference", "bibliography", "reference"]


@dataclass(frozen=True, slots=True)
class Reference:
    """One entry of the bibliography.

    Parameters
    ----------
    key : str
        Key the sidecars use.
    kind : {"standard", "article", "package", "practice"}
        What sort of source it is.
    text : str
        The reference in words.
    seen : str
        How much of it was read: for example "abstract read", "not read", "source read".
    doi : str
        Digital object identifier; empty when none was recorded.
    """

    key: str
    kind: str
    text: str
    seen: str
    doi: str = ""


@cache
def bibliography() -> Mapping[str, Reference]:
    """Return every entry of the bibliography.

    Returns
    -------
    mapping of str to Reference
        By key, in alphabetical order.
    """
    raw = tomllib.loads(files("umbo.refdata").joinpath("tables", "bibliography.toml").read_text(encoding="utf-8"))
    return MappingProxyType({key: Reference(key=key, **raw[key]) for key in sorted(raw)})


def reference(key: str) -> Reference:
    """Return one entry of the bibliography.

    Parameters
    ----------
    key : str
        Key, for example "iso-389-2-1994".

    Returns
    -------
    Reference
        The entry.

    Raises
    ------
    TableError
        If there is no such entry.
    """
    entries = bibliography()
    if key not in entries:
        raise TableError(f"cite '{key}'", "the bibliography has no such entry", "add it to bibliography.toml")
    return entries[key]
