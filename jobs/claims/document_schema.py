"""The published schema of the claim document (JSON Schema 2020-12), from its fields. Pure."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from jobs.claims.document import SCHEMA, VERSION, ClaimDocument
from jobs.claims.document_text import types_of

_VALUES: dict[Any, dict[str, Any]] = {
    str: {"type": "string"},
    int: {"type": "integer"},
    float: {"type": "number"},
    bool: {"type": "boolean"},
    Decimal: {"type": "string", "pattern": "^-?[0-9]+(\\.[0-9]+)?$"},
    date: {"type": "string", "format": "date"},
    datetime: {"type": "string", "format": "date-time"},
}
_WORDS = {
    str: "text",
    int: "whole number",
    float: "number",
    bool: "true or false",
    Decimal: "decimal in quotes",
    date: "day",
    datetime: "moment",
}


def schema() -> dict[str, Any]:
    """The whole schema as JSON has it; docs/claims.md links to the file that keeps it."""
    whole = _of(ClaimDocument)
    whole["properties"]["schema"]["const"] = SCHEMA
    whole["properties"]["version"]["const"] = VERSION
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": SCHEMA} | whole


def rows() -> Iterator[tuple[str, str, str]]:
    """Each field: its place as in `vehicle.vin` or `lines[].amount`, its type, its sentence."""
    yield from _rows(ClaimDocument, "")


def _of(kind: Any) -> dict[str, Any]:
    options = typing.get_args(kind)
    if isinstance(kind, types.UnionType):
        inner = next(one for one in options if one is not type(None))
        return {"anyOf": [_of(inner), {"type": "null"}]}
    if typing.get_origin(kind) is tuple:
        return {"type": "array", "items": _of(options[0])}
    if not is_dataclass(kind):
        return dict(_VALUES[kind])
    hints = types_of(typing.cast(type, kind))
    return {
        "type": "object",
        "required": [one.name for one in fields(kind)],
        "properties": {
            one.name: _of(hints[one.name]) | {"description": one.metadata["words"]}
            for one in fields(kind)
        },
    }


def _rows(kind: Any, before: str) -> Iterator[tuple[str, str, str]]:
    hints = types_of(kind)
    for one in fields(kind):
        wanted, place, may_lack = hints[one.name], f"{before}{one.name}", ""
        if isinstance(wanted, types.UnionType):
            wanted = next(each for each in typing.get_args(wanted) if each is not type(None))
            may_lack = " or null"
        many = typing.get_origin(wanted) is tuple
        inner = typing.get_args(wanted)[0] if many else wanted
        name = "object" if is_dataclass(inner) else _WORDS[inner]
        said = f"list, each {name}" if many else name
        yield place, said + may_lack, one.metadata["words"]
        if is_dataclass(inner):
            yield from _rows(inner, f"{place}[]." if many else f"{place}.")
