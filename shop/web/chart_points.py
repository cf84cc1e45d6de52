"""Points fit to be drawn: finite, and no more of them than a picture can show. Pure."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from shop.charting import Band, Bars, Dots, Layer, Level, Line

MOST = 1_600


def usable(layers: Iterable[Layer]) -> list[Layer]:
    """The layers with only what can be drawn; one with nothing left is dropped."""
    return [one for one in map(_usable, layers) if one is not None]


def _usable(layer: Layer) -> Layer | None:
    if isinstance(layer, Level):
        return layer if math.isfinite(layer.at) else None
    if isinstance(layer, Bars):
        kept = [at for at, (_, value) in enumerate(layer.bars) if math.isfinite(value)]
        bars = tuple(layer.bars[at] for at in kept)
        roles = tuple(layer.roles[at] for at in kept if at < len(layer.roles))
        limits = tuple(layer.limits[at] for at in kept if at < len(layer.limits))
        limits = limits if all(math.isfinite(end) for pair in limits for end in pair) else ()
        return replace(layer, bars=bars, roles=roles, limits=limits) if bars else None
    if isinstance(layer, Band):
        band = tuple(point for point in layer.points if all(map(math.isfinite, point)))
        return replace(layer, points=band) if band else None
    points = tuple(point for point in layer.points if all(map(math.isfinite, point)))
    if isinstance(layer, Line):
        points = tuple(thinned(points))
    return replace(layer, points=points) if points else None


def thinned(points: Sequence[tuple[float, float]], most: int = MOST) -> list[tuple[float, float]]:
    """At most `most` points that keep the first, the last, and every stretch's lowest and highest.

    Points that do not run from left to right (a loop) are thinned evenly instead.
    """
    if len(points) <= most:
        return list(points)
    if any(after[0] < before[0] for before, after in pairwise(points)):
        step = (len(points) - 1) / (most - 1)
        return [points[round(at * step)] for at in range(most)]
    stretches = (most - 2) // 2
    length = (len(points) - 2) / stretches
    kept = {0, len(points) - 1}
    for at in range(stretches):
        some = range(1 + int(at * length), 1 + int((at + 1) * length))
        kept.add(min(some, key=lambda number: points[number][1]))
        kept.add(max(some, key=lambda number: points[number][1]))
    return [points[number] for number in sorted(kept)]


def numbers(layers: Iterable[Layer]) -> tuple[list[float], list[float]]:
    """All numbers across and all numbers up, levels among them."""
    across: list[float] = []
    up: list[float] = []
    for layer in layers:
        if isinstance(layer, Level):
            (up if layer.axis == "y" else across).append(layer.at)
        elif isinstance(layer, Band):
            across += [x for x, _, _ in layer.points]
            up += [end for _, low, high in layer.points for end in (low, high)]
        elif isinstance(layer, Line | Dots):
            across += [x for x, _ in layer.points]
            up += [y for _, y in layer.points]
    return across, up
