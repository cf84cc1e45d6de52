"""The single inputs that a measurement's form is drawn from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Box:
    """One input of the page."""

    name: str
    label: str
    text: str
    errors: Sequence[str]
    required: bool = False
    options: tuple[tuple[str, str], ...] = ()
    decimal: bool = True
    head: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """A row of a grid."""

    label: str
    boxes: tuple[Box, ...]

    @property
    def errors(self) -> tuple[str, ...]:
        return tuple(sentence for box in self.boxes for sentence in box.errors)


@dataclass(frozen=True, slots=True)
class UnitBox:
    """The choice of a unit beside a field; only its sign when there is but one."""

    name: str
    chosen: str
    symbol: str
    choices: tuple[tuple[str, str], ...]
    errors: Sequence[str]

    @property
    def is_choice(self) -> bool:
        return len(self.choices) > 1
