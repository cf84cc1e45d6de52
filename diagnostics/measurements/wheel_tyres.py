"""Tyre and tooth ring as the kinds of wheel speed ask for them. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from diagnostics.compute.wheel_speed import similar_sizes
from diagnostics.measurements.fields import Number, Words
from diagnostics.measurements.given import Given, InputError
from shop.tyres import TyreError, TyreSize, parse_tyre
from shop.units import Kind, format_value

TYRE_SOURCE = (
    "Tyre: outer diameter from the size marked; rolled in one turn 3.05 outer diameters for a "
    "radial tyre (from memory; a printed figure of 3.1 % shorter under load supports it)."
)
FORMULA = "f = N v / C: teeth, speed, distance rolled in one turn (definition)."

_MM = 1000.0


def tyre_field(*, required: bool = True, help: str = "") -> Words:
    """Asks for a tyre size, filled in from the vehicle's."""
    return Words("tyre", "Tyre size", required=required, known="tyre", help=help)


def teeth_field(*, required: bool = True, help: str = "") -> Number:
    """Asks for the teeth of a ring, filled in from the platform\'s figure."""
    return Number(
        "teeth",
        "Teeth on the ring",
        Kind.COUNT,
        "count",
        required=required,
        known="teeth",
        lowest=8,
        highest=200,
        whole=True,
        help=help,
    )


@dataclass(frozen=True, slots=True)
class Tyre:
    """A tyre size with its lengths in metres."""

    size: TyreSize

    @property
    def words(self) -> str:
        return self.size.normal_form()

    @property
    def diameter(self) -> float:
        return self.size.outer_diameter_mm / _MM

    @property
    def plain(self) -> float:
        """Circumference of the unloaded tyre."""
        return self.size.circumference_mm / _MM

    @property
    def rolling(self) -> float:
        return self.size.rolling_circumference_mm / _MM

    @property
    def shorter(self) -> float:
        """How much shorter than the plain circle it rolls, a ratio."""
        return 1 - self.rolling / self.plain

    def as_another_size(self, diameter: float) -> tuple[str, ...]:
        """Sizes on the same rim that come close to an outer diameter in metres."""
        return similar_sizes(self.size, diameter * _MM)


def tyre_of(text: str, field: str) -> Tyre | None:
    """The size typed, None for nothing. Raises InputError beside `field`."""
    if not text:
        return None
    try:
        return Tyre(parse_tyre(text))
    except TyreError as error:
        raise InputError(error.sentence, field) from error


def tyre_given(given: Given) -> Tyre | None:
    """The tyre of `tyre_field`. Raises InputError."""
    return tyre_of(given.words("tyre"), "tyre")


def rolled_in_words(tyre: Tyre) -> str:
    """How both circumferences compare."""
    return (
        f"{tyre.words} rolls {format_value(tyre.rolling, 'mm', decimals=0)} in one turn under "
        f"load, {format_value(tyre.shorter, '%', digits=2)} less than the plain circle of "
        f"{format_value(tyre.plain, 'mm', decimals=0)}."
    )
