"""The renderer's SVG made fit for a page: only what is known to draw, our colours, own ids. Pure.

What goes through is listed and everything else is left out: a strict content policy refuses style
attributes, and nothing that somebody typed may bring in an address, a script or an event.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape
from xml.etree import ElementTree

from shop.web.chart_marks import STAND_IN, Ground, colour_on
from shop.web.chart_size import Size
from shop.web.chart_vega import FONTS, plain_words

# Letters that no name can hold (see chart_vega.plain_words) mark what is put in afterwards.
_OWN, _OPEN, _SHUT = "\ue000", "\ue001", "\ue002"
_COLOURS = frozenset(STAND_IN.values())
_DRAWN = {
    "g": {"transform", "clip-path"},
    "path": {"transform", "d"},
    "line": {"transform", "x2", "y2"},
    "rect": {"x", "y", "width", "height"},
    "text": {"transform", "text-anchor", "font-weight"},
    "defs": set(),
    "clipPath": {"id"},
}
_PAINT = {"fill", "stroke"}
_LOOK = {
    "fill-opacity",
    "stroke-width",
    "stroke-dasharray",
    "stroke-linejoin",
    "stroke-opacity",
}
_LONG = re.compile(r"-?\d+\.\d{3,}(?:e-?\d+)?")
_GIVEN = re.compile(rf"{_OWN}-(\w+)")
_CLIP = re.compile(r"url\(#(\w+)\)")
_NAMED = re.compile(r"(?:^| )(?:role-(axis-(?:label|grid|tick|domain))|(\w+)_marks)(?: |$)")
_SPACE = "{http://www.w3.org/2000/svg}"


class UnknownDrawing(ValueError):
    """The renderer answered with something that we do not know how to show."""


def drawing_of(svg: str, size: Size) -> str:
    """The renderer's `svg` without what is not needed, with open places for colours and ids.

    Raises UnknownDrawing for what is no such SVG or holds a number that is none.
    """
    try:
        # The renderer's own answer, not a file from outside: it has no document type.
        root = ElementTree.fromstring(svg)  # noqa: S314
    except ElementTree.ParseError as wrong:
        raise UnknownDrawing(f"The renderer's answer is no SVG: {wrong}") from wrong
    body = "".join(part for child in root for part in _cleaned(child))
    if not body or "NaN" in svg or "Infinity" in svg:
        raise UnknownDrawing("The renderer drew nothing, or numbers that are none.")
    # The renderer counts its ids on from drawing to drawing; ours begin again in each.
    ids = list(dict.fromkeys(_GIVEN.findall(body)))
    body = _GIVEN.sub(lambda found: f"{_OWN}-{ids.index(found[1])}", body)
    width, height = (f"{float(root.get(side, '0')):.0f}" for side in ("width", "height"))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" '
        f'viewBox="0 0 {width} {height}" fill="none" font-size="{size.font:g}" '
        f'font-family="{FONTS}">{body}</svg>'
    )


def dressed(drawing: str, ground: Ground, own: str) -> str:
    """A drawing with the colours of a ground; `own` begins its ids, so that they stand alone."""
    for code in _COLOURS:
        drawing = drawing.replace(f"{_OPEN}{code}{_SHUT}", colour_on(code, ground))
    return drawing.replace(_OWN, own)


def titled(drawing: str, title: str, says: str, own: str) -> str:
    """A dressed drawing as one picture with its name and what is to be seen in it."""
    opening = (
        f'<svg role="img" aria-labelledby="{own}-title" aria-describedby="{own}-says" '
        f'focusable="false" '
    )
    words = (
        f'<title id="{own}-title">{escape(plain_words(title))}</title>'
        f'<desc id="{own}-says">{escape(plain_words(says))}</desc>'
    )
    whole = drawing.replace("<svg ", opening, 1)
    at = whole.index(">") + 1
    return f"{whole[:at]}{words}{whole[at:]}"


def _cleaned(element: ElementTree.Element) -> Iterator[str]:
    name = element.tag.removeprefix(_SPACE)
    if name not in _DRAWN or _left_out(element):
        return
    named = _NAMED.search(element.get("class", "")) if name == "g" else None
    called = (named[1] or named[2]).replace("_", "-") if named else ""
    if called == "frame":
        return
    inner = "".join(part for child in element for part in _cleaned(child))
    if name == "text":
        inner = escape("".join(element.itertext()))
    if name in {"g", "defs", "text", "clipPath"} and not inner:
        return
    attributes = "".join(
        f' {key}="{escape(value)}"' for key, value in _attributes(name, element, called)
    )
    if name == "g" and not attributes:
        yield inner
    elif inner:
        yield f"<{name}{attributes}>{inner}</{name}>"
    else:
        yield f"<{name}{attributes}/>"


def _left_out(element: ElementTree.Element) -> bool:
    return (
        element.get("display") == "none"
        or element.get("class") in {"background", "foreground"}
        or element.get("opacity") == "0"
    )


def _attributes(name: str, element: ElementTree.Element, called: str) -> Iterator[tuple[str, str]]:
    if called:
        yield "class", called
    for key, value in element.attrib.items():
        if key in _DRAWN[name] or key in _LOOK:
            if key == "id":
                yield key, f"{_OWN}-{value}"
            elif key == "clip-path":
                yield key, _CLIP.sub(rf"url(#{_OWN}-\1)", value)
            elif not (key == "transform" and value == "translate(0,0)"):
                yield key, _LONG.sub(_shorter, value)
        elif key in _PAINT and value in _COLOURS:
            yield key, f"{_OPEN}{value}{_SHUT}"
        elif key in _PAINT and value in {"none", "transparent"}:
            yield key, "none"


def _shorter(number: re.Match[str]) -> str:
    return f"{float(number[0]):.2f}".rstrip("0").rstrip(".")
