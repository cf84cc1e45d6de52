"""Kinds of components: what each is called, and which of them can be counted as failing at all."""

from __future__ import annotations

import pytest

from diagnostics.models import Component
from jobs.reports.document import ReportTable, Section, Way
from jobs.reports.figures import component, failures, people, watch
from jobs.reports.figures.failure_chart import MOST, rates_chart
from jobs.reports.figures.people import Cell, Judged
from jobs.reports.office import span_of
from jobs.reports.queries.kinds import Kind, kind_of, kinds_of, names_of, seen_kinds
from jobs.reports.queries.lives import Bracket, Tally
from jobs.reports.stats.funnel import Counted, screen
from shop import clock
from shop.actor import Actor
from shop.models import Platform
from tests.jobs.reports.lives_made import a_life, vehicles

pytestmark = pytest.mark.django_db


def _seen(actor: Actor, *components: Component) -> None:
    today = clock.today().toordinal()
    for one, car in zip(components, vehicles(actor, len(components)), strict=True):
        a_life(car, one, entry="first_seen", in_day=today - 90, out_day=today).save()


def _named(tables: tuple[ReportTable, ...]) -> set[str]:
    return {row[0].words for table in tables for row in table.rows}


def test_what_is_put_right_without_another_is_not_told_as_never_failing(vera: Actor) -> None:
    """Of a tyre no part is kept in the catalogue: none is ever fitted, so none ever failed."""
    tyre = Component.objects.filter(key="tyre").order_by("pk")[0]
    hub = Component.objects.filter(key="hub_and_sensor").order_by("pk")[0]
    _seen(vera, tyre, hub)
    assert [kind.key for kind in kinds_of(vera)] == ["hub_and_sensor"]
    assert set(names_of(vera)) == {"tyre", "hub_and_sensor"}
    span = span_of(clock.today().replace(day=1))
    sections: tuple[Section, ...] = (failures.section(vera, span), watch.section(vera, span))
    for section in sections:
        assert tyre.name not in _named(section.tables), section.key
        assert not any(tyre.name in words for words in section.says), section.key
    assert hub.name in _named(sections[0].tables)
    (only,) = component.sheet(vera, span, "tyre")
    assert not only.tables
    assert "not known here" in only.says[0]
    assert len(component.sheet(vera, span, "hub_and_sensor")) > 1


def test_a_kind_of_many_names_has_the_one_they_share(vera: Actor) -> None:
    (own,) = Component.objects.filter(key="pressure_modulator")
    other = Platform.objects.create(code="PX9", make="Corvane", model="Merle")
    common = Component.objects.create(
        platform=other, system=own.system, key=own.key, name="Pressure modulator"
    )
    _seen(vera, own)
    assert [kind.name for kind in seen_kinds(vera)] == [own.name], "one alone keeps its own"
    _seen(vera, common)
    assert [kind.name for kind in seen_kinds(vera)] == ["Pressure modulator"]
    found = kind_of("pressure_modulator")
    assert found is not None
    assert found.name == "Pressure modulator"


def test_the_picture_leaves_out_those_that_fail_least() -> None:
    """Sixteen watched as long; those that failed were watched for less, and are drawn all the
    same."""
    kinds = [Kind(f"k{at:02}", f"Kind {at:02}", {at: "PL2"}) for at in range(MOST + 2)]
    tallies = {}
    for at, kind in enumerate(kinds):
        days = 40_000.0 - 100 * at
        tallies[kind.key] = Tally(units=50, failed=at, days=Bracket(days, days, days))
    chart = rates_chart(kinds, tallies)
    assert chart is not None
    drawn = [name for name, _rate in chart.layers[0].bars]  # type: ignore[union-attr]
    assert drawn == [kind.name for kind in kinds[2:]]
    assert "2 with no more failures than these are in the table alone" in chart.says


@pytest.mark.parametrize(
    ("back", "said"),
    [
        ((40, 14), "More than chance gives: Ada; fewer: Bo ("),
        ((26, 27), "none differs by more than chance"),
    ],
)
def test_who_is_named_is_named_with_the_side(back: tuple[int, int], said: str) -> None:
    """27 and 27 are due; the law of the split is that of 54 tosses of a coin."""
    rows = screen([Counted(count, 27.0) for count in back])
    cells = tuple(
        Cell(name, 900, count, 27.0, Way("returns"))
        for name, count in zip(("Ada", "Bo"), back, strict=True)
    )
    assert said in people._says(Judged(cells, rows), "technicians")
