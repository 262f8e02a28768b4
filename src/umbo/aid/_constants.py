"""Conditions, limits and tolerances of the tests, each from a table that says how it was obtained."""

from __future__ import annotations

from umbo import refdata

__all__ = ["constant", "constant_range", "constant_source"]

_STANDARD, _JUDGEMENT, _REMOTE = "ansi-s3.22-undated", "engineering-judgement", "aaa-2008"


def _table(item: str) -> refdata.Table:
    """The one of the three tables that has the item."""
    for source in (_STANDARD, _JUDGEMENT, _REMOTE):
        found = refdata.table("hearing_aid_test", source=source)
        if item in found.text("item"):
            return found
    return refdata.table("hearing_aid_test", source=_STANDARD)  # its look-up words the refusal


def constant(item: str) -> float:
    """Look a condition or limit up.

    Parameters
    ----------
    item : str
        Name of a row of the tables ``hearing_aid_test``.

    Returns
    -------
    float
        The value. [the row's unit]

    Raises
    ------
    OutOfRangeError
        If there is no such row.
    """
    return _table(item).at(item, "value")


def constant_range(item: str) -> tuple[float, float]:
    """Look a range up.

    Parameters
    ----------
    item : str
        Name of a row whose value is a range.

    Returns
    -------
    (float, float)
        Lower and upper end. [the row's unit]

    Raises
    ------
    OutOfRangeError
        If there is no such row, or it is no range.
    """
    found = _table(item)
    return found.at(item, "value"), found.at(item, "value_to")


def constant_source(item: str) -> str:
    """Say where a condition or limit comes from, in the words of the tables.

    Parameters
    ----------
    item : str
        Name of a row of the tables ``hearing_aid_test``.

    Returns
    -------
    str
        For example "ANSI S3.22 (from memory)" or "engineering judgement".

    Raises
    ------
    OutOfRangeError
        If there is no such row.
    """
    found = _table(item)
    status = found.text_at(item, "status")
    names = {_STANDARD: "ANSI S3.22", _REMOTE: "American Academy of Audiology 2008"}
    return f"{names[found.source]} ({status})" if found.source in names else status
