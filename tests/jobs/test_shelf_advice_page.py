"""The page of what to keep: what it says, and the touch that sets a level."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from diagnostics.models import PartNumber
from jobs.models import RepairOrder, StockItem
from jobs.services import shelf_levels
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash, Refusal
from shop.models import LogEntry
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.test_shelf_advice import a_supply, an_item, hub_part, wanted


@pytest.fixture
def part(bela: Actor) -> PartNumber:
    """A hub that was wanted every twelve days for two years and comes in three."""
    order = a_repair_order(bela)
    RepairOrder.objects.update(taken_in_at=clock.now() - timedelta(days=1100))
    order.refresh_from_db()
    for days_ago in range(5, 700, 12):
        wanted(order, days_ago)
    a_supply(bela, hub_part(order).number, quantity=1, days_ago=90, took=3)
    return hub_part(order)


def address(actor: Actor, name: str = "shelf-advice") -> str:
    return reverse(name, args=[actor.workshop.slug])


def test_the_page_says_what_was_wanted_and_what_to_keep(nuri: Actor, part: PartNumber) -> None:
    text = client_of(nuri).get(address(nuri)).content.decode()
    assert part.number in text
    assert "Keep 1" in text
    assert "from 1 delivery" in text
    assert "Money on the shelf against waits" in text
    assert "Poisson" in text


def test_one_touch_sets_the_level_and_says_so_in_the_log(nuri: Actor, part: PartNumber) -> None:
    browser = client_of(nuri)
    sent = {"act": uuid4(), "part_number": part.number, "level": 1, "seen": 0}
    assert browser.post(address(nuri, "shelf-keep"), sent).status_code == 303
    item = StockItem.objects.get()
    assert (item.target, item.component, item.on_hand) == (1, part.component, 0)
    assert LogEntry.objects.filter(words__contains=f"keeps 1 of {part.number}").count() == 1
    browser.post(address(nuri, "shelf-keep"), sent)  # the same touch, sent again
    assert LogEntry.objects.filter(words__contains="keeps 1 of").count() == 1
    text = client_of(nuri).get(address(nuri), {"show": "changes"}).content.decode()
    assert "Nothing to think about today." in text


def test_a_level_that_somebody_else_set_meanwhile_is_told(nuri: Actor, part: PartNumber) -> None:
    shelf_levels.keep(nuri, act=uuid4(), part_number=part.number, level=4, seen=0)
    with pytest.raises(Clash, match="meanwhile set 4"):
        shelf_levels.keep(nuri, act=uuid4(), part_number=part.number, level=1, seen=0)
    assert StockItem.objects.get().target == 4


def test_the_level_of_an_older_number_moves_to_the_one_that_lives(
    nuri: Actor, part: PartNumber
) -> None:
    PartNumber.objects.create(
        component=part.component,
        position=part.position,
        number="OLD-77",
        price=1,
        superseded_by=part,
    )
    an_item(nuri, "OLD-77", target=3, on_hand=2)
    shelf_levels.keep(nuri, act=uuid4(), part_number="OLD-77", level=2, seen=3)
    kept = dict(StockItem.objects.values_list("part_number", "target"))
    assert kept == {"OLD-77": 0, part.number: 2}


def test_what_cannot_be_kept_is_refused_with_a_sentence(
    nuri: Actor, ines: Actor, part: PartNumber
) -> None:
    with pytest.raises(Refusal, match="from 0 to"):
        shelf_levels.keep(nuri, act=uuid4(), part_number=part.number, level=-1, seen=0)
    with pytest.raises(Refusal, match="No part of that number"):
        shelf_levels.keep(nuri, act=uuid4(), part_number="nothing", level=1, seen=0)
    with pytest.raises(Refusal, match="parts counter"):
        shelf_levels.keep(ines, act=uuid4(), part_number=part.number, level=1, seen=0)
    act = uuid4()
    shelf_levels.keep(nuri, act=act, part_number=part.number, level=1, seen=0)
    with pytest.raises(AlreadyDone):
        shelf_levels.keep(nuri, act=act, part_number=part.number, level=1, seen=0)
    answer = client_of(nuri).post(address(nuri, "shelf-keep"), {"level": "many"}, follow=True)
    assert "Nothing was set." in answer.content.decode()


def test_an_empty_workshop_is_told_when_the_page_fills(nuri: Actor) -> None:
    assert "Nothing was fitted here yet" in client_of(nuri).get(address(nuri)).content.decode()
