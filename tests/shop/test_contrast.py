"""Every text and ground pair of the stylesheet can be read.

Oracle [R]: WCAG 2.2, success criteria 1.4.3 and 1.4.11, relative luminance and contrast ratio as
defined there, computed here from the published formula and by the library coloraide.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from coloraide import Color

STATIC = Path(__file__).resolve().parents[2] / "shop" / "static" / "shop"
GROUNDS = {
    "light": ["tokens.css"],
    "dark": ["tokens.css", "tokens-dark.css"],
    "high contrast": ["tokens.css", "tokens-contrast.css"],
    "high contrast, dark": ["tokens.css", "tokens-contrast.css", "tokens-contrast-dark.css"],
}
# Ink on paper, whatever theme the screen has.
PAPER = {"print.css", "papers.css", "papers-body.css", "papers-report.css", "labels.css"}
COLOUR = re.compile(r"--([a-z-]+):\s*(#[0-9a-f]{6});")
USED = re.compile(r"(?<![a-z-])(color|background|background-color):[^;]*var\(--([a-z-]+)\)")


def colours(ground: str) -> dict[str, str]:
    named: dict[str, str] = {}
    for name in GROUNDS[ground]:
        named |= dict(COLOUR.findall((STATIC / name).read_text()))
    return named


def pairs() -> list[dict[str, str]]:
    with (STATIC / "contrast-pairs.csv").open(newline="") as lines:
        return list(csv.DictReader(lines))


def channels(colour: str) -> tuple[float, float, float]:
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return red, green, blue


def luminance(colour: str) -> float:
    def linear(share: float) -> float:
        return share / 12.92 if share <= 0.03928 else ((share + 0.055) / 1.055) ** 2.4

    red, green, blue = (linear(share) for share in channels(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("ground", GROUNDS)
def test_every_pair_can_be_read_by_the_formula_of_wcag_and_by_the_library(ground: str) -> None:
    named = colours(ground)
    stricter = 7.0 if ground.startswith("high") else 0.0
    too_faint = []
    for pair in pairs():
        text, back = named[pair["text"]], named[pair["ground"]]
        ratio = contrast(text, back)
        oracle = Color(text).contrast(back, method="wcag21")
        # The library takes luminance from the unrounded matrix of sRGB, WCAG prints four digits.
        assert ratio == pytest.approx(oracle, rel=2e-4)
        needed = float(pair["minimum"])
        needed = max(needed, stricter) if needed >= 4.5 else needed
        if ratio < needed:
            too_faint.append(f"{pair['text']} on {pair['ground']}: {ratio:.2f} < {needed}")
    assert not too_faint


def test_the_formula_gives_the_ratios_that_wcag_itself_names() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1
    # The well-known greys at the edge of 4.5:1 on white.
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("ground", ["dark", "high contrast", "high contrast, dark"])
def test_each_ground_gives_every_colour_its_own_value(ground: str) -> None:
    light = set(COLOUR.findall((STATIC / "tokens.css").read_text()))
    own = dict(COLOUR.findall((STATIC / GROUNDS[ground][-1]).read_text()))
    assert {name for name, _ in light} == set(own)


def test_every_colour_used_for_text_or_ground_is_in_the_list_of_pairs() -> None:
    listed = {row[side] for row in pairs() for side in ("text", "ground")}
    drawn_only = {"rule", "edge"}  # lines, bars and swatches carry no text
    used = set()
    for sheet in STATIC.glob("*.css"):
        used |= {name for _, name in USED.findall(sheet.read_text())}
    assert used <= listed | drawn_only


def test_no_stylesheet_but_the_tokens_and_the_paper_ones_names_a_colour_of_its_own() -> None:
    own = re.compile(r"#[0-9a-fA-F]{3,8}\b|\brgb\(|\bhsl\(")
    allowed = {"signs.css": {"#14171c"}, "top.css": {"rgb("}}  # sign on a lit lens; a shadow
    for sheet in STATIC.glob("*.css"):
        if sheet.name.startswith("tokens") or sheet.name in PAPER:
            continue
        assert set(own.findall(sheet.read_text())) <= allowed.get(sheet.name, set()), sheet.name
