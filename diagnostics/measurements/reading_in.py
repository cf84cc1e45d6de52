"""From what was typed to what is given: every mistake at once, each beside its field. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from diagnostics.compute.magnitude import unit_doubt
from diagnostics.measurements.fields import (
    Choice,
    Column,
    Day,
    FieldOf,
    Grid,
    Number,
    Series,
    Tick,
    Words,
)
from diagnostics.measurements.given import Cell, Given, InputError, Row
from shop import units

Typed = Mapping[str, str]
SURE = "sure"
"""Name of the tick by which the person says that a doubted unit is right."""

_FILL_IN = "Fill this in."
# What is typed at a car in a unit of its own lies between these, or is nought.
_SMALLEST, _LARGEST = 1e-9, 1e12


class InputErrors(ValueError):
    """Everything that cannot be, by field name.

    doubts: True when nothing is wrong but a unit is doubted, which the person may confirm.
    """

    def __init__(self, errors: Mapping[str, str], *, doubts: bool = False) -> None:
        super().__init__("; ".join(errors.values()))
        self.errors = dict(errors)
        self.doubts = doubts


class _Doubt(InputError):
    """A value that is probably meant in another unit."""


def read_typed(fields: tuple[FieldOf, ...], typed: Typed) -> Given:
    """The values that were typed, SI-coherent.

    `typed` holds the form's texts by name; fields left out count as empty. Raises InputErrors with
    a sentence for each field that cannot be read, or that is doubted while `sure` is not ticked.
    """
    values: dict[str, object] = {}
    errors: dict[str, str] = {}
    doubts: dict[str, str] = {}
    sure = bool(_text(typed, SURE))
    for field in fields:
        try:
            values[field.name] = _READERS[field.shape](field, typed, sure)
        except _Doubt as doubt:
            doubts[doubt.field or field.name] = doubt.sentence
        except InputError as error:
            errors[error.field or field.name] = error.sentence
    if errors or doubts:
        raise InputErrors(errors | doubts, doubts=bool(doubts))
    return Given(values)


def names_of(field: FieldOf) -> tuple[str, ...]:
    """Every name that the field has on the form."""
    match field:
        case Number():
            return (field.name, f"{field.name}-unit")
        case Series():
            boxes = tuple(f"{field.name}-{number}" for number in range(1, field.boxes + 1))
            return (*boxes, f"{field.name}-unit")
        case Grid():
            cells = tuple(
                f"{field.name}-{row}-{column.name}"
                for row, _label in field.rows
                for column in field.columns
            )
            chosen = tuple(
                f"{field.name}-{one.name}-unit" for one in field.columns if isinstance(one, Number)
            )
            return cells + chosen
    return (field.name,)


def _text(typed: Typed, name: str) -> str:
    return typed.get(name, "").strip()


def _unit(typed: Typed, name: str, field: Number | Series) -> str:
    chosen = _text(typed, name) or field.unit
    try:
        fits = units.kind_of(chosen) is field.kind
    except units.UnitError as error:
        raise InputError(error.sentence, name) from error
    if not fits:
        raise InputError(f"{chosen} is not a unit of {field.kind}.", name)
    return chosen


def _quantity(text: str, unit: str, field: Number | Series, at: str, *, sure: bool) -> float:
    """One typed number in SI, inside what can be."""
    if units.shows_over_range(text):
        raise InputError("An open circuit or over range cannot be worked with here.", at)
    try:
        number = units.parse_number(text)
        value = units.to_si(number, unit)
    except units.UnitError as error:
        raise InputError(error.sentence, at) from error
    if number and not _SMALLEST <= abs(number) <= _LARGEST:
        size = "small" if abs(number) < _SMALLEST else "large"
        raise InputError(
            f"That number is too {size} to be a measurement. Check the digits and the unit.", at
        )
    if isinstance(field, Number) and field.whole and number != int(number):
        raise InputError("Type a whole number.", at)
    if field.lowest is not None and value < field.lowest:
        least = units.format_value(field.lowest, unit)
        raise InputError(f"This cannot be below {least}.", at)
    if field.highest is not None and value > field.highest:
        most = units.format_value(field.highest, unit)
        raise InputError(f"This cannot be above {most}.", at)
    if not sure:
        _ask_about_unit(value, unit, field, at)
    return value


def _ask_about_unit(value: float, unit: str, field: Number | Series, at: str) -> None:
    if field.usual is None:
        return
    doubt = unit_doubt(value, unit, *field.usual)
    if doubt is not None:
        raise _Doubt(doubt.sentence, at)


def _number(field: Number, typed: Typed, sure: bool) -> float | None:
    text = _text(typed, field.name)
    if not text:
        if field.required:
            raise InputError(_FILL_IN, field.name)
        return None
    unit = _unit(typed, f"{field.name}-unit", field)
    return _quantity(text, unit, field, field.name, sure=sure)


def _choice(field: Choice, typed: Typed, sure: bool) -> str:
    chosen = _text(typed, field.name)
    if not chosen and field.required:
        raise InputError("Choose one.", field.name)
    if chosen and chosen not in dict(field.options):
        raise InputError("Choose one of the answers offered.", field.name)
    return chosen


def _words(field: Words, typed: Typed, sure: bool) -> str:
    text = " ".join(typed.get(field.name, "").split())
    if not text and field.required:
        raise InputError(_FILL_IN, field.name)
    if len(text) > field.longest:
        raise InputError(f"At most {field.longest} characters.", field.name)
    return text


def _tick(field: Tick, typed: Typed, sure: bool) -> bool:
    return bool(_text(typed, field.name))


def _day(field: Day, typed: Typed, sure: bool) -> date | None:
    text = _text(typed, field.name)
    if not text:
        if field.required:
            raise InputError(_FILL_IN, field.name)
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError("Type the day as 2026-05-31.", field.name) from None


def _series(field: Series, typed: Typed, sure: bool) -> tuple[float, ...]:
    unit = _unit(typed, f"{field.name}-unit", field)
    texts = [_text(typed, f"{field.name}-{number}") for number in range(1, field.boxes + 1)]
    filled = [number for number, text in enumerate(texts, 1) if text]
    if not filled and not field.required:
        return ()
    if filled and filled[-1] != len(filled):
        gap = next(number for number, text in enumerate(texts, 1) if not text)
        raise InputError(
            f"Box {gap} is empty between filled ones: fill them in order, without a gap.",
            f"{field.name}-{gap}",
        )
    if field.counts and len(filled) not in field.counts:
        wanted = " or ".join(str(count) for count in field.counts)
        raise InputError(f"Fill in {wanted} of the boxes; {len(filled)} are filled.", field.name)
    if len(filled) < field.least:
        raise InputError(
            f"At least {field.least} are needed; {len(filled)} are filled.", field.name
        )
    return tuple(
        _quantity(texts[number - 1], unit, field, f"{field.name}-{number}", sure=sure)
        for number in filled
    )


def _grid(field: Grid, typed: Typed, sure: bool) -> Mapping[str, Row]:
    chosen = {
        one.name: _unit(typed, f"{field.name}-{one.name}-unit", one)
        for one in field.columns
        if isinstance(one, Number)
    }
    rows: dict[str, Row] = {}
    for key, _label in field.rows:
        texts = {one.name: _text(typed, f"{field.name}-{key}-{one.name}") for one in field.columns}
        # A choice that begins with an answer says nothing of its own.
        begun = any(
            texts[one.name] not in ("", one.default if isinstance(one, Choice) else "")
            for one in field.columns
        )
        if not begun:
            continue
        rows[key] = {
            one.name: _cell(one, texts[one.name], chosen, f"{field.name}-{key}-{one.name}", sure)
            for one in field.columns
        }
    if len(rows) < field.least:
        raise InputError(
            f"Fill in at least {field.least} rows." if field.least > 1 else "Fill in a row.",
            field.name,
        )
    return rows


def _cell(column: Column, text: str, chosen: Mapping[str, str], at: str, sure: bool) -> Cell:
    if isinstance(column, Choice):
        text = text or column.default
    if not text:
        if column.required:
            raise InputError(_FILL_IN, at)
        return None if isinstance(column, Number) else ""
    if isinstance(column, Number):
        return _quantity(text, chosen[column.name], column, at, sure=sure)
    if isinstance(column, Choice) and text not in dict(column.options):
        raise InputError("Choose one of the answers offered.", at)
    if isinstance(column, Words) and len(text) > column.longest:
        raise InputError(f"At most {column.longest} characters.", at)
    return text


_READERS: Mapping[str, Callable[..., object]] = {
    "number": _number,
    "choice": _choice,
    "words": _words,
    "tick": _tick,
    "day": _day,
    "series": _series,
    "grid": _grid,
}
