"""Any morning at the Counter, in any order and by several at once, leaves books that add up."""

from __future__ import annotations

import random
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connections, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.models import RepairOrder
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

    @settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
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
    """Each clerk acts over a connection of its own; on SQLite they take turns at writing."""
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
