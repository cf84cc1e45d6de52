"""An answer that was lost on its way, and what the clerk ticked before sending again."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from jobs.models import Replacement, SupplyOrder
from jobs.queries.supply_table import table_of
from jobs.services import parts, shelf_levels
from shop import clock
from shop.errors import AlreadyDone
from shop.queries.acts import was_this
from tests.asserts import text_of
from tests.cast import client_of
from tests.jobs.along import Crew
from tests.jobs.supplying import asking, check_stock, on_the_shelf, state_of

pytestmark = pytest.mark.django_db


def _again(crew: Crew, act: object, keys: list[int]) -> bool:
    with pytest.raises(AlreadyDone) as done, transaction.atomic():
        parts.receive(crew.counter, act=act, replacements=keys)  # type: ignore[arg-type]
    return was_this(crew.counter, done.value)


def test_other_assemblies_under_a_used_act_are_not_said_to_be_booked_in(crew: Crew) -> None:
    one, two = asking(crew), asking(crew)
    on_the_shelf(crew, 2)
    act = uuid4()
    parts.receive(crew.counter, act=act, replacements=[one.pk])
    assert _again(crew, act, [one.pk])
    assert not _again(crew, act, [two.pk])
    assert not _again(crew, act, [one.pk, two.pk])
    assert state_of(two) == Replacement.State.TO_ORDER
    assert check_stock() == (2, 1)


def test_long_lists_that_begin_alike_are_told_apart(crew: Crew) -> None:
    rows = [asking(crew).pk for _ in range(25)]
    on_the_shelf(crew, 25)
    act = uuid4()
    parts.receive(crew.counter, act=act, replacements=rows[:24])
    assert _again(crew, act, rows[23::-1])
    assert not _again(crew, act, rows)


def test_the_clerk_is_told(crew: Crew) -> None:
    one, two = asking(crew), asking(crew)
    on_the_shelf(crew, 2)
    address = reverse("part-receive", args=[crew.counter.workshop.slug])
    browser, act = client_of(crew.counter), uuid4()
    for row in (one, two):
        answer = browser.post(address, {"act": act, "replacements": [row.pk]}, follow=True)
    assert "Nothing was recorded" in text_of(answer)


def test_another_order_under_a_used_act_is_not_said_to_be_placed(crew: Crew) -> None:
    """The same form sent twice is one order; what was typed otherwise the second time is told."""
    asking(crew)
    address = reverse("supply-new", args=[crew.counter.workshop.slug]) + "?supplier=Ostrel"
    browser = client_of(crew.counter)
    day = clock.today() + timedelta(days=1)
    typed = {"act": uuid4(), "expected_on": day.isoformat(), "own_number": "X-1", "own_quantity": 2}
    assert browser.post(address, typed).status_code == 303
    assert browser.post(address, typed).status_code == 303
    answer = browser.post(address, typed | {"own_quantity": 3})
    assert "Nothing was recorded" in text_of(answer)
    assert SupplyOrder.objects.count() == 1


def test_other_figures_under_a_used_act_are_not_said_to_be_kept(crew: Crew) -> None:
    on_the_shelf(crew, 1)
    act = uuid4()
    shelf_levels.keep(crew.counter, act=act, part_number="PL2-20-214", level=2, seen=0)
    for level, same in ((2, True), (3, False)):
        with pytest.raises(AlreadyDone) as done, transaction.atomic():
            shelf_levels.keep(crew.counter, act=act, part_number="PL2-20-214", level=level, seen=0)
        assert was_this(crew.counter, done.value) is same


@pytest.mark.parametrize("text", [" =1+1", "\n=1+1", "=1+1", "@x"])
def test_a_supplier_order_for_a_spreadsheet_runs_no_formula(text: str) -> None:
    supplier: Any = SimpleNamespace(name="N", account="")
    order: Any = SimpleNamespace(
        number="QS1", placed_at=timezone.now(), expected_on=timezone.now().date(),
        supplier=supplier, their_reference="", voided_at=None,
    )  # fmt: skip
    line: Any = SimpleNamespace(part_number="P", text=text, quantity=1, unit_cost=1)
    assert f"'{text}" in table_of(order, [line])
