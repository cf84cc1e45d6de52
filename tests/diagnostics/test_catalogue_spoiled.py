"""One thing wrong in a sound file: the line, what is wrong and what would be right are said."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from tests.diagnostics.catalogue_shelf import line_of, read, spoil


class Spoiled(NamedTuple):
    old: str
    new: str
    at: str  # stands on the line that must be named
    wrong: str
    right: str


ALLOWED = "allowed: 1.28 to 1.50 kohm"
HUB = "    name: Hub assembly\n    system: brake_control\n    positions: LR RR"
PART = "TT1-2: {component: hub, positions: LR RR, price: 12.50}"
DRY = "          dry: {label: Dry, judged: good}\n"
WET = "          wet: {label: Wet, judged: bad, says: Dry it.}\n"
END = "          within: {goto: end}\n"
LIMIT_AT = "    component: hub\n    positions: LR RR\n    allowed"
PROVING = "proving:\n  self_test_speed: 5 km/h\n  min_distance: 5 km\n  source: sheet 1\n"
ALL_END = "".join(f"          {key}: {{goto: end}}\n" for key in ("near", "outside", "not_judged"))

SHAPE = [
    Spoiled("format: 1", "format: 2", "format: 2", "format 2 is not known", "`format: 1`"),
    Spoiled("format: 1\n", "", "platform:", "does not say its format", "`format: 1`"),
    Spoiled(
        HUB,
        HUB.replace("system", "sistem"),
        "sistem:",
        "sistem is not a key",
        "did you mean system?",
    ),
    Spoiled("  title: Trolley pages\n", "", "platform:", "title is missing", "write `title:`"),
    Spoiled("title: Trolley pages", "title:", "platform:", "title is missing", "write `title:`"),
    Spoiled(
        "  code: TT1\n",
        "  code: TT1\n  code: TT2\n",
        "code: TT2",
        "code is given twice (first in line 3)",
        "keep one",
    ),
    Spoiled(PART, PART.replace("1-2", "1-1"), "12.50", "TT1-1 is given twice", "keep one"),
    Spoiled(PART, PART.replace("TT1", "tt_"), "12.50", "'tt_-2' cannot be a key", "capitals"),
    Spoiled("price: 12.50", "price: 12.505", "12.505", "not an amount of money", "184.50"),
    Spoiled("price: 12.50", "price: cheap", "cheap", "not an amount of money", "184.50"),
    Spoiled("price: 12.50", "price: -1", "price: -1", "'-1' is too small", "the least is 0"),
    Spoiled("may_drive: yes", "may_drive: perhaps", "perhaps", "neither yes nor no", "yes or no"),
    Spoiled("kind: look", "kind: glance", "glance", "'glance' is not one of the choices", "look"),
    Spoiled(
        "quantities:\n  sensor_resistance:",
        "quantities:\n  - sensor_resistance:",
        "quantities:",
        "is not a section",
        "name: value",
    ),
    Spoiled("title: Trolley pages", "title: [a]", "title: [a]", "where text belongs", "plain text"),
]

WRITING = [
    Spoiled("  make: Testmake", "  make: &m Testmake", "&m", "anchors", "include"),
    Spoiled("  make: Testmake", "  make: !!int 4", "!!int", "the tag", "leave the tag out"),
    Spoiled("  make: Testmake", "\tmake: Testmake", "\tmake", "a tab stands", "spaces"),
    Spoiled("  make: Testmake", "  make: Test: make", "Test:", "a colon", "quotes"),
    Spoiled("  make: Testmake", " make: Testmake", " make: T", "indentation", "same number"),
    Spoiled("  make: Testmake", "  make: Test\x07make", "\x07", "character (0x07)", "delete"),
    Spoiled("proving:\n", "---\nproving:\n", "---", "a second document", "one document"),
    Spoiled(
        "systems:\n", "include: [comon.yaml]\nsystems:\n", "comon", "comon.yaml cannot be", "look"
    ),
]

REFERENCES = [
    Spoiled(
        HUB,
        HUB.replace("control", "controll"),
        "controll",
        "there is no system brake_controll",
        "did you mean brake_control?",
    ),
    Spoiled("by: TT1-2", "by: TT1-9", "TT1-9", "there is no part number TT1-9", "did you mean"),
    Spoiled(
        "price: 12.50}",
        "price: 12.50, superseded_by: TT1-1}",
        "price: 10.00",
        "in a ring: TT1-1 > TT1-2 > TT1-1",
        "break it",
    ),
    Spoiled(
        PART,
        PART.replace("LR RR", "LR"),
        "price: 10.00",
        "TT1-2 does not fit the positions of TT1-1",
        "the same positions",
    ),
    Spoiled(
        LIMIT_AT,
        LIMIT_AT.replace("hub", "hubb"),
        "component: hubb",
        "there is no component hubb",
        "did you mean hub?",
    ),
    Spoiled(
        LIMIT_AT,
        LIMIT_AT.replace("LR RR", "LF"),
        "positions: LF",
        "hub is not fitted at LF",
        "it is fitted at: LR RR",
    ),
    Spoiled(HUB, HUB.replace("RR", "RB"), "RB", "RB is no position", "LF, LR, RF, RR"),
    Spoiled(
        "- quantity: sensor_resistance",
        "- quantity: sensor_resistence",
        "resistence",
        "there is no quantity sensor_resistence",
        "did you mean sensor_resistance?",
    ),
    Spoiled(
        "kind: resistance",
        "kind: resistence",
        "resistence",
        "there is no kind resistence",
        "did you mean resistance?",
    ),
    Spoiled("unit: kohm}", "unit: bar}", "unit: bar", "bar is a unit of pressure", "ohm"),
    Spoiled("  C0045:\n", "  C4045:\n", "C4045", "C4045 is no flag code", "C0045"),
    Spoiled("  C0045:\n", "  c0045:\n", "c0045", "c0045 is not written in full", "write C0045"),
    Spoiled("s: [C0045]", "s: [C0040]", "C0040", "there is no flag C0040", "did you mean C0045?"),
    Spoiled(
        "lamp: amber_antilock",
        "lamp: amber_antilok",
        "antilok,",
        "there is no lamp amber_antilok",
        "did you mean amber_antilock?",
    ),
    Spoiled(": engine_running", ": parked", "parked", "there is no situation parked", "key_on"),
    Spoiled(
        "shown: steady", "shown: blinking", "blinking", "no way to show a lamp blinking", "flashing"
    ),
    Spoiled(
        "may_drive: yes",
        "may_drive: yes\n    unsafe: yes",
        "may_drive",
        "unsafe vehicle may not be driven",
        "may_drive: no",
    ),
    Spoiled(PROVING, "", "platform:", "does not say how a repair is proved", "`proving:`"),
    Spoiled(
        "speed: 5 km/h", "speed: 5 km", "speed: 5", "km is a unit of length, not of speed", "km/h"
    ),
]

FIGURES = [
    Spoiled(
        ALLOWED, "allowed: 1.50 to 1.28 kohm", "1.28", "the low side (1.50 kohm)", "exchange them"
    ),
    Spoiled(
        ALLOWED,
        "allowed: 1.28 to 1.50 mV",
        "1.28",
        "mV is a unit of voltage, not of resistance",
        "kohm",
    ),
    Spoiled(ALLOWED, "allowed: 1.28 to 1.50 khom", "1.28", "khom is no unit", "did you mean kohm?"),
    Spoiled(ALLOWED, "allowed: 1.28 to 1.50", "1.28", "the unit is missing", "kohm"),
    Spoiled(ALLOWED, "allowed: 1,28 to 1,50 kohm", "1,28", "decimal comma", "decimal point"),
    Spoiled(ALLOWED, "allowed: about 1.4 kohm", "about", "is no range", "at most 0.05 mm"),
    Spoiled(f"    {ALLOWED}\n", "", "- quantity", "the limit has no figures", "allowed:"),
    Spoiled(
        ALLOWED, f"{ALLOWED}\n    low: 1 kohm", "allowed", "the figures are given twice", "keep"
    ),
    Spoiled(
        "    temperature: 20 C\n", "", "copper", "temperature to correct to is missing", "20 C"
    ),
    Spoiled(
        "temperature: 20 C", "temperature: -400 C", "-400 C", "-400 C is colder than", "its unit"
    ),
    Spoiled(
        "    source: sheet 4",
        "    near_margin: 5 mV\n    source: sheet 4",
        "5 mV",
        "mV is a",
        "ohm",
    ),
    Spoiled(
        "    source: sheet 4",
        "    tool_uncertainty: -5 ohm\n    source: sheet 4",
        "-5 ohm",
        "-5 ohm is below zero",
        "without a sign",
    ),
    Spoiled(
        "    source: sheet 4",
        "    pressure: at least 5 mV\n    source: sheet 4",
        "5 mV",
        "mV",
        "bar",
    ),
    Spoiled(
        "    source: sheet 4",
        "    pressure: 90 to 60 bar\n    source: sheet 4",
        "90 to 60",
        "is above the high side",
        "exchange",
    ),
    Spoiled("    source: sheet 4\n", "", "- quantity", "source is missing", "write `source:`"),
    Spoiled(ALLOWED, f"allowed: 1 to {'9' * 400} ohm", "allowed", "is no amount", "its unit"),
    Spoiled("hours: 1.2", "hours: 1.25", "1.25", "whole number of tenths", "write 1.2 or 1.3"),
    Spoiled("hours: 1.2", "hours: 0.05", "0.05", "whole number of tenths", "write 0.1"),
]

PROCEDURES = [
    Spoiled(
        "for_flags: [C0045]",
        f"for_flags: [{', '.join(['C0045'] * 67)}]",
        "for_flags",
        "67 flags are too many",
        "at most 44",
    ),
    Spoiled(
        "        quantity: sensor_resistance\n",
        "",
        "      resistance:",
        "a measurement needs a quantity",
        "write `quantity:`",
    ),
    Spoiled("goto: end", "goto: lokk", "lokk", "there is no step lokk", "did you mean look?"),
    Spoiled(WET, "", "        outcomes:\n          dry", "needs at least two", "each possible"),
    Spoiled(
        "        outcomes:\n" + DRY + WET, "", "      look:", "needs at least two", "each possible"
    ),
    Spoiled("Dry, judged: good}", "Dry}", "dry: {", "the answer is not judged", "good, bad"),
    Spoiled("judged: good}", "judged: fine}", "fine", "is not one of the choices", "good"),
    Spoiled("        caution: Use stands.\n", "", "      lift:", "needs its caution", "`caution:`"),
    Spoiled(END, END.replace("within", "inside"), "inside", "inside is no verdict", "within"),
    Spoiled(END, END + ALL_END, "      look:", "no answer ever leads to the step look", "delete"),
    Spoiled(
        DRY + WET,
        (DRY + WET)
        .replace("judged: good", "judged: good, goto: look")
        .replace("says: Dry it.", "goto: look"),
        "      look:",
        "from the step look there is no way to the end",
        "leads to the end",
    ),
]


@pytest.mark.parametrize("case", [*SHAPE, *WRITING, *REFERENCES, *FIGURES, *PROCEDURES])
def test_a_spoiled_file_says_the_line_what_is_wrong_and_what_would_be_right(case: Spoiled) -> None:
    text = spoil(case.old, case.new)
    pages = read(tt1=text)
    assert pages.books == []
    said = [problem for problem in pages.problems if case.wrong in problem.wrong]
    assert said, [str(problem) for problem in pages.problems]
    assert said[0].file == "tt1.yaml"
    assert said[0].line == line_of(text, case.at), str(said[0])
    assert case.right in said[0].right, str(said[0])
