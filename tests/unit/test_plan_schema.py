"""The JSON Schema of a plan says of every key what it is, and knows the same keys as the reader."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest

from spadework.plan import Plan, json_schema, read_text
from spadework.plan.kinds import MACHINE_KINDS, SLURRY_KINDS, TEXTURES
from spadework.quantities import parse

SUBSTANCES = ("", "N", "NH4-N", "P2O5", "K2O")
SCHEMA = json_schema()
PARTS = {"Plan": SCHEMA, **SCHEMA["$defs"]}


def models() -> Iterator[tuple[str, Any]]:
    waiting, seen = [Plan], set()
    while waiting:
        model = waiting.pop()
        if model in seen:
            continue
        seen.add(model)
        yield model.__name__, model
        for field in model.model_fields.values():
            inside = [field.annotation, *getattr(field.annotation, "__args__", ())]
            waiting += [kind for kind in inside if hasattr(kind, "model_fields")]


MODELS = dict(models())


def ways(described: dict[str, Any]) -> list[dict[str, Any]]:
    """Return what would do for a key, without that nothing would do."""
    return [way for way in described.get("anyOf", [described]) if way.get("type") != "null"]


def test_it_is_a_schema_of_the_open_standard_and_plain_json() -> None:
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert SCHEMA["type"] == "object"
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA
    text = json.dumps(SCHEMA)
    for target in {part.split('"')[0] for part in text.split('"#/$defs/')[1:]}:
        assert target in SCHEMA["$defs"]


@pytest.mark.parametrize("name", sorted(MODELS))
def test_it_knows_the_same_keys_as_the_reader_and_no_others(name: str) -> None:
    part, model = PARTS[name], MODELS[name]
    assert part["additionalProperties"] is False
    assert set(part["properties"]) == {field.alias or key for key, field in model.model_fields.items()}
    needed = {field.alias or key for key, field in model.model_fields.items() if field.is_required()}
    assert set(part.get("required", ())) == needed
    assert part["title"]


@pytest.mark.parametrize("name", sorted(MODELS))
def test_every_key_says_what_it_is(name: str) -> None:
    for key, described in PARTS[name]["properties"].items():
        for way in ways(described):
            assert way.keys() & {"type", "$ref", "enum", "const"}, (name, key)
            if way.get("type") == "string":
                said = {"description", "examples", "enum", "format", "minLength", "maxLength", "pattern"}
                assert (way.keys() | described.keys()) & said, (name, key)


def test_quantities_show_an_example_that_reads_and_the_units_that_would_do() -> None:
    found = 0
    for part in PARTS.values():
        for key, described in part["properties"].items():
            for way in ways(described):
                if "examples" in way:
                    found += 1
                    assert parse(way["examples"][0], *way["units"], substances=SUBSTANCES).text == way["examples"][0]
                    assert described["description"].endswith("Units: " + ", ".join(way["units"])), key
    assert found > 40


def test_closed_lists_are_those_of_the_tables() -> None:
    assert set(PARTS["Machine"]["properties"]["kind"]["enum"]) == set(MACHINE_KINDS)
    assert set(PARTS["Slurry"]["properties"]["kind"]["enum"]) == set(SLURRY_KINDS)
    assert set(PARTS["Field"]["properties"]["texture"]["enum"]) == set(TEXTURES)


@pytest.mark.parametrize("place", [("spadework.demo", "plan.toml"), ("spadework.plan", "template.toml")])
def test_plans_that_are_handed_out_hold_to_it(place: tuple[str, str]) -> None:
    text = (files(place[0]) / place[1]).read_text("utf-8")
    assert list(_strangers(tomllib.loads(text), SCHEMA)) == []
    assert read_text(text)


def _strangers(value: Any, described: dict[str, Any], here: str = "") -> Iterator[str]:
    """Yield what in a document the schema does not allow, as far as keys and types go."""
    fits = [_meant(way) for way in ways(described) if _is_a(value, way)]
    if not fits:
        yield f"{here}: {value!r}"
    elif isinstance(value, dict):
        properties = fits[0].get("properties", {})
        missing = set(fits[0].get("required", ())) - set(value)
        yield from (f"{here}: {key} is missing" for key in sorted(missing))
        for key, inner in value.items():
            if key in properties:
                yield from _strangers(inner, properties[key], f"{here}.{key}")
            else:
                yield f"{here}: {key} is not known"
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from _strangers(inner, fits[0]["items"], f"{here}[{number}]")


def _meant(way: dict[str, Any]) -> dict[str, Any]:
    """Return what a way of writing a key is, behind its reference."""
    return SCHEMA["$defs"][way["$ref"].rsplit("/", 1)[1]] if "$ref" in way else way


def _is_a(value: Any, way: dict[str, Any]) -> bool:
    if "$ref" in way:
        return isinstance(value, dict)
    if "enum" in way:
        return value in way["enum"]
    if "const" in way:
        return bool(value == way["const"])
    kinds: dict[str, Any] = {"object": dict, "array": list, "boolean": bool, "integer": int, "number": (int, float)}
    if way.get("format") in {"date", "date-time"}:
        return hasattr(value, "isoformat")
    return isinstance(value, kinds.get(way.get("type", ""), str))
