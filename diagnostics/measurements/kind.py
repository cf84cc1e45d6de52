"""A kind of measurement: what it asks, where it is made, and how it is worked out. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from diagnostics.measurements.fields import FieldOf
from diagnostics.measurements.given import Given, InputError
from diagnostics.measurements.known import Known
from diagnostics.measurements.outcome import Outcome
from shop import units


class Group(StrEnum):
    """Under which heading a kind is offered."""

    WHEEL_SPEED = "Wheel speed"
    ELECTRICS = "Electrics"
    HYDRAULICS = "Hydraulics"
    STEERING = "Steering and alignment"
    DISCS = "Discs and linings"
    BRAKING = "Braking"
    FLUID = "Brake fluid"


Place = Literal["car", "axle", "wheel", "any"]


def _no_doubt(_given: Given, _known: Known) -> InputError | None:
    return None


@dataclass(frozen=True, slots=True)
class DerivedQuantity:
    """A quantity that a kind produces; the catalogue may set limits for it by its key."""

    key: str
    name: str
    kind: units.Kind
    unit: str


@dataclass(frozen=True, slots=True)
class MeasurementKind:
    """One thing that can be worked out.

    key: never changed once used. version: raised whenever the same input may give another outcome.
    purpose: one sentence, why one does it. cautions: shown before the fields.
    place: "car" has no position; "wheel" asks for a corner, "axle" for an axle, "any" may have one.
    capture: whether an instrument's file belongs to it.
    work_out: raises InputError for what the fields cannot check alone.
    doubt: what is asked before it is worked out, and may be confirmed: a unit that does not fit the
    limit known here.
    """

    key: str
    name: str
    group: Group
    purpose: str
    fields: tuple[FieldOf, ...]
    quantities: tuple[DerivedQuantity, ...]
    work_out: Callable[[Given, Known], Outcome]
    version: int = 1
    place: Place = "car"
    cautions: tuple[str, ...] = ()
    capture: Literal["none", "may", "must"] = "none"
    doubt: Callable[[Given, Known], InputError | None] = _no_doubt
