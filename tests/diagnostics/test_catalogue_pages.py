"""The pages that come with the program: sound, complete, and they carry the README's job."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings

from diagnostics.catalogue.book import Book
from diagnostics.catalogue.figures import limit_figures
from diagnostics.catalogue.folder import Folder
from diagnostics.catalogue.reader import Pages, read_catalogue
from diagnostics.catalogue.schema import DEMO_NOTICE, ProcedureEntry, StepKind, Use
from diagnostics.catalogue.steps import leads_to
from diagnostics.compute.electrics import resistance_at_20c
from diagnostics.models import CatalogueVersion
from diagnostics.rules import telltale_rules
from diagnostics.services.catalogue import load_all
from diagnostics.telltales import Lamp, Observation, Shown, Situation, Triage, triage
from tests.diagnostics.catalogue_shelf import read

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "catalogue"
CODES = ["DR3", "GEN", "OR1", "OR1-S", "PL2", "PL4"]
DEMO = [code for code in CODES if code != "GEN"]


@pytest.fixture(scope="module")
def pages() -> Pages:
    folder = Folder()
    names, problems = folder.find([str(FOLDER)])
    assert problems == []
    return read_catalogue(names, folder)


@pytest.fixture(scope="module")
def books(pages: Pages) -> dict[str, Book]:
    return {book.code: book for book in pages.books}


def test_every_page_is_sound(pages: Pages) -> None:
    assert [str(problem) for problem in pages.problems] == []
    assert sorted(book.code for book in pages.books) == CODES


@pytest.mark.parametrize("code", DEMO)
def test_invented_figures_say_so(books: dict[str, Book], code: str) -> None:
    book = books[code]
    assert book.platform.entry.shown_notice == DEMO_NOTICE
    own = f"demo figure, {code.removesuffix('-S')}"
    for placed in book.limits.values():
        source = placed.entry.source
        assert source.startswith(own) or not source.startswith("demo"), source


# A wire or a ground is put right where it is, and a tyre comes from elsewhere.
REPAIRED_NOT_ORDERED = frozenset({"brake_wiring", "steering_wiring", "tyre"})


@pytest.mark.parametrize("code", DEMO)
def test_every_assembly_can_be_ordered_and_fails_in_known_ways(
    books: dict[str, Book], code: str
) -> None:
    book = books[code]
    for key, placed in book.components.items():
        assert placed.entry.failure_modes, key
        if key in REPAIRED_NOT_ORDERED:
            continue
        covered: set[str] = set()
        for part in book.parts.values():
            if part.entry.component == key and part.entry.superseded_by is None:
                covered |= set(part.entry.positions or placed.entry.positions or ("",))
        assert covered == set(placed.entry.positions or ("",)), key


@pytest.mark.parametrize("code", CODES)
def test_procedures_have_a_bearable_length_and_every_flag_has_one(
    books: dict[str, Book], code: str
) -> None:
    book = books[code]
    covered = {flag for placed in book.procedures.values() for flag in placed.entry.for_flags}
    assert set(book.flags) <= covered
    for key, placed in book.procedures.items():
        assert 5 <= len(placed.entry.steps) <= 14, key
    uses = [placed.entry.use for placed in book.procedures.values()]
    assert uses.count(Use.FIRST) == 2
    assert uses.count(Use.PROVING) == 1


def test_a_supersession_chain_of_two_ends_in_the_number_to_order(books: dict[str, Book]) -> None:
    parts = books["PL2"].parts
    chain = ["PL2-20-210"]
    while (follows := parts[chain[-1]].entry.superseded_by) is not None:
        chain.append(follows)
    assert chain == ["PL2-20-210", "PL2-20-212", "PL2-20-214"]


def test_an_unknown_vehicle_has_no_makers_figures_and_no_part_numbers(
    books: dict[str, Book],
) -> None:
    book = books["GEN"]
    assert book.parts == {}
    assert not any("demo" in placed.entry.source for placed in book.limits.values())
    assert not any(re.match(r"C1", code) for code in book.flags)


class TestTheJobOfTheReadme:
    """PL2: amber steady, C0045, left rear sensor opens when the harness is moved."""

    def test_the_flag_points_at_the_left_rear_hub(self, books: dict[str, Book]) -> None:
        [pointer] = books["PL2"].flags["C0045"].entry.points_at
        assert (pointer.component, pointer.position) == ("hub_and_sensor", ("LR",))

    def test_the_limit_is_1280_to_1500_ohm_at_20_c(self, books: dict[str, Book]) -> None:
        limit = books["PL2"].limits["sensor_resistance / hub_and_sensor / LR"].entry
        figures = limit_figures(limit, "resistance")
        assert (figures.low, figures.high) == (1280.0, 1500.0)
        assert figures.reference_k == pytest.approx(293.15)
        assert limit.copper_correction
        assert limit.source == "demo figure, PL2 sheet 4"
        # [C] IEC 60028: 1,600 ohm measured at 60 C is 1,382.6 ohm at 20 C, and so within.
        assert 1280.0 < resistance_at_20c(1600.0, 60.0) < 1500.0

    def test_within_at_rest_and_open_when_moved_leads_to_the_clip_and_then_the_other_side(
        self, books: dict[str, Book]
    ) -> None:
        procedure = books["PL2"].procedures["wheel_speed_circuit"].entry
        assert "C0045" in procedure.for_flags
        way = follow(
            procedure,
            resistance="within",
            move_harness="outside",
            clip="kinked",
            other_side="within",
            difference="within",
            connector="sound",
            insulation="within",
            wire="within",
            ground="within",
            output="outside",
            ring="hidden",
            bearing="within",
            one_cause="part",
        )
        assert way[:5] == ["raise_the_car", "resistance", "move_harness", "clip", "other_side"]
        assert way.index("connector") < way.index("ground") < way.index("bearing")
        assert way[-1] == "one_cause"


def follow(procedure: ProcedureEntry, **answers: str) -> list[str]:
    """The steps passed when each is answered as given."""
    way, key = [], next(iter(procedure.steps))
    while key != "end":
        way.append(key)
        step = procedure.steps[key]
        answer = None if step.kind is StepKind.CAUTION else step.outcomes.get(answers[key])
        key = leads_to(procedure.steps, key, answer.goto if answer else step.goto)
    return way


@pytest.mark.usefixtures("no_catalogue")
class TestTellTales:
    """Common practice, no source: what the lamps mean, in the words of the demo's rules."""

    @pytest.fixture
    def version(self, books: dict[str, Book]) -> CatalogueVersion:
        load_all([books["PL2"]])
        return CatalogueVersion.objects.get(platform__code="PL2")

    @pytest.mark.parametrize(
        ("looks", "rule", "may_drive", "unsafe"),
        [
            ("amber running flashing, red running dark", "amber_flashing", True, False),
            ("amber running steady, red running dark", "amber_steady", True, False),
            ("amber running dark, red running steady", "red_alone", False, True),
            ("amber running flashing, red running steady", "red_alone", False, True),
            ("amber running steady, red running steady", "red_and_amber", False, True),
            ("amber running steady, red running flashing", "red_seen", False, True),
            ("red running steady", "red_seen", False, True),
            ("amber running dark, red running dark", "nothing_detected", True, False),
            ("amber key dark, red key steady", "amber_never_lights", None, False),
            (
                "amber key dark, amber running dark, red running dark",
                "amber_never_lights",
                True,
                False,
            ),
            (
                "amber running dark, red running dark, amber driving steady",
                "amber_steady_driving",
                True,
                False,
            ),
            (
                "amber running dark, red running dark, red driving steady",
                "red_while_driving",
                False,
                True,
            ),
        ],
    )
    def test_the_lamps_mean_what_the_trade_says(
        self,
        version: CatalogueVersion,
        looks: str,
        rule: str,
        may_drive: bool | None,
        unsafe: bool,
    ) -> None:
        found = look(version, looks)
        assert (found.rule_key, found.may_drive, found.unsafe) == (rule, may_drive, unsafe)

    def test_nothing_says_that_base_brakes_work_while_the_red_lamp_is_on(
        self, version: CatalogueVersion
    ) -> None:
        found = look(version, "amber running steady, red running steady")
        said = " ".join([found.says, found.first, *found.findings])
        assert "base brakes work" not in said


