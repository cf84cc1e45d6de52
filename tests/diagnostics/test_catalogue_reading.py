"""Catalogue files: sound ones become books, spoiled ones say file, line, wrong and right."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest

from diagnostics.catalogue.fields import Amount, allowed, places, tenths
from diagnostics.catalogue.problems import Wrong
from diagnostics.catalogue.reader import read_catalogue
from tests.diagnostics.catalogue_shelf import SOUND, Memory, line_of, read, spoil


def test_a_sound_file_becomes_a_book_with_no_problems() -> None:
    pages = read(tt1=SOUND)
    assert pages.problems == []
    [book] = pages.books
    assert book.code == "TT1"
    assert list(book.parts) == ["TT1-1", "TT1-2"]
    assert book.labour["BC-1"].entry.hours == 12
    assert book.platform.entry.shown_notice == "demo figures: use the vehicle maker's"


@pytest.mark.parametrize(
    ("data", "line", "wrong"),
    [
        (b"", 0, "the file is empty"),
        (b"  \n\n", 0, "the file is empty"),
        (b"# only words\n", 0, "the file holds only comments"),
        (b"- one\n- two\n", 1, "not a set of `name: value` lines"),
        (b"format: 1\nplatform:\n  make: Caf\xe9\n", 3, "not UTF-8"),
        (b"format: 1\n" + b"#" * 2_000_001, 0, "the file has 2\u202f000\u202f011 bytes"),
        (b"a: " + b"[" * 60 + b"]" * 60, 1, "nested too deeply"),
        (b"a: " + b"[" * 50_000, 1, "nested too deeply"),
    ],
)
def test_a_file_that_is_no_catalogue_says_why(data: bytes, line: int, wrong: str) -> None:
    pages = read(tt1=data)
    said = [problem for problem in pages.problems if wrong in problem.wrong]
    assert said, [str(problem) for problem in pages.problems]
    assert said[0].line == line


def test_a_byte_order_mark_is_not_in_the_way() -> None:
    assert read(tt1=b"\xef\xbb\xbf" + SOUND.encode()).sound


def test_several_problems_are_told_at_once_in_the_order_of_the_lines() -> None:
    text = SOUND.replace("price: 10.00", "price: ten").replace("hours: 1.2", "hours: x")
    pages = read(tt1=text)
    lines = [line_of(text, "price: ten"), line_of(text, "hours: x")]
    assert [problem.line for problem in pages.problems] == lines


def test_codes_and_words_stay_as_typed() -> None:
    pages = read(tt1=spoil("  C0045:\n", "  C0045-13:\n").replace("[C0045]", "[C0045-13]"))
    assert pages.sound
    assert list(pages.books[0].flags) == ["C0045-13"]


class TestIncluding:
    def test_an_included_file_is_read_relative_to_the_one_that_names_it(self) -> None:
        systems = "systems:\n  brake_control:\n    name: Brake control\n"
        pages = read(
            tt1=SOUND.replace(systems, "include: [shared/systems.yaml]\n"),
            shared__systems="format: 1\n" + systems,
        )
        assert pages.sound, pages.problems
        assert pages.books[0].systems["brake_control"].source.name == "shared/systems.yaml"

    def test_a_missing_file_is_told_where_it_is_named_with_the_nearest_name(self) -> None:
        text = SOUND.replace("systems:\n", "include:\n  - shared/comon.yaml\nsystems:\n", 1)
        [problem] = read(tt1=text, shared__common="format: 1\n").problems
        assert (problem.line, problem.right) == (9, "did you mean shared/common.yaml?")

    def test_a_ring_of_files_is_refused(self) -> None:
        pages = read(
            tt1=SOUND.replace("systems:\n", "include: [shared/a.yaml]\nsystems:\n", 1),
            shared__a="format: 1\ninclude: [b.yaml]\n",
            shared__b="format: 1\ninclude: [a.yaml]\n",
        )
        [problem] = pages.problems
        assert problem.file == "shared/b.yaml"
        assert "shared/a.yaml > shared/b.yaml > shared/a.yaml" in problem.wrong

    def test_a_broken_included_file_is_told_once_at_its_own_line(self) -> None:
        including = SOUND.replace("systems:\n", "include: [shared/a.yaml]\nsystems:\n", 1)
        pages = read(
            tt1=including,
            tt2=including.replace("TT1", "TT2"),
            shared__a="format: 1\nlabur: {}\n",
        )
        [problem] = pages.problems
        assert (problem.file, problem.line) == ("shared/a.yaml", 2)
        assert problem.right == "did you mean labour?"

    def test_a_file_included_by_two_ways_counts_once(self) -> None:
        pages = read(
            tt1=SOUND.replace(
                "systems:\n", "include: [shared/a.yaml, shared/b.yaml]\nsystems:\n", 1
            ),
            shared__a="format: 1\ninclude: [b.yaml]\n",
            shared__b="format: 1\nsystems:\n  base_brakes: {name: Base brakes}\n",
        )
        assert pages.sound, pages.problems

    def test_the_same_key_in_two_files_is_refused_unless_it_says_that_it_replaces(self) -> None:
        shared = "format: 1\nsystems:\n  brake_control: {name: Old name}\n"
        text = SOUND.replace("systems:\n", "include: [shared/a.yaml]\nsystems:\n", 1)
        [problem] = read(tt1=text, shared__a=shared).problems
        assert "shared/a.yaml:3" in problem.wrong
        assert "replaces_included: yes" in problem.right
        replacing = text.replace(
            "    name: Brake control\n", "    name: Brake control\n    replaces_included: yes\n"
        )
        pages = read(tt1=replacing, shared__a=shared)
        assert pages.sound, pages.problems
        assert pages.books[0].systems["brake_control"].entry.name == "Brake control"

    def test_replacing_what_was_never_included_is_refused(self) -> None:
        text = spoil(
            "    name: Hub assembly\n", "    name: Hub assembly\n    replaces_included: yes\n"
        )
        [problem] = read(tt1=text).problems
        assert "there is no hub to replace" in problem.wrong

    def test_a_platform_may_include_another_and_add_to_it(self) -> None:
        variant = (
            "format: 1\nplatform:\n  {code: TT1-S, make: Testmake, model: Trolley, title: T}\n"
            "include: [tt1.yaml]\n"
            "labour:\n  BC-2: {text: More, system: brake_control, hours: 0.5}\n"
        )
        pages = read(tt1=SOUND, tt1s=variant)
        assert pages.sound, pages.problems
        plain, special = sorted(pages.books, key=lambda book: book.code)
        assert "BC-2" not in plain.labour
        assert list(special.labour) == ["BC-1", "BC-2"]


class TestBetweenPlatforms:
    def test_a_code_given_to_two_platforms_is_refused(self) -> None:
        [problem] = read(tt1=SOUND, tt2=SOUND).problems
        assert problem.wrong == "the platform TT1 is also in tt1.yaml"

    def test_a_quantity_of_two_kinds_is_refused(self) -> None:
        own = SOUND.replace("sensor_resistance", "pin_resistance")
        other = own.replace("TT1", "TT2").replace("resistance, unit: kohm", "voltage, unit: V")
        other = other.replace("1.28 to 1.50 kohm", "1 to 2 V")
        other = other.replace("    temperature: 20 C\n    copper_correction: yes\n", "")
        [problem] = read(tt1=own, tt2=other).problems
        assert "pin_resistance is a voltage here and a resistance in tt1.yaml:12" in problem.wrong


class TestTheDigest:
    def test_layout_comments_and_file_names_do_not_change_it(self) -> None:
        [plain] = read(tt1=SOUND).books
        [other] = read(elsewhere="# a comment\n" + SOUND.replace("kohm}", "kohm }")).books
        assert plain.digest() == other.digest()

    @pytest.mark.parametrize(
        ("old", "new"),
        [("1.50 kohm", "1.51 kohm"), ("Dry it.", "Dry it well."), ("12.50", "12.60")],
    )
    def test_anything_said_differently_changes_it(self, old: str, new: str) -> None:
        assert read(tt1=SOUND).books[0].digest() != read(tt1=spoil(old, new)).books[0].digest()


class TestNotations:
    @pytest.mark.parametrize(
        ("text", "low", "high"),
        [
            ("1.28 to 1.50 kohm", Amount(Decimal("1.28"), "kohm"), Amount(Decimal("1.50"), "kohm")),
            ("900 ohm to 1.5 kohm", Amount(Decimal(900), "ohm"), Amount(Decimal("1.5"), "kohm")),
            ("at least 250 mV", Amount(Decimal(250), "mV"), None),
            ("at most  0.05  mm", None, Amount(Decimal("0.05"), "mm")),
            ("-0.5 to +0.5 deg", Amount(Decimal("-0.5"), "deg"), Amount(Decimal("0.5"), "deg")),
        ],
    )
    def test_ranges_are_read_as_a_person_writes_them(
        self, text: str, low: Amount | None, high: Amount | None
    ) -> None:
        assert (allowed(text).low, allowed(text).high) == (low, high)

    def test_hours_become_whole_tenths(self) -> None:
        assert [tenths(text) for text in ("0.1", "1", "1.20", "12.5")] == [1, 10, 12, 125]

    @pytest.mark.parametrize("text", ["0", "-1", "nan", "inf", "1e9", "0.33", "two"])
    def test_hours_that_cannot_be_are_refused(self, text: str) -> None:
        with pytest.raises(Wrong):
            tenths(text)

    def test_places_are_split_and_named_once(self) -> None:
        assert places("LR, RR") == ("LR", "RR")
        with pytest.raises(Wrong, match="named twice"):
            places("LR LR")


def test_low_high_and_unit_say_the_same_as_a_range() -> None:
    text = spoil(
        "    allowed: 1.28 to 1.50 kohm\n", "    low: 1.28\n    high: 1.50\n    unit: kohm\n"
    )
    assert read(tt1=text).sound


def test_a_folder_with_no_platform_says_so() -> None:
    [problem] = read(only="format: 1\n").problems
    assert problem.wrong == "no platform was found"


def test_a_file_that_is_not_there_says_so() -> None:
    [problem] = read_catalogue(["gone.yaml"], Memory()).problems
    assert str(problem).startswith("gone.yaml: the file cannot be read (No such file or directory)")


SCRAPS = [
    "",
    "~",
    "[",
    "]",
    "{",
    "}",
    ":",
    "- ",
    "[a, b]",
    "{a: b}",
    "-1",
    "'",
    '"',
    "\t",
    "#",
    "&a",
]
SCRAPS += [
    "*a",
    "!!set",
    "é",
    "%",
    "|",
    "?",
    "null",
    "nan",
    "1e999",
    "LR LR",
    "\u2028",
    "{x}",
    "%s",
]


def test_no_spoiled_file_makes_the_reader_fall_over() -> None:
    """300 seeded accidents: lines lost, doubled, shifted, cut and scribbled over."""
    chance = random.Random(2)
    for _ in range(300):
        lines = SOUND.split("\n")
        at = chance.randrange(len(lines))
        cut = chance.randint(0, len(lines[at]))
        lines[at] = chance.choice(
            [
                lines[at][:cut] + chance.choice(SCRAPS) + lines[at][cut:],
                lines[at][:cut] + lines[at][cut + 1 :],
                " " * chance.randint(1, 4) + lines[at],
                lines[at].split(":")[0] + ": " + chance.choice(SCRAPS),
                lines[at] + "\n" + chance.choice(lines),
            ]
        )
        text = "\n".join(lines)
        pages = read(tt1=text)
        assert bool(pages.books) is pages.sound, text
        for problem in pages.problems:
            assert 0 <= problem.line <= text.count("\n") + 2, str(problem)
            assert problem.wrong, str(problem)
            assert problem.right, str(problem)
