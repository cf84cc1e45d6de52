"""How each role is drawn: colour by name, dash, weight and shape, never colour alone. Pure.

A drawing carries a stand-in for each colour. The page puts its own custom properties in their
place, so that a chart follows the theme; paper puts fixed inks there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from shop.charting import Role

Shape = Literal["circle", "square", "triangle-up", "triangle-down", "diamond", "cross"]
Ground = Literal["page", "paper"]


@dataclass(frozen=True, slots=True)
class Look:
    """dash: lengths drawn and left out, in pixels; empty for a line without a gap. size: of a
    separate mark, in square pixels. hollow: the mark is an outline."""

    dash: tuple[int, ...] = ()
    width: float = 2.0
    shape: Shape = "circle"
    size: int = 52
    hollow: bool = False


LOOKS: Mapping[Role, Look] = MappingProxyType(
    {
        "value": Look(width=2.25),
        "second": Look((8, 4), shape="diamond", size=60),
        "third": Look((2, 3), width=2.25, shape="cross", size=64),
        "fourth": Look((9, 3, 2, 3), shape="triangle-down", size=60),
        "limit": Look((10, 4), width=1.5, shape="diamond", hollow=True),
        "good": Look(width=1.75),
        "near": Look((6, 3), width=1.75, shape="triangle-up", size=70),
        "bad": Look((3, 2), width=2.25, shape="square", size=64),
        "soft": Look(width=1.25, size=30, hollow=True),
    }
)
DASHED = (5, 4)

# Inks on white paper; the verdicts and greys are those of papers-body.css.
PAPER: Mapping[str, str] = MappingProxyType(
    {
        "value": "#1b2a41",
        "second": "#0b62a4",
        "third": "#8c3f74",
        "fourth": "#5d5b00",
        "limit": "#ad3f00",
        "good": "#006b4e",
        "near": "#855400",
        "bad": "#ad3f00",
        "soft": "#576271",
        "words": "#576271",
        "ink": "#1b2a41",
        "rule": "#d9d2c3",
        "edge": "#6f7884",
        "ground": "#ffffff",
    }
)
COLOURS = tuple(PAPER)
STAND_IN: Mapping[str, str] = MappingProxyType(
    {name: f"#0b0c{number:02x}" for number, name in enumerate(COLOURS, 1)}
)
_NAME_OF: Mapping[str, str] = MappingProxyType({code: name for name, code in STAND_IN.items()})


def look_of(role: Role, *, dashed: bool = False) -> Look:
    """How a role is drawn; `dashed` breaks a line that would have no gap."""
    look = LOOKS[role]
    if dashed and not look.dash:
        return Look(DASHED, look.width, look.shape, look.size, look.hollow)
    return look


def colour_on(code: str, ground: Ground) -> str:
    """What stands for a stand-in colour on a ground: a custom property, or an ink.

    Raises KeyError for a colour that is none of ours.
    """
    name = _NAME_OF[code]
    return PAPER[name] if ground == "paper" else f"var(--chart-{name})"
