"""The four corners of a vehicle, and places said relative to a suspected one. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

CORNERS = ("LF", "RF", "LR", "RR")
SUSPECT = "suspect"
OPPOSITE = "opposite"

_ACROSS: Mapping[str, str] = MappingProxyType({"LF": "RF", "RF": "LF", "LR": "RR", "RR": "LR"})
_AXLES: Mapping[str, str] = MappingProxyType(
    {"LF": "front", "RF": "front", "LR": "rear", "RR": "rear"}
)


def is_relative(place: str) -> bool:
    """Whether the place is one only once a corner is suspected."""
    return place in (SUSPECT, OPPOSITE)


def resolve(place: str, corner: str) -> str | None:
    """The position meant by a step's place: None while the corner it needs is not known."""
    if place == SUSPECT:
        return corner or None
    if place == OPPOSITE:
        return _ACROSS.get(corner)
    return place


def axle_of(position: str) -> str:
    """The axle of a corner, "" for anything else."""
    return _AXLES.get(position, "")


_PLACES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "car": ("",),
        "wheel": CORNERS,
        "axle": ("front", "rear"),
        "any": ("", *CORNERS, "front", "rear"),
    }
)


def places_for(where: str) -> tuple[str, ...]:
    """The positions that a measurement made on a car, an axle, a wheel or anywhere may have."""
    return _PLACES[where]
