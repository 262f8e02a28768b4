"""``umbo schema``."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from typing import Any

from umbo.errors import InputError
from umbo.interchange import case_schema
from umbo.record import AidAnswer, RecdAnswer, ResponseAnswer, TargetsAnswer, TryAnswer, VerifyAnswer

__all__ = ["schema"]


def schema(name: str) -> int:
    """Print the JSON Schema of a case or an answer."""
    makers: dict[str, Callable[[], dict[str, Any]]] = {
        "case": case_schema,
        "aid": lambda: AidAnswer.model_json_schema(by_alias=True),
        "recd": lambda: RecdAnswer.model_json_schema(by_alias=True),
        "response": lambda: ResponseAnswer.model_json_schema(by_alias=True),
        "verify": lambda: VerifyAnswer.model_json_schema(by_alias=True),
        "targets": lambda: TargetsAnswer.model_json_schema(by_alias=True),
        "try": lambda: TryAnswer.model_json_schema(by_alias=True),
        "simulate": lambda: _object(case=_string(), folder=_string(), truth=_string(), seed={"type": "integer"}),
        "tables": lambda: _object(tables={"type": "array", "items": {"type": "object"}}),
        "doctor": lambda: _object(ok={"type": "boolean"}, checks={"type": "array", "items": {"type": "object"}}),
    }
    if name not in makers:
        raise InputError(f"print the schema '{name}'", f"there is {', '.join(makers)}", "name one of these")
    sys.stdout.write(json.dumps(makers[name](), indent=1) + "\n")
    return 0


def _string() -> dict[str, str]:
    return {"type": "string"}


def _object(**properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "type": "object",
        "properties": {"schema": {"const": 1}, **properties},
        "required": ["schema", *properties],
        "additionalProperties": False,
    }
