"""From what pydantic found wrong with a case to one sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from umbo.errors import CaseError
from umbo.interchange._fields import Key, RefusedError
from umbo.interchange._keys import known_keys, nearest_key, path_text
from umbo.interchange._schema import case_schema
from umbo.interchange._wording import plain, shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pydantic import ValidationError
    from pydantic_core import ErrorDetails

__all__ = ["case_error"]

_WANTED = {
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "string_type": "text in quotes",
    "date_type": "a date without quotes, like 2026-11-25",
    "tuple_type": "an array",
    "dict_type": "a table",
    "model_type": "a table",
    "finite_number": "a finite number",
    "string_pattern_mismatch": "text on one line, without spaces around it",
    "greater_than": "above {gt:.12g}",
    "greater_than_equal": "{ge:.12g} or more",
    "less_than_equal": "{le:.12g} or less",
    "string_too_short": "text of at least {min_length} character",
    "string_too_long": "text of at most {max_length} characters",
    "too_short": "an array of at least {min_length} value",
    "too_long": "an array of at most {max_length} values",
    "enum": "{expected}",
    "literal_error": "{expected}",
}


def case_error(
    error: ValidationError,
    data: Mapping[str, Any],
    asked: str,
    *,
    schema: Mapping[str, Any] | None = None,
    file: str = "case.toml",
) -> CaseError:
    """One sentence for the most telling problem of a case, or of another file that is checked like one.

    Parameters
    ----------
    error : ValidationError
        What pydantic found; an unknown key comes first, because a misspelt key is also a missing one.
    data : mapping
        What the file holds.
    asked : str
        First part of the sentence.
    schema : mapping, optional
        JSON Schema of the file; that of a case if left out.
    file : str
        What the sentence calls the file.
    """
    details = sorted(error.errors(include_url=False), key=lambda d: d["type"] != "extra_forbidden")
    return CaseError(asked, *_sentence(details[0], data, schema or case_schema(), file))


def _sentence(detail: ErrorDetails, data: Mapping[str, Any], schema: Mapping[str, Any], file: str) -> tuple[str, str]:
    kind, context = detail["type"], detail.get("ctx", {})
    key: Key = tuple(step for step in detail["loc"] if step != "[key]")
    refusal = context.get("error")
    if isinstance(refusal, RefusedError):
        path = path_text((*key, *refusal.key), data)
        return f"{path or 'the case'} {refusal.disagrees}", refusal.do
    path = path_text(key, data)
    if kind == "extra_forbidden":
        return _unknown(key, path, schema)
    if kind == "missing":
        return f"{path} is missing", _addition(key, data, schema, file)
    wanted = _WANTED.get(kind)
    if wanted is None:
        allowed = plain(detail["msg"][:1].lower() + detail["msg"][1:])
        return f"{path} is {shown(detail['input'])}: {allowed}", "correct the value"
    allowed = wanted.format(**context)
    if len(key) != len(detail["loc"]):
        return f"{path} has a name that is not {allowed}", "choose another name"
    return f"{path} is {shown(detail['input'])}, but must be {allowed}", "correct the value"


def _unknown(key: Key, path: str, schema: Mapping[str, Any]) -> tuple[str, str]:
    near = nearest_key(str(key[-1]), known_keys(schema, key[:-1]))
    hint = f" (did you mean '{near}'?)" if near else ""
    return f"{path} is not a known key{hint}", "correct the key, or remove it"


def _addition(key: Key, data: Mapping[str, Any], schema: Mapping[str, Any], file: str) -> str:
    if known_keys(schema, key):
        return f"add a table [{path_text(key, data)}]"
    where = f"to {path_text(key[:-1], data)}" if key[:-1] else f"at the top of {file}"
    return f"add '{plain(str(key[-1]))}' {where}"
