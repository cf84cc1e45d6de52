"""Any morning at the Counter, in any order and by several at once, leaves books that add up."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import timedelta
from threading import Barrier, BrokenBarrierError
from uuid import uuid4

import pytest
from django.db import connection, connections, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.models import RepairOrder, Replacement
from jobs.services import part_rows, parts, supply_returns, wrong_parts
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.roles import Role
from tests.cast import person
from tests.jobs.along import Crew
from tests.jobs.stock_acts import ACTS, Choice, a_counter, do
from tests.jobs.stock_books import check_books

CLERKS, ROUNDS = 4, 14
# Voids end a morning early: they are left to the tests in which one acts after the other.
BUSY = [*sorted(set(ACTS) - {"void_job", "void_supply"}), "place", "receive", "receive_for_jobs"]
A_FULL_MORNING = (
    ("place", 0, 1, 2),  # a hub for the first job, two for the shelf
    ("wait_for", 2, 0, 0),  # one of which is kept for the second job
    ("receive", 0, 0, 1),
    ("receive", 0, 1, 1),  # one good, one wrong
    ("cancel_line", 0, 0, 0),
    ("receive_for_jobs", 0, 1, 0),  # the rest of the first job lies on the shelf
    ("hand_over", 0, 0, 0),
    ("take_back", 0, 0, 0),
    ("wrong", 0, 0, 0),
    ("cancel", 0, 0, 0),
    ("count", 1, 0, 3),
    ("send_back", 1, 0, 0),
    ("credited", 0, 0, 0),
    ("place", 1, 0, 1),
    ("void_supply", 1, 0, 0),
    ("cancel", 2, 0, 0),
    ("void_job", 1, 0, 1),
)
numbers = st.integers(0, 11)
choices = st.builds(Choice, numbers, numbers, numbers)
mornings = st.builds(
    lambda first, rest: [("place", first), *rest],
    choices,
    st.lists(st.tuples(st.sampled_from(sorted(ACTS)), choices), min_size=8, max_size=24),
)


@pytest.fixture
def everybody(crew: Crew) -> Actor:
    return person(crew.counter.workshop, "All R.", *Role)


class Undone(Exception):
    """Rolls an example back."""


@pytest.mark.django_db
def test_any_morning_leaves_books_that_add_up(crew: Crew, everybody: Actor) -> None:
    a_counter(crew, jobs=2)
    check_books(everybody.workshop)

    @settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
    @given(mornings)
    def live(morning: list[tuple[str, Choice]]) -> None:
        try:
            with transaction.atomic():
                for name, choice in morning:
                    do(everybody, name, choice)
                    check_books(everybody.workshop)
                raise Undone
        except Undone:
            pass

    live()


@pytest.mark.django_db
def test_every_act_of_such_a_morning_can_be_done(crew: Crew, everybody: Actor) -> None:
    """So that a morning in which all is refused cannot pass for one in which all adds up."""
    a_counter(crew, jobs=2)
    for name, *which in A_FULL_MORNING:
        assert do(everybody, name, Choice(*which)) == "done", (name, which)
        check_books(everybody.workshop)
    assert {name for name, *_ in A_FULL_MORNING} == set(ACTS)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("seed", range(3))
def test_a_morning_of_several_clerks_at_once_leaves_books_that_add_up(
    crew: Crew, everybody: Actor, seed: int
) -> None:
    """Each clerk acts over a connection of its own."""
    if connection.vendor != "postgresql":
        pytest.skip("SQLite in memory cannot be written over several connections")
    a_counter(crew, jobs=3)
    together = Barrier(CLERKS)

    def clerk(number: int) -> Counter[str]:
        dice = random.Random(100 * seed + number)
        answers: Counter[str] = Counter()
        try:
            for _ in range(ROUNDS):
                together.wait(timeout=60)
                choice = Choice(*(dice.randrange(12) for _ in range(3)))
                answers[do(everybody, dice.choice(BUSY), choice)] += 1
        except BaseException:
            together.abort()
            raise
        finally:
            connections.close_all()
        return answers

    with ThreadPoolExecutor(CLERKS) as pool:
        said = sum(pool.map(clerk, range(CLERKS)), Counter())
    check_books(everybody.workshop)
    assert said["done"] >= CLERKS, said
    assert RepairOrder.objects.count() == 3


def _crossed(crew: Crew) -> tuple[Replacement, Replacement]:
    """Two jobs that each wait for the part that lies here already for the other one."""
    a_counter(crew, jobs=2)
    actor, waiting = crew.counter, []
    for number in ("ST-100", "ST-200"):
        rows = Replacement.objects.filter(part_number=number).order_by("pk")
        keys = [row.pk for row in rows]
        parts.order(
            actor, act=uuid4(), replacements=keys, expected_on=clock.today() + timedelta(days=1)
        )
        waiting.append(keys)
    hubs = Replacement.objects.exclude(pk__in=[*waiting[0], *waiting[1]])
    here = [waiting[0][0], waiting[1][1], *hubs.values_list("pk", flat=True)]
    parts.receive(actor, act=uuid4(), replacements=here)
    first, second = waiting[1][0], waiting[0][1]
    return Replacement.objects.get(pk=first), Replacement.objects.get(pk=second)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("other", ["books in", "finds it wrong"])
def test_two_clerks_whose_parts_cross_wait_for_each_other_and_not_for_ever(
    crew: Crew, monkeypatch: pytest.MonkeyPatch, other: str
) -> None:
    """One books a part in and hands its job over, the other does so too, or sends one back."""
    if connection.vendor != "postgresql":
        pytest.skip("SQLite lets one writer in at a time; this is about PostgreSQL")
    first, second = _crossed(crew)
    if other == "finds it wrong":
        parts.receive(crew.counter, act=uuid4(), replacements=[second.pk], hand_over=True)
        second.refresh_from_db()
    midway = Barrier(2)

    def halted(real: Callable[..., object]) -> Callable[..., object]:
        def halt(*args: object, **named: object) -> object:
            with suppress(BrokenBarrierError):
                midway.wait(timeout=3)  # when the other one waits at the first part, go on alone
            return real(*args, **named)

        return halt

    monkeypatch.setattr(part_rows, "hand_over_complete", halted(part_rows.hand_over_complete))
    monkeypatch.setattr(wrong_parts, "from_stock", halted(supply_returns.from_stock))

    def books_in(row: Replacement) -> None:
        parts.receive(crew.counter, act=uuid4(), replacements=[row.pk], hand_over=True)

    def finds_wrong(row: Replacement) -> None:
        day = clock.today() + timedelta(days=1)
        parts.wrong(
            crew.counter, act=uuid4(), replacement=row, because="left-hand", expected_on=day
        )

    def clerk(job: tuple[Callable[[Replacement], None], Replacement]) -> None:
        try:
            job[0](job[1])
        finally:
            connections.close_all()

    second_act = finds_wrong if other == "finds it wrong" else books_in
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(clerk, [(books_in, first), (second_act, second)]))
    check_books(crew.counter.workshop)
    stages = set(RepairOrder.objects.values_list("stage", flat=True))
    assert Stage.REPAIRING in stages