LAMPS = {"amber": Lamp.AMBER_ANTILOCK, "red": Lamp.RED_BRAKE}
SITUATIONS = {
    "key": Situation.KEY_ON,
    "running": Situation.ENGINE_RUNNING,
    "driving": Situation.DRIVING,
}


def look(version: CatalogueVersion, looks: str) -> Triage:
    rules = telltale_rules(version.telltale_rules.prefetch_related("patterns"))
    seen = []
    for words in looks.split(", "):
        lamp, situation, shown = words.split()
        seen.append(Observation(LAMPS[lamp], SITUATIONS[situation], Shown(shown)))
    return triage(seen, rules)


@pytest.mark.usefixtures("no_catalogue")
def test_every_platform_loads_in_one_go(pages: Pages) -> None:
    done = load_all(pages.books)
    assert [one.code for one in done] == CODES
    assert all(one.changed and one.number == 1 for one in done)
    assert not any(one.changed for one in load_all(pages.books))


def test_the_example_in_the_documentation_is_sound() -> None:
    page = (Path(settings.BASE_DIR) / "docs" / "catalogue.md").read_text(encoding="utf-8")
    [example] = re.findall(r"```yaml\n(.*?)```", page, flags=re.DOTALL)
    found = read(tk7=example)
    assert [str(problem) for problem in found.problems] == []
    wrong = read(tk7=example.replace("1.05 to 1.30 kohm", "1.05 to 1.30 mV"))
    [told] = re.findall(r"my-pages/(tk7.*)", page)
    assert [str(problem) for problem in wrong.problems] == [told]
