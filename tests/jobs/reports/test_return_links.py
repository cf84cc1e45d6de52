"""Every count of returns leads to a list of exactly as many."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from random import Random

import pytest
from django.http import Http404, QueryDict

from jobs.models import CauseClass
from jobs.queries import returns_page
from jobs.reports.document import Section, Shown, Span, Way
from jobs.reports.figures import comebacks, people
from jobs.reports.figures.comeback_change import change_of
from jobs.reports.queries.comebacks import repairs
from shop import clock
from shop.actor import Actor
from tests.jobs.along import Crew
from tests.jobs.reports.test_comebacks import a_proposal, a_row, nine
from tests.jobs.returned import a_return

pytestmark = pytest.mark.django_db


def _by_chance(crew: Crew, seed: int) -> None:
    """Repairs of two people and suppliers, some back twice, decided on some later day or not."""
    chance, today = Random(seed), clock.today().toordinal()
    people_there = (crew.technician.user, crew.manager.user)
    for _turn in range(24):
        held = chance.randrange(40, 300)
        row = a_row(
            crew.manager,
            held,
            None,
            technician=chance.choice(people_there),
            supplier=chance.choice(("Ostrel", "Vanta", "")),
        )
        for _back in range(chance.choice((0, 0, 1, 2))):
            days = chance.randrange(1, held)
            decided = {}
            if chance.random() < 0.6:
                at = chance.randrange(today - held + days, today + 1)
                decided = {"cause": chance.choice(CauseClass.values), "decided_at": nine(at)}
            a_proposal(crew.manager, row, days, **decided)


def _counts(section: Section) -> Iterator[tuple[str, Shown]]:
    for table in section.tables:
        for row in table.rows:
            yield from ((f"{table.key}: {row[0].words}", one) for one in row if one.way)


def _listed(actor: Actor, way: Way) -> int:
    assert way.name == "returns"
    found = returns_page.returns(actor, returns_page.wanted(QueryDict(way.query)))
    return len({row.pk for row in found})


@pytest.mark.parametrize("back", [0, 25])
@pytest.mark.parametrize("seed", [1, 2])
def test_each_count_leads_to_as_many(crew: Crew, seed: int, back: int) -> None:
    _by_chance(crew, seed)
    a_return(crew, days=30)  # with a diagnosis, and whoever made it
    until = clock.today() - timedelta(days=back)
    span = Span(until.replace(day=1), until)
    actor, seen = crew.manager, 0
    for section in (comebacks.section(actor, span), people.section(actor, span)):
        for where, one in _counts(section):
            assert one.way is not None
            assert _listed(actor, one.way) == one.value, (where, one.way.query)
            seen += 1
    assert seen > 12


def test_the_returns_of_late_are_those_that_are_listed(crew: Crew) -> None:
    _by_chance(crew, 3)
    span = Span(date(2020, 1, 1), clock.today())
    found = repairs(crew.manager, span.until)
    change = change_of(found)
    assert change is not None
    assert change.lately > 0
    assert _listed(crew.manager, comebacks.lately(span.until)) == change.lately


@pytest.mark.parametrize(
    "asked", ["since=yesterday", "first=last", "diagnosed=Ann", "until=2026-13-01", "cause=bad"]
)
def test_what_cannot_be_asked_is_not_found(crew: Crew, asked: str) -> None:
    with pytest.raises(Http404):
        returns_page.wanted(QueryDict(asked))


def test_the_sentence_on_what_waits_leads_to_as_many_in_a_month_gone_by(crew: Crew) -> None:
    """Two came sixty days ago; one of them was decided ten days ago."""
    today = clock.today().toordinal()
    decided = {"cause": CauseClass.PART, "decided_at": nine(today - 10)}
    for more in (decided, {}):
        a_proposal(crew.manager, a_row(crew.manager, 100, None), 40, **more)
    for back, waiting in ((0, 1), (20, 2)):
        until = clock.today() - timedelta(days=back)
        section = comebacks.section(crew.manager, Span(until.replace(day=1), until))
        (finding,) = section.findings
        assert finding.words.startswith(f"{waiting} return")
        assert finding.way is not None
        assert _listed(crew.manager, finding.way) == waiting
