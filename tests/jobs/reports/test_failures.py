"""The section of failures and the sheet of one kind: what they say, and what they leave blank."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.http import QueryDict
from django.urls import reverse
from numpy.random import default_rng

from diagnostics.models import Component
from jobs.models import FittedUnit, Repair
from jobs.reports.document import ReportTable, Section, Span
from jobs.reports.figures import component, failures
from jobs.reports.figures.failure_groups import all_groups
from jobs.reports.frozen import sections_from_json, sections_to_json
from jobs.reports.queries.failed_units import failed_units
from jobs.reports.queries.failures import no_fault
from jobs.reports.queries.kinds import Kind, kind_of
from jobs.reports.queries.life_spells import Spell
from jobs.reports.queries.lives import Bracket, Of, Tallies, Tally
from jobs.views.failures import _narrowed
from shop import clock
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_repair_order, the_platform
from tests.jobs.reports.lives_made import TODAY, a_life, by_chance, vehicles
from tests.jobs.reports.seen_made import noon

pytestmark = pytest.mark.usefixtures("on_that_day")
SPAN = Span(TODAY.replace(day=1), TODAY)
DAY = TODAY.toordinal()


def _hub() -> Component:
    found = Component.objects.filter(platform=the_platform()).order_by("name").first()
    assert found is not None
    return found


def _table(sections: Section | tuple[Section, ...], key: str) -> ReportTable:
    some = (sections,) if isinstance(sections, Section) else sections
    return next(table for one in some for table in one.tables if table.key == key)


def _fitted(
    actor: Actor, fates: list[int | None], days: int = 400, *, supplier: str = "", batch: str = ""
) -> None:
    """Units fitted `days` ago; each failed after so many days, or not."""
    hub = _hub()
    lives = [
        a_life(
            vehicle,
            hub,
            in_day=DAY - days,
            out_day=DAY - days + fate if fate is not None else DAY,
            exit="failed" if fate is not None else "",
            at_m=(0, 40_000 * (fate if fate is not None else days)),
            supplier=supplier,
            batch=batch,
        )
        for vehicle, fate in zip(vehicles(actor, len(fates)), fates, strict=True)
    ]
    FittedUnit.objects.bulk_create(lives)


EDGES: dict[str, list[int | None]] = {
    "one unit, none failed": [None],
    "one unit, failed the same day": [0],
    "one failure": [None] * 30 + [100],
    "nothing failed": [None] * 40,
    "all failed": [10 * at for at in range(1, 31)],
    "all failed on one day": [50] * 20,
    "all failed the same day": [0] * 20,
    "five failures and others": [None] * 40 + [20, 60, 100, 200, 300],
}


@pytest.mark.parametrize("name", EDGES)
@pytest.mark.parametrize("days", [400, 1])
def test_no_edge_gives_a_false_number(vera: Actor, name: str, days: int) -> None:
    fates = [None if one is None or one > days else one for one in EDGES[name]]
    _fitted(vera, fates, days)
    made = failures.section(vera, SPAN)
    sheet = component.sheet(vera, SPAN, _hub().key)
    assert sections_from_json(sections_to_json((made, *sheet))) == (made, *sheet)
    [row] = _table(made, "failure-rates").rows
    failed = sum(fate is not None for fate in fates)
    assert (row[1].value, row[2].value) == (len(fates), failed)
    rate, low, high = (cell.value for cell in row[5:8])
    assert isinstance(rate, Decimal)
    assert isinstance(low, Decimal)
    assert isinstance(high, Decimal)
    assert low <= rate <= high
    assert high > 0
    assert (low == 0) == (failed == 0)
    for one in (made, *sheet):
        for table in one.tables:
            for cells in table.rows:
                for cell in cells:
                    assert "nan" not in cell.words
                    assert "inf" not in cell.words
        for figure in one.figures:
            assert figure.chart.layers
            assert figure.chart.says


@pytest.mark.parametrize("name", EDGES)
def test_no_share_is_sure_where_nothing_or_everything_failed(vera: Actor, name: str) -> None:
    _fitted(vera, EDGES[name])
    sheet = component.sheet(vera, SPAN, _hub().key)
    ages = [table for one in sheet for table in one.tables if table.key == "component-age"]
    for table in ages:
        for row in table.rows:
            if row[1].value is not None:
                low, high = row[2].value, row[3].value
                assert isinstance(low, Decimal)
                assert isinstance(high, Decimal)
                assert low < high


def test_a_workshop_that_opened_last_week_gets_sentences(vera: Actor) -> None:
    made = failures.section(vera, SPAN)
    assert made.says
    assert not made.tables
    assert not made.figures
    assert not made.findings
    [sheet] = component.sheet(vera, SPAN, _hub().key)
    assert sheet.says
    assert not sheet.tables
    assert component.sheet(vera, SPAN, "no-such-kind")[0].says


def test_a_third_of_a_unit_month_is_not_none(vera: Actor) -> None:
    """Two units watched for six days each are 12 / 30.4375 = 0.394 unit-months."""
    _fitted(vera, [None] * 2, days=6)
    assert "for 0.394 unit-months" in failures.section(vera, SPAN).says[0]


def test_on_29_february_everything_is_counted(vera: Actor) -> None:
    leap = date(2028, 2, 29)
    _fitted(vera, [None] * 20 + [30, 60])
    made = failures.section(vera, Span(date(2028, 2, 1), leap))
    assert _table(made, "failure-rates").rows[0][2].value == 2
    assert component.sheet(vera, Span(date(2028, 2, 1), leap), _hub().key)


def test_what_failed_at_first_sight_is_in_no_rate(vera: Actor) -> None:
    _fitted(vera, [None] * 10)
    [vehicle] = vehicles(vera, 1)
    FittedUnit.objects.bulk_create(
        [
            a_life(
                vehicle,
                _hub(),
                in_day=DAY,
                out_day=DAY,
                entry="first_seen",
                exit="failed",
                born_day=DAY - 900,
            )
        ]
    )
    [row] = _table(failures.section(vera, SPAN), "failure-rates").rows
    assert [cell.value for cell in row[1:4]] == [10, 0, 1]
    assert row[3].way is not None
    assert "first=1" in row[3].way.query


def test_the_bracket_holds_the_rate(vera: Actor) -> None:
    by_chance(vera, 5, 80)
    made = failures.section(vera, SPAN)
    for row in _table(made, "failure-rates").rows:
        rate, highest, lowest = (row[at].value for at in (5, 8, 9))
        assert isinstance(rate, Decimal)
        assert isinstance(highest, Decimal)
        assert isinstance(lowest, Decimal)
        assert lowest <= rate <= highest


def test_a_bad_batch_is_found_and_leads_to_its_jobs(vera: Actor) -> None:
    """Eight of thirty against two of a hundred and twenty, in the same time."""
    _fitted(vera, [40] * 8 + [None] * 22, supplier="Velm", batch="V7")
    for batch in ("V1", "V2", "V3", "V4"):
        fate: list[int | None] = [200] if batch in {"V1", "V2"} else [None]
        _fitted(vera, [*fate, *([None] * 29)], supplier="Velm", batch=batch)
    made = failures.section(vera, SPAN)
    [found] = [one for one in made.findings if "V7" in one.words]
    assert "8 of 30" in found.words
    assert found.way is not None
    assert found.way.name == "failure-jobs"
    address = reverse(found.way.name, args=[vera.workshop.slug, *found.way.parts])
    page = client_of(vera).get(f"{address}?{found.way.query}")
    assert page.context["page"].paginator.count == 8
    rows = _table(component.sheet(vera, SPAN, _hub().key), "component-batches").rows
    said = {row[0].value: row[-1].words for row in rows}
    assert said["batch V7 of Velm"] == "more than the others"
    assert said["batch V3 of Velm"] != "more than the others"


def test_chance_alone_seldom_finds_a_bad_batch() -> None:
    """Twelve batches of one law, two hundred times: in at most one of twenty is any called bad."""
    chance = default_rng(20261128)
    kind, day = Kind("hub", "Hub", {1: "PL2"}), 24 * 365.25 / 12
    trials, alarms = 200, 0
    for _ in range(trials):
        rows, watched = {}, {}
        for at, units in enumerate(chance.integers(10, 40, 12)):
            failed = int(chance.poisson(units * 0.15))
            days = Bracket(units * day, units * day, units * day)
            tally = Tally(units=int(units), failed=failed, days=days)
            rows[Of(1, "", "Velm", f"B{at}", None)] = tally
            watched[1, "Velm", f"B{at}"] = Spell((units * day,), (failed,))
        groups = all_groups([kind], Tallies(rows, 0.0, watched), TODAY)
        alarms += any(group.screened.outside for group in groups)
    assert alarms <= 18  # beyond it lies less than 1 % of Bin(200, 0.05)


def test_every_count_leads_to_as_many_units(vera: Actor) -> None:
    by_chance(vera, 9, 40)
    client = client_of(vera)
    hub = FittedUnit.objects.order_by("pk")[0].component
    sections = component.sheet(vera, SPAN, hub.key)
    checked = 0
    for table in (table for one in sections for table in one.tables):
        for cell in (cell for row in table.rows for cell in row):
            if cell.way is not None and isinstance(cell.value, int):
                address = reverse(cell.way.name, args=[vera.workshop.slug, *cell.way.parts])
                page = client.get(f"{address}?{cell.way.query}")
                assert page.context["page"].paginator.count == cell.value, (table.key, cell)
                checked += 1
    assert checked > 10


@pytest.mark.parametrize(("later", "more"), [(0, (0, 0)), (9, (4, 2))])
def test_pages_cost_the_same_queries_for_any_number_of_lives(
    vera: Actor, later: int, more: tuple[int, int]
) -> None:
    """Of a day gone by it is asked, of each kind of count, whether anything came after it."""
    taken = []
    for count in (5, 40):
        by_chance(vera, count, count)
        key = FittedUnit.objects.order_by("pk")[0].component.key
        with clock.at(noon(TODAY.toordinal() + later)):
            with counted() as queries:
                failures.section(vera, SPAN)
            one = len(queries)
            with counted() as queries:
                component.sheet(vera, SPAN, key)
        taken.append((one, len(queries)))
    assert taken[0] == taken[1] == (14 + more[0], 16 + more[1])


def test_pages_narrow_and_refuse_what_cannot_be(vera: Actor) -> None:
    _fitted(vera, [None] * 20 + [30, 60], supplier="Velm", batch="V7")
    client, slug, key = client_of(vera), vera.workshop.slug, _hub().key
    all_kinds = client.get(reverse("failures", args=[slug]))
    assert _hub().name in text_of(all_kinds)
    sheet = reverse("failure-sheet", args=[slug, key])
    assert client.get(sheet).status_code == 200
    assert client.get(sheet, {"platform": "PL2"}).status_code == 200
    assert client.get(sheet, {"platform": "XX9"}).status_code == 404
    assert client.get(reverse("failure-sheet", args=[slug, "none"])).status_code == 404
    jobs = reverse("failure-jobs", args=[slug, key])
    for asked, count in (
        ({}, 2),
        ({"batch": "V7"}, 2),
        ({"batch": "V8"}, 0),
        ({"supplier": "Velm", "platform": "PL2"}, 2),
        ({"until": str(TODAY - timedelta(days=380))}, 0),
        ({"first": "1"}, 0),
    ):
        page = client.get(jobs, asked)
        assert page.context["page"].paginator.count == count, asked
    for bad in ({"mode": "x"}, {"mode": "999999"}, {"until": "x"}, {"until": "0001-01-01"}):
        assert client.get(jobs, bad).status_code == 404, bad


@pytest.mark.parametrize("only", ["", "PL2", "PL4"])
def test_each_count_of_a_sheet_leads_to_as_many_on_one_platform_too(vera: Actor, only: str) -> None:
    """One kind on two platforms, two failures on one and three on the other, from one supplier."""
    key, lives = "hub_and_sensor", []
    for code, failed in (("PL2", 2), ("PL4", 3)):
        hub = Component.objects.get(platform=the_platform(code), key=key)
        modes = [mode.pk for mode in hub.failure_modes.all()]
        lives += [
            a_life(
                vehicle,
                hub,
                in_day=DAY - 200,
                out_day=DAY - 100 + at,
                exit="failed",
                supplier="Velm",
                batch="V7",
                mode=modes[0],
            )
            for at, vehicle in enumerate(vehicles(vera, failed, the_platform(code)))
        ]
    FittedUnit.objects.bulk_create(lives)
    kind, counts = kind_of(key), []
    assert kind is not None
    for section in component.sheet(vera, SPAN, key, only):
        for table in section.tables:
            for cell in (cell for row in table.rows for cell in row if cell.way and cell.value):
                assert cell.way is not None
                if isinstance(cell.value, int):
                    found = failed_units(vera, kind, _narrowed(QueryDict(cell.way.query))).count()
                    assert found == cell.value, (table.key, cell.way.query)
                    counts.append(found)
    assert set(counts) == {"": {2, 3, 5}, "PL2": {2}, "PL4": {3}}[only]


def test_what_came_later_is_left_out(vera: Actor) -> None:
    _fitted(vera, [None] * 20 + [30, 200])
    then = TODAY - timedelta(days=300)
    [row] = _table(failures.section(vera, Span(then.replace(day=1), then)), "failure-rates").rows
    assert row[2].value == 1


def test_what_was_not_found_counts_whether_a_system_was_named_or_not(bela: Actor) -> None:
    """A fault that was found names its component's system; one that was not may name none."""
    system = _hub().system
    for vehicle, (named, none) in zip(
        vehicles(bela, 5), [(1, 0), (1, 0), (1, 1), (0, 1), (0, 1)], strict=True
    ):
        order = a_repair_order(bela, vehicle=vehicle)
        Repair.objects.create(
            workshop=bela.workshop,
            complaint=order.complaints.get(),
            vehicle=vehicle,
            system=system if named else None,
            no_fault_found=bool(none),
            handed_day=TODAY.toordinal(),
            seen_day=TODAY.toordinal(),
        )
    found = no_fault(bela, TODAY)
    assert [(one.system, one.repairs, one.none_found) for one in found] == [
        (system.name, 3, 1),
        ("", 2, 2),
    ]
