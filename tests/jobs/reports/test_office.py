"""The Office page: the sentences, each section in short, earlier months as they stood."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.conf import settings
from django.urls import reverse

from jobs.models import RepairOrder, StageMove
from jobs.queries import office as queries
from jobs.reports import counted
from jobs.reports import office as reports
from jobs.reports.document import Way
from jobs.stages import Move, Stage
from shop import clock
from shop.actor import Actor
from tests.asserts import text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to, go

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_that_day")]
ZONE = ZoneInfo(settings.TIME_ZONE)


@pytest.fixture
def crew(ines: Actor, bela: Actor, nuri: Actor) -> Crew:
    return Crew(ines, bela, nuri)


def _page(who: Actor, name: str = "office", *parts: str, **asked: str) -> str:
    address = reverse(name, args=[who.workshop.slug, *parts])
    answer = client_of(who).get(address, asked)
    assert answer.status_code == 200
    return text_of(answer)


def test_an_empty_workshop_is_told_what_will_stand_here_and_when(vera: Actor) -> None:
    page = _page(vera)
    assert "Nothing can be said of changes yet" in page
    assert "The first vehicle that is taken in is counted here the same day." in page


def test_a_month_counts_its_jobs_and_leads_to_them(crew: Crew, vera: Actor) -> None:
    order = bring_to(Stage.READY, a_repair_order(crew.manager), crew)
    RepairOrder.objects.filter(pk=order.pk).update(stage=Stage.RELEASED, closed_at=clock.now())
    a_repair_order(crew.manager)
    span = reports.span_of(clock.today())
    section = counted.section(vera, span, "months")
    assert section is not None
    month = f"{clock.today():%B %Y}"
    assert section.says[0] == f"In {month} so far, 2 vehicles were taken in and 1 left."
    taken_in, released = section.tables[0].rows[:2]
    assert (taken_in[1].value, released[1].value) == (2, 1)
    assert taken_in[1].way == Way("office-jobs", ("taken-in", f"{clock.today():%Y-%m}"))
    assert (taken_in[2].value, taken_in[2].way) == (0, None)
    fitted = section.tables[1].rows
    assert [cell.value for cell in fitted[0][2:]] == [1, 1]


def test_one_vehicle_is_said_as_one(crew: Crew, vera: Actor) -> None:
    a_repair_order(crew.manager)
    span = reports.span_of(clock.today())
    month = f"{clock.today():%B %Y}"
    jobs = counted.section(vera, span, "months")
    assert jobs is not None
    assert jobs.says[0] == f"In {month} so far, 1 vehicle was taken in and 0 left."


@pytest.mark.parametrize(("day", "so_far"), [((2026, 11, 30, 23), True), ((2026, 12, 1, 0), False)])
def test_its_last_day_belongs_to_a_month_that_is_not_over(
    crew: Crew, vera: Actor, day: tuple[int, int, int, int], so_far: bool
) -> None:
    a_repair_order(crew.manager)
    with clock.at(datetime(*day, tzinfo=ZONE)):
        jobs = counted.section(vera, reports.span_of(date(2026, 11, 1)), "months")
    assert jobs is not None
    assert jobs.says[0].startswith("In November 2026 so far,") is so_far


def test_a_month_without_repairs_between_months_with_them_tells_no_amounts(
    crew: Crew, vera: Actor
) -> None:
    last = clock.today().replace(day=1) - timedelta(days=1)
    with clock.at(datetime(last.year, last.month, last.day, 12, tzinfo=ZONE)):
        order = bring_to(Stage.READY, a_repair_order(crew.manager), crew)
        go(crew.manager, order, Move.RELEASE)
    span = reports.span_of(clock.today())
    money, jobs = (counted.section(vera, span, key) for key in ("money", "months"))
    month = f"{clock.today():%B %Y}"
    assert money is not None
    assert money.says[0] == (
        f"In {month}, up to {clock.today().day} {clock.today():%B}, no repair was handed over."
    )
    assert jobs is not None
    assert jobs.figures[0].chart.says == f"No vehicle left in {month}."


def test_an_earlier_month_knows_nothing_of_what_came_later(crew: Crew, vera: Actor) -> None:
    a_repair_order(crew.manager)
    last = (clock.today().replace(day=1) - timedelta(days=1)).replace(day=1)
    span = reports.span_of(last)
    assert span.until.day >= 28
    assert span.until + timedelta(days=1) == clock.today().replace(day=1)
    section = counted.section(vera, span, "months")
    assert section is not None
    assert not section.tables
    assert "nothing that came later" in _page(vera, month=f"{last:%Y-%m}")


@pytest.mark.parametrize("asked", ["2999-01", "nonsense", "0000-00", ""])
def test_a_month_to_come_or_none_at_all_is_this_month(vera: Actor, asked: str) -> None:
    assert f"{clock.today():%B %Y}" in _page(vera, month=asked)


def test_a_month_of_29_days_ends_on_its_last() -> None:
    assert reports.span_of(date(2024, 2, 29)).until == date(2024, 2, 29)
    assert reports.span_of(date(2023, 2, 1)).until == date(2023, 2, 28)


def test_each_section_has_its_own_page_and_a_strange_one_has_none(vera: Actor) -> None:
    slug = vera.workshop.slug
    for part in reports.PARTS:
        assert f"{clock.today():%B %Y}" in _page(vera, "office-section", part.key)
    answer = client_of(vera).get(reverse("office-section", args=[slug, "nothing-like-it"]))
    assert answer.status_code == 404


def test_the_keys_of_addresses_are_those_of_the_sections(vera: Actor) -> None:
    made = reports.report(vera, reports.span_of(clock.today()))
    assert [section.key for section in made.sections] == [part.key for part in reports.PARTS]
    assert made.workshop == vera.workshop.name
    assert all(section.says for section in made.sections)


def test_no_section_stands_there_twice() -> None:
    keys = [part.key for part in reports.PARTS]
    assert len(keys) == len(set(keys))


def test_a_refusal_counts_in_its_own_month_alone(crew: Crew) -> None:
    """Declined in one month and fetched in the next: counted once, and behind the figure once."""
    declined = datetime(2026, 9, 28, 11, tzinfo=ZONE)
    with clock.at(declined):
        order = a_repair_order(crew.manager, technician=crew.technician)
        bring_to(Stage.DECLINED, order, crew)
    StageMove.objects.create(
        order=order,
        move=Move.LEAVE_UNREPAIRED,
        source=Stage.DECLINED,
        target=Stage.RELEASED,
        at=datetime(2026, 10, 2, 9, tzinfo=ZONE),
        by=crew.manager.user,
    )
    months = queries.months_up_to(crew.manager, date(2026, 10, 1), date(2026, 10, 31))
    counts = next(dict(row.counts) for row in months.rows if row.key == "declined")
    assert (counts[date(2026, 9, 1)], counts[date(2026, 10, 1)]) == (1, 0)
    behind = [queries.jobs_behind(crew.manager, "declined", date(2026, n, 1)) for n in (9, 10)]
    assert [len(found) for found in behind if found is not None] == [1, 0]


def test_months_before_the_first_job_are_not_months_without_jobs(crew: Crew, vera: Actor) -> None:
    a_repair_order(crew.manager)
    assert "It is the first month with jobs." in _page(vera, "office-section", "months")
    with clock.at(clock.now() - timedelta(days=31)):
        a_repair_order(crew.manager)
    assert "In the month before 0 left." in _page(vera, "office-section", "months")
