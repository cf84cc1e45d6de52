"""The two sizes in which a chart is drawn, in CSS pixels. Pure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Size:
    """width: of the whole drawing. plot: height of what lies between the axes. square: side of a
    disc's plot. font: of all words; the page shows no drawing so small that it falls below 11.
    beside: room for names to the right of the plot, 0 where they stand in a key."""

    name: str
    width: float
    plot: float
    square: float
    font: float
    beside: float
    across: int
    up: int


NARROW = Size("narrow", width=320, plot=190, square=290, font=12.5, beside=0, across=4, up=5)
WIDE = Size("wide", width=600, plot=240, square=300, font=13, beside=132, across=6, up=6)
SIZES = (NARROW, WIDE)
