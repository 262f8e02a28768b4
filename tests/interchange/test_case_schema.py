"""The JSON Schema says what the reader does."""

from __future__ import annotations

import json
import tomllib

import jsonschema
import pytest
from case_builder import CASE_TOML, CURVE_TOML, TARGET_TOML

from umbo.interchange import case_schema


def _as_json(text):
    return json.loads(json.dumps(tomllib.loads(text), default=lambda day: day.isoformat()))


@pytest.fixture
def validator():
    schema = case_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("text", [CASE_TOML, CASE_TOML + CURVE_TOML + TARGET_TOML])
def test_a_valid_case_is_valid(validator, text):
    validator.validate(_as_json(text))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("age_months", "age_years"),
        ("schema = 1", "schema = 2"),
        ('place = "coupler"', 'place = "box"'),
        ("repeats = 2", "repeats = 0"),
        ("level_db = [30,", 'level_db = ["30",'),
        ("= 20.0", "= 0"),
        ('code = "K-0001"\n', ""),
        ("start_hz", "start_khz"),
        ('"ear sweep"', '"ear\\nsweep"'),
    ],
)
def test_an_invalid_case_is_invalid(validator, old, new):
    assert old in CASE_TOML
    assert not validator.is_valid(_as_json(CASE_TOML.replace(old, new, 1)))


def _tables(node):
    if isinstance(node, dict):
        if "properties" in node:
            yield node
        for value in node.values():
            yield from _tables(value)


def test_every_key_is_described_and_every_quantity_has_its_unit():
    tables = list(_tables(case_schema()))
    assert len(tables) > 10
    for table in tables:
        for key, entry in table["properties"].items():
            assert entry.get("description"), key
            if key.endswith(("_hz", "_db", "_mm", "_months", "_db_spl")) or key.startswith("pa_per"):
                assert "[" in entry["description"], key


def test_the_schema_handed_out_is_a_copy():
    case_schema()["title"] = "spoilt"
    case_schema()["properties"].clear()
    assert case_schema()["title"] == "A verification case, schema 1"
    assert "client" in case_schema()["properties"]
