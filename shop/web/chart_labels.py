"""Where the words of a chart go, so that none lies on another or on what it names. Pure.

All measures are pixels, x to the right and y downwards, as they are drawn.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

Align = Literal["left", "center", "right"]
LINE_HEIGHT = 1.25
_BOLD = 1.1
_BREAK = re.compile(r"[ \t\r\n]+")  # a space that does not break keeps a number with its unit
# Widths of letters in ems, on the generous side: the reader's own font decides.
_SLIM = frozenset("iljftrI.,:;'’‘|!()[]/ \u00a0\u2009\u202f·")
_BROAD = frozenset("mwMWΩ%@—ABCDGHKNOQRUVXÄÖÜ+−=±≤≥")


@dataclass(frozen=True, slots=True)
class Box:
    """align: the side from which words in it are set, so that what they take less or more than was
    reckoned is not on the side of what they name."""

    left: float
    top: float
    width: float
    height: float
    align: Align = "left"

    @property
    def anchor(self) -> float:
        """Where words in the box are set from."""
        share = {"left": 0.0, "center": 0.5, "right": 1.0}[self.align]
        return self.left + share * self.width

    @property
    def right(self) -> float:
        return self.left + self.width

    @property
    def bottom(self) -> float:
        return self.top + self.height

    def holds(self, x: float, y: float) -> bool:
        """Whether a point lies in the box."""
        return self.left <= x <= self.right and self.top <= y <= self.bottom

    def overlap(self, other: Box) -> float:
        """The common area of two boxes, square pixels; 0 when they stand apart."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        high = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(0.0, wide) * max(0.0, high)

    def inside(self, other: Box) -> bool:
        """Whether this box lies wholly within another."""
        return (
            other.left <= self.left
            and self.right <= other.right
            and other.top <= self.top
            and self.bottom <= other.bottom
        )


def width_of(text: str, font: float, *, bold: bool = False) -> float:
    """About how wide a text is at `font` pixels, rather too wide than too narrow."""
    ems = sum(0.36 if c in _SLIM else 0.8 if c in _BROAD else 0.63 for c in text)
    return ems * font * (_BOLD if bold else 1.0)


def wrapped(
    text: str, room: float, font: float, *, most: int = 3, bold: bool = False
) -> tuple[str, ...]:
    """A text in at most `most` lines of `room` pixels; what does not fit ends in an ellipsis."""
    room = room / _BOLD if bold else room
    lines: list[str] = []
    for word in filter(None, _BREAK.split(text)):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, font) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    kept = lines[:most]
    if len(lines) > most:
        kept[-1] += "…"
    return tuple(_shortened(line, room, font) for line in kept)


def _shortened(line: str, room: float, font: float) -> str:
    if width_of(line, font) <= room:
        return line
    while len(line) > 1 and width_of(f"{line}…", font) > room:
        line = line[:-1]
    return f"{line.rstrip('…').rstrip()}…"


def spread(wanted: Sequence[tuple[float, float]], low: float, high: float) -> list[float]:
    """Middles for labels beside an axis: as near as can be to what each wants, none overlapping.

    wanted: (middle, height) of each. low, high: between them the labels lie. Labels that have no
    room together keep their order and reach beyond `high`.
    """
    order = sorted(range(len(wanted)), key=lambda at: (wanted[at][0], at))
    middles = [0.0] * len(wanted)
    floor = low
    for at in order:
        middle, height = wanted[at]
        middles[at] = max(middle, floor + height / 2)
        floor = middles[at] + height / 2
    ceiling = max(high, low + sum(height for _, height in wanted))
    for at in reversed(order):
        height = wanted[at][1]
        middles[at] = min(middles[at], ceiling - height / 2)
        ceiling = middles[at] - height / 2
    return middles


def place(
    candidates: Iterable[Box],
    frame: Box,
    marks: Sequence[tuple[float, float]],
    taken: list[Box],
    *,
    most: int = 40,
) -> Box | None:
    """The candidate within `frame` that covers least of the marks and no word already placed.

    Earlier candidates win when they are as good. The box found is added to `taken`; None when
    every candidate lies on a word, leaves the frame, or covers more than `most` points of marks.
    """
    best: tuple[int, Box] | None = None
    for box in candidates:
        if not box.inside(frame) or any(box.overlap(other) > 0 for other in taken):
            continue
        covered = sum(box.holds(x, y) for x, y in marks)
        if best is None or covered < best[0]:
            best = (covered, box)
    if best is None or best[0] > most:
        return None
    taken.append(best[1])
    return best[1]


def along(points: Sequence[tuple[float, float]], every: float = 4.0) -> list[tuple[float, float]]:
    """Points every few pixels along a broken line, so that a label can see what lies under it."""
    found: list[tuple[float, float]] = list(points[:1])
    for (x0, y0), (x1, y1) in pairwise(points):
        steps = min(400, max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / every)))
        found += [
            (x0 + (x1 - x0) * n / steps, y0 + (y1 - y0) * n / steps) for n in range(1, steps + 1)
        ]
    return found
