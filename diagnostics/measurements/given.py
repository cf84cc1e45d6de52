"""What was typed, read into SI numbers: or every mistake at once, each beside its field. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import cast

Cell = float | str | None
Row = Mapping[str, Cell]


class InputError(ValueError):
    """Something typed that cannot be; `field` is its name on the form, "" for the whole of it."""

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


@dataclass(frozen=True, slots=True)
class Given:
    """The values by field name, SI-coherent. What was left empty is None, "" or empty."""

    values: Mapping[str, object]

    def number(self, name: str) -> float:
        """A required number. Raises KeyError when the field does not exist or was left empty."""
        value = self.values[name]
        if value is None:
            raise KeyError(name)
        return cast(float, value)

    def number_or_none(self, name: str) -> float | None:
        return cast("float | None", self.values.get(name))

    def choice(self, name: str) -> str:
        return cast(str, self.values.get(name) or "")

    words = choice

    def ticked(self, name: str) -> bool:
        return bool(self.values.get(name))

    def day(self, name: str) -> date | None:
        return cast("date | None", self.values.get(name))

    def series(self, name: str) -> tuple[float, ...]:
        return cast("tuple[float, ...]", self.values.get(name) or ())

    def rows(self, name: str) -> Mapping[str, Row]:
        """The filled rows of a grid by their key, in the order of the grid."""
        return cast("Mapping[str, Row]", self.values.get(name) or {})
