"""JSON Schemas of what the program reads and writes, shipped beside this."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.harness_fields import harness_schema
from plumbrise.files.machine_fields import FIELDS, FORMAT, PARTS, PER_SIDE, Field
from plumbrise.machine.arrangements import ARRANGEMENTS, SIDES
from plumbrise.machine.stations import STATIONS
from plumbrise.readings.checks import BOUNDS
from plumbrise.readings.columns import COLUMNS, REQUIRED, Column
from plumbrise.readings.kinds import KINDS

DIALECT = "https://json-schema.org/draft/2020-12/schema"
SCHEMAS = (
    "machine",
    "readings",
    "analysis",
    "explanation",
    "sheet",
    "proposal",
    "proof",
    "forecast",
    "spacing",
    "shelf-list",
    "shelf-import",
    "shelf-export",
    "shelf-backup",
    "harness",
    "wiring",
    "work-order",
)

Json = dict[str, Any]


def schema(name: str) -> Json:
    """The JSON Schema of one of `SCHEMAS`, such as "machine" or "explanation".

    Raises:
        InputError: another name.
    """
    if name not in SCHEMAS:
        raise InputError(
            place="schema",
            value=name,
            allowed=", ".join(SCHEMAS[:-1]) + f" or {SCHEMAS[-1]}",
            remedy="Name one of these.",
        )
    text = (files(__package__) / "schema" / f"{name}.schema.json").read_text(encoding="utf-8")
    found: Json = json.loads(text)
    return found


def machine_schema() -> Json:
    """The schema of the machine file, made from the parts themselves."""
    properties: Json = {
        "format": {"const": FORMAT},
        "name": {"type": "string"},
        "note": {"type": "string"},
        "invented": {"type": "boolean", "description": "True for a machine that is made up."},
        "arrangement": {"enum": list(ARRANGEMENTS)},
    }
    for part in PARTS:
        own = {field.name: _value(field) for field in FIELDS.values() if field.part == part}
        properties[part] = _table(own)
        if part in PER_SIDE:
            properties[part]["properties"] |= {side: _table(own) for side in SIDES}
    return {
        "$schema": DIALECT,
        "title": "Machine",
        "description": "An axis as its owner describes it; what is not known is left out.",
        "type": "object",
        "required": ["arrangement"],
        "properties": properties,
        "additionalProperties": False,
    }


def _table(properties: Json) -> Json:
    return {"type": "object", "properties": dict(properties), "additionalProperties": False}


def _value(field: Field) -> Json:
    words = f"{field.words} {field.unit}".strip()
    if field.takes == "choice":
        return {"enum": list(field.choices), "description": words}
    if field.takes == "yes-no":
        return {"type": "boolean", "description": words}
    if field.takes == "lines":
        return {"type": "array", "items": {"type": "string"}, "description": words}
    made: Json = {"type": "integer" if field.takes == "count" else "number", "description": words}
    if field.above is not None:
        made["exclusiveMinimum"] = field.above
    if field.at_least is not None:
        made["minimum"] = field.at_least
    return made


def readings_schema() -> Json:
    """The schema of the readings table: a list of rows, each an object by column."""
    return {
        "$schema": DIALECT,
        "title": "Readings",
        "description": "One reading a row. An empty cell is null or left out.",
        "type": "array",
        "items": {
            "type": "object",
            "required": list(REQUIRED),
            "properties": {column.name: _cell(column) for column in COLUMNS},
        },
    }


def _cell(column: Column) -> Json:
    words = f"{column.words} {column.unit}".strip()
    empty = not column.required or column.name == "reading_mm"
    if column.number:
        bound = BOUNDS[column.name]
        kind = "integer" if column.name == "seq" else "number"
        made: Json = {
            "type": [kind, "null"] if empty else kind,
            "minimum": bound.low,
            "maximum": bound.high,
        }
    else:
        words_allowed = {"test": tuple(KINDS), "station": tuple(STATIONS)}.get(
            column.name, column.choices
        )
        if words_allowed:
            made = {"enum": [*words_allowed, *([None, ""] if empty else [])]}
        else:
            made = {"type": ["string", "null"] if empty else "string"}
    return {**made, "description": words}


MADE = {"machine": machine_schema, "readings": readings_schema, "harness": harness_schema}
"""Schemas that are made from the tables of the program: schema -> its maker."""


def schema_text(made: Json) -> str:
    """A schema as its file holds it."""
    return json.dumps(made, ensure_ascii=False, indent=2) + "\n"
