"""A signature drawn on the tablet: strokes as typed by the pad, checked, and as an SVG path. Pure.

The pad is 600 wide and 200 high. Strokes are separated by ";", the points of a stroke by spaces,
and a point is "x,y" in whole units of the pad: "12,80 14,82;300,90 310,95".
"""

from __future__ import annotations

import re
from urllib.parse import quote

WIDTH, HEIGHT = 600, 200
MOST_STROKES = 80
MOST_POINTS = 4000  # of all strokes together
LONGEST = 40_000  # characters
_POINT = re.compile(r"([0-9]{1,3}),([0-9]{1,3})")

Point = tuple[int, int]
Strokes = tuple[tuple[Point, ...], ...]


class SignatureError(ValueError):
    """What was sent is no drawing; `sentence` says what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def parse(text: str) -> Strokes:
    """The strokes of a drawing; none for an empty one.

    Raises SignatureError for more than the pad can send, for a point that lies outside it or is
    no pair of whole numbers, and for a drawing of single dots, which is no signature.
    """
    text = text.strip()
    if not text:
        return ()
    if len(text) > LONGEST:
        raise SignatureError("The drawing is too large. Clear it and sign again.")
    strokes = tuple(tuple(_point(one) for one in stroke.split()) for stroke in text.split(";"))
    if len(strokes) > MOST_STROKES or sum(map(len, strokes)) > MOST_POINTS:
        raise SignatureError("The drawing has too many lines. Clear it and sign again.")
    if not all(strokes):
        raise SignatureError(_BROKEN)
    if all(len(set(stroke)) == 1 for stroke in strokes):
        raise SignatureError("Only dots were drawn. Clear them and sign, or leave it empty.")
    return strokes


def written(strokes: Strokes) -> str:
    """The text that `parse` reads."""
    return ";".join(" ".join(f"{x},{y}" for x, y in stroke) for stroke in strokes)


def path(strokes: Strokes) -> str:
    """The `d` of an SVG path in the pad's units; a dot is a line without length."""
    return "".join(_stroke(stroke) for stroke in strokes)


def path_of(text: str) -> str:
    """The path of what is stored; empty for what cannot be read."""
    try:
        return path(parse(text))
    except SignatureError:
        return ""


def picture_of(text: str) -> str:
    """A data: address of the drawing for paper; empty for what cannot be read."""
    drawn = path_of(text)
    if not drawn:
        return ""
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}">'
        f'<path d="{drawn}" fill="none" stroke="#1b2a41" stroke-width="4" '
        'stroke-linecap="round" stroke-linejoin="round"/></svg>'
    )
    return "data:image/svg+xml," + quote(svg)


_BROKEN = "The drawing could not be read. Clear it and sign again."


def _point(text: str) -> Point:
    found = _POINT.fullmatch(text)
    if found is None:
        raise SignatureError(_BROKEN)
    x, y = int(found[1]), int(found[2])
    if x > WIDTH or y > HEIGHT:
        raise SignatureError(_BROKEN)
    return x, y


def _stroke(stroke: tuple[Point, ...]) -> str:
    (x, y), rest = stroke[0], stroke[1:] or stroke
    return f"M{x} {y}" + "".join(f"L{x} {y}" for x, y in rest)
