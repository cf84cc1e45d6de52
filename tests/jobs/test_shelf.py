"""The shelf: what is on record, counting, and what must not be counted away."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db.models import Sum

from jobs.models import Replacement, StockItem, StockMovement
from jobs.queries import shelf as queries
from jobs.services import parts, shelf, stock
from jobs.services.shelf import Particulars
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Clash
from shop.models import LogEntry
from tests.asserts import refused
from tests.factories import a_repair_order
from tests.jobs.along import Crew, bring_to

Kind = StockMovement.Kind


def on_shelf(
    actor: Actor, number: str = "PL2-20-214", pieces: int = 3, **more: object
) -> StockItem:
    known = Particulars(text="hub and sensor", unit_cost=Decimal("41.30"), **more)  # type: ignore[arg-type]
    return shelf.add(actor, act=uuid4(), part_number=number, counted=pieces, particulars=known)


def count(actor: Actor, item: StockItem, pieces: int, **more: object) -> StockItem:
    said: dict[str, object] = {
        "act": uuid4(),
        "item": item,
        "revision": item.revision,
        "seen": item.on_hand,
        "counted": pieces,
    }
    return shelf.count(actor, **(said | more))  # type: ignore[arg-type]


def adds_up(item: StockItem) -> bool:
    item.refresh_from_db()
    moved = item.movements.aggregate(pieces=Sum("quantity"))["pieces"] or 0
    last = item.movements.first()
    return moved == item.on_hand and (last is None or last.balance == item.on_hand)


def test_a_part_is_put_on_record_with_what_was_counted(nuri: Actor) -> None:
    item = on_shelf(nuri, " pl2-20-214 ", 4, place="rack B, 3", target=2)
    assert (item.part_number, item.part_key, item.on_hand) == ("PL2-20-214", "PL220214", 4)
    assert (item.place, item.target, item.unit_cost) == ("rack B, 3", 2, Decimal("41.30"))
    (move,) = item.movements.all()
    assert (move.kind, move.quantity, move.unit_cost, move.because) == (
        Kind.COUNTED,
        4,
        Decimal("41.30"),
        "opening count",
    )
    assert item.counted_at is not None
    assert adds_up(item)


def test_a_part_that_is_known_is_not_put_on_record_again(nuri: Actor) -> None:
    on_shelf(nuri)
    with refused(field="part_number", says="on record already"):
        on_shelf(nuri, "PL2 20 214")
    with refused(field="part_number", says="Type the part number"):
        on_shelf(nuri, "--")
    with refused(field="counted", says="from 0 to"):
        on_shelf(nuri, "X-1", -1)
    with refused(field="unit_cost", says="below zero"):
        shelf.add(
            nuri,
            act=uuid4(),
            part_number="X-1",
            counted=0,
            particulars=Particulars("a thing", unit_cost=Decimal("-0.01")),
        )
    assert StockItem.objects.count() == 1


def test_counting_what_the_record_says_only_keeps_the_day(nuri: Actor) -> None:
    with clock.at(clock.now() - timedelta(days=9)):
        item = on_shelf(nuri)
    counted = count(nuri, item, 3)
    assert item.counted_at is not None
    assert counted.counted_at is not None
    assert counted.counted_at.date() == clock.today()
    assert counted.movements.count() == 1
    assert LogEntry.objects.latest("pk").words == "counted 3 of PL2-20-214, as on record"


def test_a_difference_is_a_movement_with_its_reason(nuri: Actor) -> None:
    item = on_shelf(nuri)
    with refused(field="because", says="The record says 3"):
        count(nuri, item, 1)
    counted = count(nuri, item, 1, because="two found rusted")
    assert (counted.on_hand, counted.movements.earliest("-pk").quantity) == (1, -2)
    assert adds_up(counted)
    assert LogEntry.objects.latest("pk").reason == "two found rusted"


def test_two_who_count_at_once_are_told(nuri: Actor, bela: Actor) -> None:
    item = on_shelf(nuri)
    count(bela, item, 3)
    with pytest.raises(Clash, match="since you opened this page"):
        count(nuri, item, 2, because="one gone")
    item.refresh_from_db()
    stock.post(nuri, item, Kind.RECEIVED, 2)
    with pytest.raises(Clash, match="from 3 to 5"):
        count(nuri, item, 3, seen=3)
    assert adds_up(item)


def test_what_lies_here_for_jobs_is_not_counted_away(crew: Crew) -> None:
    item = on_shelf(crew.counter, pieces=2)
    order = a_repair_order(crew.manager, technician=crew.technician)
    bring_to(Stage.AWAITING_ASSEMBLY, order, crew)
    row = Replacement.objects.get(complaint__order=order)
    parts.receive(crew.counter, act=uuid4(), replacements=[row.pk])
    item.refresh_from_db()
    assert (item.on_hand, item.reserved) == (2, 1)
    assert [one.pk for one in queries.lies_for(item)] == [row.pk]
    with refused(field="counted", says=f"lie here for {order.number}"):
        count(crew.counter, item, 0, because="none there")
    item.refresh_from_db()
    assert count(crew.counter, item, 1, because="one gone").free == 0
    assert adds_up(item)


def test_place_cost_and_level_change_together_or_clash(nuri: Actor, bela: Actor) -> None:
    item = on_shelf(nuri)
    known = Particulars("hub", place="rack C", unit_cost=Decimal("44.00"), target=3)
    seen = item.revision
    changed = shelf.change(nuri, act=uuid4(), item=item, revision=seen, particulars=known)
    assert (changed.place, changed.target, changed.unit_cost) == ("rack C", 3, Decimal("44.00"))
    with pytest.raises(Clash):
        shelf.change(bela, act=uuid4(), item=item, revision=seen, particulars=known)
    said = LogEntry.objects.latest("pk").words
    assert said == "changed PL2-20-214: what it is, place, cost, level to keep"


def test_only_the_counter_and_the_manager_count(nuri: Actor, ines: Actor, pim: Actor) -> None:
    item = on_shelf(nuri)
    with refused(says="what is on the shelf"):
        count(ines, item, 3)
    with pytest.raises(StockItem.DoesNotExist):
        count(pim, item, 3)
    assert adds_up(item)


def test_a_count_sent_twice_counts_once(nuri: Actor) -> None:
    item, act = on_shelf(nuri), uuid4()
    count(nuri, item, 5, act=act, because="two more found")
    with pytest.raises(AlreadyDone):
        count(nuri, item, 5, act=act, because="two more found")
    assert adds_up(item)
    assert item.on_hand == 5


def test_the_list_says_what_is_low(nuri: Actor) -> None:
    on_shelf(nuri, "A-1", 1, target=2, place="rack B")
    on_shelf(nuri, "A-2", 2, target=2)
    assert [one.part_number for one in queries.items(nuri, low=True)] == ["A-1"]
    assert [one.part_number for one in queries.items(nuri, "a 2")] == ["A-2"]
    assert [one.part_number for one in queries.items(nuri, "rack")] == ["A-1"]
    assert queries.counts(nuri) == queries.Counts(parts=2, low=1)
    assert queries.value_on_shelf(nuri) == Decimal("123.90")  # 3 x 41.30
