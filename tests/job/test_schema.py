"""The published schema is valid JSON Schema (draft 2020-12) and agrees with the loader."""

from __future__ import annotations

from typing import Any

import jsonschema
import pytest
import yaml

from truehang import demo, job

SCHEMA = job.schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def _objects(value: Any) -> list[dict[str, Any]]:
    if isinstance(value, dict):
        own = [value] if value.get("type") == "object" and "properties" in value else []
        return own + [found for child in value.values() for found in _objects(child)]
    if isinstance(value, list):
        return [found for child in value for found in _objects(child)]
    return []


def test_it_is_a_valid_2020_12_schema() -> None:
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_every_field_says_what_it_is_and_no_object_takes_unknown_keys() -> None:
    objects = _objects(SCHEMA)
    assert len(objects) > 30
    for section in objects:
        assert section["additionalProperties"] is False, section["title"]
        for name, field in section["properties"].items():
            if name != "kind" or "enum" in field:
                assert field.get("description"), f"{section['title']}.{name}"


def test_lengths_carry_their_unit() -> None:
    run = SCHEMA["$defs"]["Wall"]["properties"]["run"]
    assert run["x-unit"] == "mm"
    assert run["anyOf"][0] == {"type": "number", "minimum": 500, "maximum": 30000}


def test_the_schema_given_out_is_the_callers_own() -> None:
    job.schema()["title"] = "mine"
    assert job.schema()["title"] == "Truehang job file"


@pytest.mark.parametrize("name", demo.names())
def test_every_demo_validates_after_a_plain_yaml_load(name: str) -> None:
    for _, text in demo.files(name):
        VALIDATOR.validate(yaml.safe_load(text))


def test_the_starter_validates_after_a_plain_yaml_load() -> None:
    VALIDATOR.validate(yaml.safe_load(job.starter()))


@pytest.mark.parametrize(
    "text", ["2870", "-3.5 mm", "2.87 m", "287 cm", "9' 5 1/2\"", "9′ 5½″", "9 ft 5 in", "5.5 in"]
)
def test_what_the_loader_reads_as_a_length_the_schema_takes(text: str) -> None:
    raw = yaml.safe_load(job.starter())
    raw["wall"]["services"][0]["x"] = text
    VALIDATOR.validate(raw)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("wall", "run"), 5.2),
        (("wall", "run"), "long"),
        (("wall", "rum"), 1),
        (("truehang",), 2),
        (("wall", "situation"), "fill"),
        (("measure", "readings", 0, "kind"), "wide"),
        (("job", "revision"), 0),
    ],
)
def test_what_the_loader_refuses_the_schema_refuses(path: tuple[Any, ...], value: Any) -> None:
    raw = yaml.safe_load(job.starter())
    holder = raw
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    assert not VALIDATOR.is_valid(raw)
    assert job.check(yaml.safe_dump(raw))
