"""A report as JSON and back, exactly: what is issued is kept like this. Pure.

A field that holds what it holds when nothing is said is left out, so that a report kept today
reads the same after fields were added. Each layer of a chart says its `kind`; an amount is
{"decimal": "12.50"}, a day {"date": "2026-10-31"}; a float that is no number is "nan", "inf" or
"-inf".
"""

from __future__ import annotations

import json
import math
import operator
import types
import typing
from collections.abc import Callable, Iterable
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache
from typing import Any, Final

from jobs.reports.document import Report, Section
from shop.charting import Band, Bars, Dots, Level, Line

SCHEMA: Final = "stubaxle/monthly-report"
VERSION: Final = 1

_LAYERS: Final = {"line": Line, "dots": Dots, "band": Band, "level": Level, "bars": Bars}
_NO_NUMBERS: Final = {"nan": math.nan, "inf": math.inf, "-inf": -math.inf}


class FrozenError(ValueError):
    """What is no kept report, or cannot be kept; says where and why."""


def to_json(report: Report) -> str:
    """One line that ends with a line feed; the same report gives the same text, byte for byte.

    Raises FrozenError when a part is not of the type that the document says.
    """
    whole = {"schema": SCHEMA, "version": VERSION, "report": _plain(report, Report, "report")}
    return _text(whole)


def from_json(text: str) -> Report:
    """The report that `to_json` wrote. Raises FrozenError for anything else."""
    data = _loaded(text)
    report: Report = _read(data.get("report"), Report, "report")
    return report


def sections_to_json(sections: Iterable[Section]) -> str:
    """Sections of a report that is not whole yet."""
    made = [_plain(one, Section, "section") for one in sections]
    return _text({"schema": SCHEMA, "version": VERSION, "sections": made})


def sections_from_json(text: str) -> tuple[Section, ...]:
    """What `sections_to_json` wrote; nothing of an empty text. Raises FrozenError."""
    if not text:
        return ()
    found: tuple[Section, ...] = _read(
        _loaded(text).get("sections"), tuple[Section, ...], "sections"
    )
    return found


def _text(data: dict[str, Any]) -> str:
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return f"{text}\n"


def _loaded(text: str) -> dict[str, Any]:
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise FrozenError(f"This is not JSON: {error}.") from error
    if not isinstance(data, dict) or data.get("schema") != SCHEMA:
        raise FrozenError(f"This is no kept report: its schema is not {SCHEMA!r}.")
    if data.get("version") != VERSION:
        raise FrozenError(f"It has version {data.get('version')!r}; {VERSION} is read here.")
    return data


# ------------------------------------------------------------------ what a type is made of


@cache
def _types(kind: type) -> tuple[tuple[Field[Any], Any], ...]:
    hints = typing.get_type_hints(kind)
    return tuple((one, hints[one.name]) for one in fields(kind))


@cache
def _items(kind: Any) -> tuple[Any, ...]:
    """Of a tuple type: its items, or the one that may come any number of times."""
    return typing.get_args(kind)


def _is_open(kind: Any) -> bool:
    return len(_items(kind)) == 2 and _items(kind)[1] is Ellipsis


def _options(kind: Any) -> tuple[Any, ...]:
    return typing.get_args(kind) if isinstance(kind, types.UnionType) else ()


# ------------------------------------------------------------------ into JSON


def _plain(value: Any, kind: Any, where: str) -> Any:
    if options := _options(kind):
        return _plain_one_of(value, options, where)
    if typing.get_origin(kind) is tuple:
        return _plain_tuple(value, kind, where)
    if is_dataclass(kind):
        return _plain_part(value, typing.cast(type, kind), where)
    if typing.get_origin(kind) is typing.Literal:
        kind = str
    return _plain_value(value, kind, where)


def _plain_one_of(value: Any, options: tuple[Any, ...], where: str) -> Any:
    if value is None and type(None) in options:
        return None
    for one in options:
        if is_dataclass(one) and isinstance(value, typing.cast(type, one)):
            return _plain_part(value, typing.cast(type, one), where)
    if float in options:
        return _plain_value(value, float, where)
    for one in (str, Decimal, date, int):
        if one in options and isinstance(value, one):
            return _plain_value(value, one, where)
    if int in options:
        return _plain_value(value, int, where)
    raise FrozenError(f"{where} holds {value!r}, which has no place there.")


def _plain_tuple(value: Any, kind: Any, where: str) -> list[Any]:
    kinds = _items(kind)
    if _is_open(kind):
        return [_plain(one, kinds[0], f"{where}[{at}]") for at, one in enumerate(value)]
    if len(value) != len(kinds):
        raise FrozenError(f"{where} holds {len(value)} values in place of {len(kinds)}.")
    return [_plain(one, each, where) for one, each in zip(value, kinds, strict=True)]


