"""The claim document as JSON and as CSV, and back from JSON. Pure.

JSON: UTF-8, amounts as decimal strings, days and moments by ISO 8601 (moments with their offset
from UTC), every field always there. CSV: one row a line, what belongs to the claim repeated.
"""

from __future__ import annotations

import csv
import io
import json
import types
import typing
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any

from jobs.claims.document import SCHEMA, VERSION, ClaimDocument
from shop.tables import Cell, Column, Reads, Table, text_rows

COLUMNS = (
    Column("claim", "Number of the claim"),
    Column("submission", "Which sending, 0 for a draft", Reads.WHOLE),
    Column("sent_on", "Day it was sent", Reads.DATE),
    Column("workshop", "Who asks"),
    Column("payer", "Who is asked"),
    Column("account", "The workshop’s number in the payer’s books"),
    Column("order", "Number of the repair order"),
    Column("complaint_line", "Line of the complaint on it", Reads.WHOLE),
    Column("vin", "Vehicle identification number"),
    Column("plate", "Number plate"),
    Column("odometer_m", "Distance when it came, metres", Reads.WHOLE),
    Column("line", "Place in the table of lines", Reads.WHOLE),
    Column("kind", "labour, part, handling, sublet or tax"),
    Column("text", "What is asked for"),
    Column("part_number", "Number of the part"),
    Column("quantity", "How many, or how many hours", Reads.NUMBER),
    Column("unit_price", "Price of one", Reads.AMOUNT),
    Column("amount", "What is asked for this line", Reads.AMOUNT),
    Column("currency", "Sign of the currency"),
)


class DocumentError(ValueError):
    """What is no claim document; says where and why."""


def to_json(document: ClaimDocument) -> str:
    """Ends with a line feed; the same document gives the same text, byte for byte."""
    return json.dumps(_plain(document), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def from_json(text: str) -> ClaimDocument:
    """The document that `to_json` wrote. Raises DocumentError for anything else.

    Fields that are not known are passed over, so that a later version with more can be read.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise DocumentError(f"This is not JSON: {error}.") from error
    if not isinstance(data, dict) or data.get("schema") != SCHEMA:
        raise DocumentError(f"This is no claim document: its schema is not {SCHEMA!r}.")
    if data.get("version") != VERSION:
        raise DocumentError(
            f"This claim document has version {data.get('version')!r}; {VERSION} is read here."
        )
    document: ClaimDocument = _read(data, ClaimDocument, "document")
    return document


def to_csv(document: ClaimDocument) -> str:
    """One row a line; text that a spreadsheet would take for a formula gets an apostrophe."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows(text_rows(Table("claim", COLUMNS, _rows(document))))
    return out.getvalue()


def _rows(document: ClaimDocument) -> list[tuple[Cell, ...]]:
    claim, vehicle, order = document.claim, document.vehicle, document.order
    head: tuple[Cell, ...] = (
        claim.number,
        claim.submission,
        claim.sent_at.date() if claim.sent_at else None,
        document.workshop.name,
        document.payer.name,
        document.workshop.account,
        order.number,
        order.line,
        vehicle.vin,
        vehicle.plate,
        vehicle.odometer_in.distance_m,
    )
    return [
        (
            *head,
            line.order,
            line.kind,
            line.text,
            line.part_number,
            line.quantity,
            line.unit_price,
            line.amount,
            claim.currency,
        )
        for line in document.lines
    ]


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, datetime | date):
        return value.isoformat()
    return value


@cache
def types_of(kind: type) -> dict[str, Any]:
    """The fields of a part of the document with their types."""
    return typing.get_type_hints(kind)


def _read(data: Any, kind: Any, where: str) -> Any:
    options = typing.get_args(kind)
    if isinstance(kind, types.UnionType):
        if data is None:
            return None
        return _read(data, next(one for one in options if one is not type(None)), where)
    if typing.get_origin(kind) is tuple:
        if not isinstance(data, list):
            raise DocumentError(f"{where} is not a list.")
        return tuple(_read(one, options[0], f"{where}[{at}]") for at, one in enumerate(data))
    if is_dataclass(kind):
        return _read_part(data, kind, where)
    return _read_value(data, kind, where)


def _read_part(data: Any, kind: Any, where: str) -> Any:
    if not isinstance(data, dict):
        raise DocumentError(f"{where} is not an object.")
    found = {}
    for name, wanted in types_of(kind).items():
        if name not in data:
            raise DocumentError(f"{where} has no {name!r}.")
        found[name] = _read(data[name], wanted, f"{where}.{name}")
    return kind(**found)


def _read_value(data: Any, kind: Any, where: str) -> Any:
    try:
        if kind in (Decimal, date, datetime) and isinstance(data, str):
            value = Decimal(data) if kind is Decimal else kind.fromisoformat(data)
            if kind is not Decimal or value.is_finite():
                return value
            raise InvalidOperation
    except (ValueError, InvalidOperation) as error:
        raise DocumentError(f"{where} cannot be read: {data!r}.") from error
    if kind is float and isinstance(data, int) and not isinstance(data, bool):
        return float(data)
    if type(data) is not kind:
        raise DocumentError(f"{where} is not {_NAMES[kind]}: {data!r}.")
    return data


_NAMES = {
    str: "text",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
    Decimal: "a decimal number in quotes",
    date: "a day",
    datetime: "a moment",
}
