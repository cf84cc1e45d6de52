"""Tyre sizes: from the marking on the sidewall to diameters and circumferences. Pure.

W/AR R d: sidewall = W x AR / 100, outer diameter = 25.4 d + 2 sidewalls. The rolling
circumference is 3.05 times the outer diameter for radial tyres and 2.99 times for the others
(ETRTO, from memory); a tyre under load is some 3 % smaller than the plain circle.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import Literal

Construction = Literal["R", "B", "D"]

MM_PER_INCH = 25.4
ASPECT_WHEN_NOT_MARKED = 80
_ROLLING_FACTOR: dict[Construction, float] = {"R": 3.05, "B": 2.99, "D": 2.99}

_WIDTHS = (105, 395)
_ASPECTS = (20, 95)
_RIMS = (8.0, 24.0)

_SIZE = re.compile(
    r"""
    (?P<use>P|LT|ST|T)?\s*
    (?P<width>[0-9]{2,3})
    (?:\s*/\s*(?P<aspect>[0-9]{1,3}))?
    \s*(?P<build>ZR|R|B|D|-)\s*
    (?P<rim>[0-9]{1,3}(?:[.,][0-9])?)
    \s*(?P<commercial>C(?![A-Z]))?
    (?:\s*\(?\s*(?P<load>[0-9]{2,3}(?:/[0-9]{2,3})?)\s*(?P<speed>[A-HJ-NP-Y][1-8]?)\s*\)?)?
    (?P<rest>.*)
    """,
    re.VERBOSE,
)
_EXTRA = re.compile(r"\s*(?:(?P<extra>XL|EXTRA LOAD|REINFORCED|RF|RFD)|M\s*\+\s*S|TL|TUBELESS)")


class TyreError(ValueError):
    """A tyre size that cannot be read; `sentence` says what would be right."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class TyreSize:
    """A tyre size as marked. Widths in mm, `aspect` in per cent, rim diameter in inches.

    `notes` are sentences about what had to be assumed or looks unusual.
    """

    width_mm: int
    aspect: int
    rim_in: float
    construction: Construction = "R"
    aspect_assumed: bool = False
    commercial: bool = False
    load_index: str = ""
    speed_symbol: str = ""
    extra_load: bool = False
    notes: tuple[str, ...] = field(default=(), compare=False)

    @property
    def sidewall_mm(self) -> float:
        """Height of one sidewall, mm."""
        return self.width_mm * self.aspect / 100

    @property
    def outer_diameter_mm(self) -> float:
        """Diameter of the unloaded tyre, mm."""
        return self.rim_in * MM_PER_INCH + 2 * self.sidewall_mm

    @property
    def circumference_mm(self) -> float:
        """Circumference of the unloaded tyre, mm: pi times the outer diameter."""
        return math.pi * self.outer_diameter_mm

    @property
    def rolling_circumference_mm(self) -> float:
        """Distance rolled in one turn under load, mm (3.05 outer diameters when radial)."""
        return _ROLLING_FACTOR[self.construction] * self.outer_diameter_mm

    def normal_form(self) -> str:
        """The size in one way of writing: "185/65 R15 88T", "165 R15", "195/70 R15C 104/102R"."""
        width = f"{self.width_mm}" if self.aspect_assumed else f"{self.width_mm}/{self.aspect}"
        build = f"{self.construction}{self.rim_in:g}{'C' if self.commercial else ''}"
        service = f"{self.load_index}{self.speed_symbol}"
        return " ".join(part for part in (width, build, service, "XL" * self.extra_load) if part)