def _plain_part(value: Any, kind: type, where: str) -> dict[str, Any]:
    if not isinstance(value, kind):
        raise FrozenError(f"{where} is no {kind.__name__}: {value!r}.")
    found = {}
    for one, wanted in _types(kind):
        held = getattr(value, one.name)
        if one.name == "kind" or one.default is MISSING or held != one.default:
            found[one.name] = _plain(held, wanted, f"{where}.{one.name}")
    return found


def _plain_value(value: Any, kind: Any, where: str) -> Any:
    try:
        return _WRITTEN[kind](value) if not issubclass(kind, StrEnum) else str(kind(value))
    except (TypeError, ValueError, KeyError) as error:
        raise FrozenError(f"{where} cannot be kept: {value!r}.") from error


def _number(value: Any) -> float | str:
    number = float(value)
    return number if math.isfinite(number) else str(number)


def _whether(value: Any) -> bool:
    return bool(value)


def _decimal(value: Any) -> dict[str, str]:
    return {"decimal": str(value)}


def _date(value: Any) -> dict[str, str]:
    return {"date": date(value.year, value.month, value.day).isoformat()}


_WRITTEN: Final[dict[Any, Callable[[Any], Any]]] = {
    str: str,
    int: operator.index,
    float: _number,
    bool: _whether,
    Decimal: _decimal,
    date: _date,
}

# ------------------------------------------------------------------ and back


def _read(data: Any, kind: Any, where: str) -> Any:
    if options := _options(kind):
        return _read_one_of(data, options, where)
    if typing.get_origin(kind) is tuple:
        return _read_tuple(data, kind, where)
    if is_dataclass(kind):
        return _read_part(data, typing.cast(type, kind), where)
    return _read_value(data, kind, where)


def _read_one_of(data: Any, options: tuple[Any, ...], where: str) -> Any:
    if data is None and type(None) in options:
        return None
    if Line in options:
        layer = _LAYERS.get(data.get("kind", "")) if isinstance(data, dict) else None
        if layer is None:
            raise FrozenError(f"{where} is no layer of a chart: {data!r}.")
        return _read_part(data, layer, where)
    if isinstance(data, dict):
        wanted: Any = {("decimal",): Decimal, ("date",): date}.get(tuple(data))
        parts = [one for one in options if is_dataclass(one)]
        return _read(data, wanted or (parts[0] if parts else date), where)
    if isinstance(data, str) and float not in options:
        return _read_value(data, str, where)
    return _read_value(data, float if float in options else int, where)


def _read_tuple(data: Any, kind: Any, where: str) -> tuple[Any, ...]:
    if not isinstance(data, list):
        raise FrozenError(f"{where} is not a list.")
    kinds = _items(kind)
    if _is_open(kind):
        return tuple(_read(one, kinds[0], f"{where}[{at}]") for at, one in enumerate(data))
    if len(data) != len(kinds):
        raise FrozenError(f"{where} holds {len(data)} values in place of {len(kinds)}.")
    return tuple(_read(one, each, where) for one, each in zip(data, kinds, strict=True))


def _read_part(data: Any, kind: type, where: str) -> Any:
    if not isinstance(data, dict):
        raise FrozenError(f"{where} is not an object.")
    wanted = {one.name: (one, each) for one, each in _types(kind)}
    if unknown := set(data) - set(wanted):
        raise FrozenError(f"{where} has {min(unknown)!r}, which is not known here.")
    found = {}
    for name, (one, each) in wanted.items():
        if name in data:
            found[name] = _read(data[name], each, f"{where}.{name}")
        elif one.default is MISSING:
            raise FrozenError(f"{where} has no {name!r}.")
    return kind(**found)


def _read_value(data: Any, kind: Any, where: str) -> Any:
    try:
        return _value(data, kind)
    except (TypeError, ValueError, InvalidOperation, KeyError) as error:
        raise FrozenError(f"{where} cannot be read: {data!r}.") from error


def _value(data: Any, kind: Any) -> Any:
    if typing.get_origin(kind) is typing.Literal:
        if data not in typing.get_args(kind):
            raise ValueError(data)
        return data
    if kind is float:
        return _NO_NUMBERS[data] if isinstance(data, str) else _exactly(data, float, int)
    if kind is Decimal:
        return Decimal(data["decimal"])
    if kind is date:
        return date.fromisoformat(data["date"])
    if issubclass(kind, StrEnum):
        return kind(data)
    return _exactly(data, kind)


def _exactly(data: Any, *kinds: type) -> Any:
    if type(data) not in kinds:
        raise TypeError(data)
    return kinds[0](data)
