"""The fields of a measurement's form as a template draws them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from diagnostics.forms.boxes import Box, Line, UnitBox
from diagnostics.forms.filled import known_text
from diagnostics.measurements.fields import Choice, FieldOf, Grid, Number, Series, Words
from diagnostics.measurements.known import Known
from shop import units


class Texts(Protocol):
    """What a form must tell of itself to be drawn."""

    known: Known

    @property
    def is_bound(self) -> bool: ...

    def wrong_at(self, name: str) -> Sequence[str]: ...

    def text_of(self, name: str) -> str: ...


@dataclass(frozen=True, slots=True)
class Drawn:
    """One field as its template draws it."""

    form: Texts
    field: FieldOf

    @property
    def shape(self) -> str:
        return self.field.shape

    @property
    def label(self) -> str:
        return self.field.label

    @property
    def help(self) -> str:
        return self.field.help

    @property
    def required(self) -> bool:
        return bool(getattr(self.field, "required", False))

    @property
    def errors(self) -> Sequence[str]:
        return self._errors(self.field.name)

    @property
    def known_from(self) -> str:
        """The source of what was filled in beforehand; "" when nothing was."""
        known = self._known()
        return known[1] if known and self.text == known[0] else ""

    @property
    def text(self) -> str:
        """What stands in the field: typed, else known beforehand."""
        return self.form.text_of(self.field.name) or self._unbound_default()

    @property
    def box(self) -> Box:
        return Box(
            self.field.name,
            self.field.label,
            self.text,
            self.errors,
            self.required,
            getattr(self.field, "options", ()),
            decimal=isinstance(self.field, Number),
        )

    @property
    def checked(self) -> bool:
        return bool(self.form.text_of(self.field.name))

    @property
    def unit(self) -> UnitBox | None:
        if not isinstance(self.field, Number | Series):
            return None
        return self._unit(f"{self.field.name}-unit", self.field)

    @property
    def boxes(self) -> tuple[Box, ...]:
        """The boxes of a series."""
        if not isinstance(self.field, Series):
            return ()
        labels = self.field.box_labels or tuple(
            str(number) for number in range(1, self.field.boxes + 1)
        )
        return tuple(
            self._box(f"{self.field.name}-{number}", label)
            for number, label in enumerate(labels, 1)
        )

    @property
    def heads(self) -> tuple[tuple[str, UnitBox | None], ...]:
        """The columns of a grid with their units."""
        if not isinstance(self.field, Grid):
            return ()
        return tuple(
            (
                one.label,
                self._unit(f"{self.field.name}-{one.name}-unit", one)
                if isinstance(one, Number)
                else None,
            )
            for one in self.field.columns
        )

    @property
    def numbered(self) -> bool:
        """Whether the rows are only counted: the next one shows when it is needed."""
        return isinstance(self.field, Grid) and self.field.rows[0][1] == "1"

    @property
    def lines(self) -> tuple[Line, ...]:
        if not isinstance(self.field, Grid):
            return ()
        return tuple(
            Line(
                label,
                tuple(self._cell(row, f"{label}, {one.label}", one) for one in self.field.columns),
            )
            for row, label in self.field.rows
        )

    def _cell(self, row: str, label: str, column: Number | Choice | Words) -> Box:
        name = f"{self.field.name}-{row}-{column.name}"
        options = column.options if isinstance(column, Choice) else ()
        default = column.default if isinstance(column, Choice) else ""
        known = None if self.form.is_bound else known_text(column, self.form.known, row)
        text = self.form.text_of(name) or (known[0] if known else default)
        return Box(
            name,
            label,
            text,
            self._errors(name),
            options=options,
            decimal=isinstance(column, Number),
            head=column.label,
        )

    def _box(self, name: str, label: str) -> Box:
        return Box(name, label, self.form.text_of(name), self._errors(name))

    def _unit(self, name: str, field: Number | Series) -> UnitBox:
        keys = units.units_of(field.kind)
        asked = self.form.text_of(name) or self._known_unit()
        # What no page of ours sends is told as wrong, and the usual unit is offered again.
        chosen = asked if asked in keys else field.unit
        choices = tuple((key, units.symbol_of(key) or "") for key in keys)
        return UnitBox(name, chosen, units.symbol_of(chosen), choices, self._errors(name))

    def _known_unit(self) -> str:
        if self.form.is_bound or not isinstance(self.field, Number) or not self.field.known:
            return ""
        known = self.form.known.figures.get(self.field.known)
        return known.unit if known and known.value is not None else ""

    def _errors(self, name: str) -> Sequence[str]:
        return self.form.wrong_at(name)

    def _known(self) -> tuple[str, str] | None:
        if isinstance(self.field, Number | Choice | Words):
            return known_text(self.field, self.form.known)
        return None

    def _unbound_default(self) -> str:
        if self.form.is_bound:
            return ""
        known = self._known()
        if known:
            return known[0]
        return self.field.default if isinstance(self.field, Choice) else ""
