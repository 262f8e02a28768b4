"""The JSON Schema of a case."""

from __future__ import annotations

from copy import deepcopy
from functools import cache
from typing import Any

from umbo.interchange._model import CaseTable

__all__ = ["case_schema"]


def case_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of case.toml, with a description and unit for each key.

    Returns
    -------
    dict
        The schema; dates stand in it as text of the form 2026-11-25. What two keys must agree on (one value
        per frequency, a coupler only in a coupler) is checked on opening and not expressed in the schema.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **deepcopy(_generated()),
        "title": "A verification case, schema 1",
    }


@cache
def _generated() -> dict[str, Any]:
    return CaseTable.model_json_schema()
