"""Costs, credits for old units, diagnosis and shared steps: said wrongly, and loaded rightly."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from django.conf import settings

from diagnostics.catalogue.book import Book
from diagnostics.catalogue.folder import Folder
from diagnostics.catalogue.reader import read_catalogue
from diagnostics.models import LabourOperation, PartNumber, SharedStep
from diagnostics.services.catalogue import load_all
from tests.diagnostics.catalogue_shelf import SOUND, line_of, read

LABOUR = "  BC-1: {text: Replace the hub, system: brake_control, component: hub, hours: 1.2}\n"
MORE = f"""\
{LABOUR}\
  BC-2: {{text: Replace the hose, system: brake_control, hours: 0.4}}
  DG-1: {{text: Find it, system: brake_control, hours: 0.9, diagnosis: yes}}
shared_steps:
  wheel_off:
    words: Wheel off and on
    hours: 0.2
    operations: [BC-1, BC-2]
    each_place: yes
  bleed:
    words: Bleed the brakes
    hours: 0.2
    operations: [BC-1, BC-2]
"""
PRICED = SOUND.replace(
    "price: 12.50}", "price: 12.50, cost: 8.00, core: 3.00, condition: rebuilt}"
).replace(LABOUR, MORE)


def test_a_sound_file_with_all_of_it_is_sound() -> None:
    assert [str(problem) for problem in read(tt1=PRICED).problems] == []


@pytest.mark.parametrize(
    ("old", "new", "at", "wrong", "right"),
    [
        ("cost: 8.00", "cost: -8", "cost: -8", "'-8' is too small", "the least is 0"),
        ("cost: 8.00", "cost: 8.005", "8.005", "not an amount of money", "184.50"),
        ("cost: 8.00", "cost: 12.51", "12.51", "12.51 is above the list price 12.50", "exchange"),
        ("core: 3.00", "core: 8.01", "8.01", "old unit 8.01 is more than the part's 8.00", "back"),
        ("core: 3.00", "core: none", "none", "not an amount of money", "184.50"),
        ("rebuilt", "rebuild", "rebuild}", "'rebuild' is not one of the choices", "rebuilt?"),
        ("diagnosis: yes", "diagnosis: some", "some", "neither yes nor no", "yes or no"),
        ("words: Bleed the brakes", "word: Bleed", "word:", "word is not a key", "words"),
        ("    words: Bleed the brakes\n", "", "bleed:", "words is missing", "write `words:`"),
        (
            "    words: Wheel off and on\n    hours: 0.2",
            "    words: W\n    hours: 0.25",
            "0.25",
            "tenths",
            "0.2 or 0.3",
        ),
        (
            "BC-1, BC-2]\n    each",
            "BC-1, BC-9]\n    each",
            "BC-9]",
            "there is no operation BC-9",
            "did you mean",
        ),
        (
            "BC-1, BC-2]\n    each",
            "BC-1]\n    each",
            "[BC-1]",
            "fewer than two operations",
            "at least two",
        ),
        (
            "BC-1, BC-2]\n    each",
            "BC-1, BC-1]\n    each",
            "BC-1, BC-1",
            "BC-1 is named twice",
            "once",
        ),
        (
            "BC-1, BC-2]\n    each",
            "BC-1, DG-1]\n    each",
            "BC-1, DG-1",
            "DG-1 is diagnosis",
            "take DG-1 out",
        ),
        (
            "Wheel off and on\n    hours: 0.2",
            "W\n    hours: 0.5",
            "[BC-1, BC-2]\n    each",
            "0.5 h, all of BC-2 0.4 h",
            "shorten the step",
        ),
        (
            "Bleed the brakes\n    hours: 0.2",
            "B\n    hours: 0.3",
            "[BC-1, BC-2]\nproving",
            "of BC-2 take 0.5 h, all of it 0.4 h",
            "shorten one",
        ),
        ("each_place: yes", "each_place: left", "left", "neither yes nor no", "yes or no"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(
    old: str, new: str, at: str, wrong: str, right: str
) -> None:
    assert PRICED.count(old) == 1, old
    text = PRICED.replace(old, new)
    pages = read(tt1=text)
    assert pages.books == []
    said = [problem for problem in pages.problems if wrong in problem.wrong]
    assert said, [str(problem) for problem in pages.problems]
    assert said[0].line == line_of(text, at), str(said[0])
    assert right in said[0].right, str(said[0])


@pytest.mark.usefixtures("no_catalogue")
class TestLoaded:
    @staticmethod
    def load(text: str) -> None:
        pages = read(tt1=text)
        assert pages.sound, [str(problem) for problem in pages.problems]
        load_all(pages.books)

    def test_a_part_keeps_its_cost_its_credit_and_its_condition(self) -> None:
        self.load(PRICED)
        part = PartNumber.objects.get(number="TT1-2", position="LR")
        assert (part.cost, part.core_credit) == (Decimal("8.00"), Decimal("3.00"))
        assert part.condition == "rebuilt"
        plain = PartNumber.objects.get(number="TT1-1", position="LR")
        assert (plain.cost, plain.core_credit, plain.condition) == (None, None, "")

    def test_what_is_taken_out_of_the_pages_is_gone_again(self) -> None:
        self.load(PRICED)
        self.load(PRICED.replace(", cost: 8.00, core: 3.00, condition: rebuilt", ""))
        part = PartNumber.objects.get(number="TT1-2", position="LR")
        assert (part.cost, part.core_credit, part.condition) == (None, None, "")

    def test_a_version_holds_its_diagnosis_and_its_steps(self) -> None:
        self.load(PRICED)
        assert LabourOperation.objects.get(diagnosis=True).code == "DG-1"
        step = SharedStep.objects.get(key="wheel_off")
        assert (step.words, step.tenths, step.each_place) == ("Wheel off and on", 2, True)
        assert [row.code for row in step.operations.all()] == ["BC-1", "BC-2"]

    def test_another_step_makes_a_new_version_and_leaves_the_old_ones_steps(self) -> None:
        self.load(PRICED)
        self.load(PRICED.replace("Bleed the brakes\n    hours: 0.2", "Bleed\n    hours: 0.1"))
        rows = SharedStep.objects.filter(key="bleed").order_by("version__number")
        assert [(row.version.number, row.tenths) for row in rows] == [(1, 2), (2, 1)]


@pytest.fixture(scope="module")
def books() -> dict[str, Book]:
    folder = Folder()
    names, _ = folder.find([str(Path(settings.BASE_DIR) / "fixtures" / "catalogue")])
    return {book.code: book for book in read_catalogue(names, folder).books}


def test_every_system_of_the_pages_has_its_diagnosis(books: dict[str, Book]) -> None:
    for book in books.values():
        found = {one.entry.system for one in book.labour.values() if one.entry.diagnosis}
        assert found == set(book.systems), book.code


def test_every_part_of_the_pages_has_its_cost_and_what_comes_back_its_credit(
    books: dict[str, Book],
) -> None:
    exchanged = {"pressure_modulator", "steering_gear", "steering_pump", "brake_caliper"}
    for book in books.values():
        for number, placed in book.parts.items():
            assert placed.entry.cost, number
            if placed.entry.component in exchanged:
                assert placed.entry.core, number


def test_the_pages_say_what_is_done_once(books: dict[str, Book]) -> None:
    for book in books.values():
        assert {"wheel_off", "brake_bleed", "scan_and_clear", "road_test", "steering_bleed"} <= set(
            book.shared_steps
        )
        assert book.shared_steps["wheel_off"].entry.each_place
        # Whatever is taken off at a wheel of this platform shares its wheel.
        wheels = {"BC-10", "BC-12", "WE-10", "WE-12", "WE-20"} & set(book.labour)
        assert wheels <= set(book.shared_steps["wheel_off"].entry.operations), book.code