def parse_tyre(text: str) -> TyreSize:
    """The size read from a sidewall marking such as "185/65 R15 88T", "205/55ZR16" or "165R15".

    Without a figure after the slash the aspect is taken as 80 % and a note says so. Raises
    TyreError with a sentence that says what is wrong and shows a size that would be right.
    """
    typed = " ".join(text.split()).upper()
    if not typed:
        raise TyreError("Type the size from the sidewall, for example 185/65 R15.")
    found = _SIZE.fullmatch(typed)
    if found is None:
        raise TyreError(_why_unreadable(typed))
    extra_load = _read_the_rest(found["rest"])
    width = int(found["width"])
    aspect = int(found["aspect"]) if found["aspect"] else ASPECT_WHEN_NOT_MARKED
    rim = float(found["rim"].replace(",", "."))
    _check_ranges(width, aspect, rim)
    construction = _construction(found["build"])
    return TyreSize(
        width_mm=width,
        aspect=aspect,
        rim_in=rim,
        construction=construction,
        aspect_assumed=found["aspect"] is None,
        commercial=found["commercial"] is not None,
        load_index=found["load"] or "",
        speed_symbol=found["speed"] or "",
        extra_load=extra_load,
        notes=_notes(width, aspect_marked=found["aspect"] is not None, construction=construction),
    )


def _construction(marked: str) -> Construction:
    match marked:
        case "B":
            return "B"
        case "D" | "-":
            return "D"
        case _:
            return "R"


def _read_the_rest(rest: str) -> bool:
    """Whether the marking ends in a sign for extra load. Raises TyreError for anything unknown."""
    extra_load = False
    while rest.strip():
        found = _EXTRA.match(rest)
        if found is None:
            raise TyreError(
                f"“{rest.strip()}” at the end is not understood. "
                "Type the size alone, for example 185/65 R15 88T."
            )
        extra_load = extra_load or found["extra"] is not None
        rest = rest[found.end() :]
    return extra_load


def _why_unreadable(typed: str) -> str:
    if re.match(r"[0-9]{2}(?:\.[0-9]+)?\s*X", typed):
        return "A size in inches is not understood. Type the metric size, for example 235/75 R15."
    missing = re.match(r"(?:P|LT)?\s*([0-9]{3})\s*/\s*([0-9]{2})\s*/?\s*([0-9]{2})?$", typed)
    if missing:
        rim = missing[3] or "15"
        return (
            "The construction and the rim are missing: the letter before the rim diameter. "
            f"Type it as on the sidewall, for example {missing[1]}/{missing[2]} R{rim}."
        )
    return (
        f"“{typed}” is not a tyre size. Type width, aspect, construction and rim "
        "as on the sidewall, for example 185/65 R15."
    )


def _check_ranges(width: int, aspect: int, rim: float) -> None:
    if not _WIDTHS[0] <= width <= _WIDTHS[1]:
        raise TyreError(
            f"A width of {width} mm is not one of a car or van tyre, "
            f"which are {_WIDTHS[0]} to {_WIDTHS[1]} mm wide. Read the sidewall again."
        )
    if not _ASPECTS[0] <= aspect <= _ASPECTS[1]:
        raise TyreError(
            f"An aspect of {aspect} % is not one of a car or van tyre, "
            f"which have {_ASPECTS[0]} to {_ASPECTS[1]} %. Read the figure after the slash again."
        )
    if not _RIMS[0] <= rim <= _RIMS[1]:
        raise TyreError(
            f"A rim of {rim:g} in is not one of a car or van, "
            f"which have {_RIMS[0]:g} to {_RIMS[1]:g}. Read the figure after the letter again."
        )


def _notes(width: int, *, aspect_marked: bool, construction: Construction) -> tuple[str, ...]:
    notes = []
    if not aspect_marked:
        notes.append(
            f"No aspect is marked, so {ASPECT_WHEN_NOT_MARKED} % is assumed; 82 % is also used. "
            "Measure the tyre where the diameter matters."
        )
    if width % 10 != 5:
        notes.append(f"Widths usually end in 5: check that {width} is what the sidewall says.")
    if construction != "R":
        notes.append("Not a radial tyre: its rolling circumference is the less certain figure.")
    return tuple(notes)
