"""Making the whole demo world on an empty database, in one transaction."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

from django.conf import settings
from django.db import transaction
from django.utils.timezone import localtime

from diagnostics.catalogue.folder import Folder
from diagnostics.catalogue.reader import read_catalogue
from diagnostics.services.catalogue import load_all
from jobs.demo import claiming, cover_books, hours, household, returned, under_way
from jobs.demo.data import (
    Bill,
    ClockLeft,
    DemoProblem,
    EarlierVisit,
    OpenJob,
    World,
    read_world,
)
from jobs.demo.history.laws import read_truth
from jobs.demo.history.numbers import KeptFree, jobs_of
from jobs.demo.history.story import History, Past
from jobs.demo.people import House, Opening, SignIn, new_password
from jobs.demo.vehicles import write_down
from jobs.demo.visit import Plan, Storyteller
from jobs.models import RepairOrder
from jobs.services import rebuilt
from jobs.services.kept_later import later
from jobs.stages import Stage
from shop import clock
from shop.models import User, Workshop
from shop.row_counts import count_rows_anew

FIXTURES = Path(settings.BASE_DIR) / "fixtures"
OPENED_DAYS_AGO = 560
_PROMISES = (480, 600, 780, 1200)  # working minutes after taking in
_HALF_HOUR = 30

Say = Callable[[str], None]


@transaction.atomic
def load(
    *, say: Say, password: str = "", world: World | None = None, history: float = 1.0
) -> list[SignIn]:
    """Make the demo world and say who can sign in.

    `password`: one for everybody; `world`: in place of the one in fixtures/demo; `history`: the
    share of the eighteen months' vehicles that is drawn, 0 for the told jobs alone.
    Whatever stops it leaves the database as it was. Raises DemoProblem when it is not empty.
    """
    if Workshop.objects.exists() or User.objects.exists():
        raise DemoProblem(
            "There is a workshop here already, so the demo world was not made. "
            "Go on with this one, or give the demo an empty database: name another folder in "
            "STUBAXLE_STATE (or another DATABASE_URL), and run manage.py migrate there first."
        )
    now = localtime(clock.now())
    opening = hours.next_open(now - timedelta(days=OPENED_DAYS_AGO))
    world = world or read_world(FIXTURES / "demo")
    with clock.at(opening):
        say(f"Catalogue: {_load_catalogue()} platforms")
    opened = Opening(lambda: password or new_password())
    past = History(read_truth(FIXTURES / "demo"), world, history)
    for place in world.places:
        drawn = past.draw(place.slug) if history else []
        with clock.at(opening):
            house = opened.open(place, orders=_orders(world, place.slug) + jobs_of(drawn))
            household.set_up(house, world.households[place.slug])
            cover_books.payers(house, world.cover[place.slug])
        say(f"{place.name}: {len(house.bays)} bays, {len(house.crew)} people")
        free = past.keep_free(house, drawn)
        written = None
        with later():
            told = _fill(world, house, free, now=now, opening=opening, say=say)
            if drawn:
                written = past.write(house, Past(drawn, free), told, now=now, say=say)
        count_rows_anew()
        rebuilt.rebuild(house.workshop, say=say)
        count_rows_anew()
        if written is not None:
            past.decide(house, written, now)
    return opened.sign_ins


def _load_catalogue() -> int:
    folder = Folder()
    names, problems = folder.find([str(FIXTURES / "catalogue")])
    pages = read_catalogue(names, folder)
    if problems or not pages.sound:
        found = "\n".join(str(problem) for problem in (*problems, *pages.problems))
        raise DemoProblem(f"The catalogue's pages are not sound:\n{found}")
    return len(load_all(pages.books))


def _orders(world: World, slug: str) -> int:
    return len(world.earlier[slug]) + len(world.morning[slug])


def _fill(
    world: World, house: House, free: KeptFree, *, now: datetime, opening: datetime, say: Say
) -> dict[int, RepairOrder]:
    """Everything that is told, each in its time; the orders by the place of their visit."""
    slug, name = house.place.slug, house.place.name
    with clock.at(opening):
        cars = write_down(world, house, today=now.date(), opening=opening)
    cover_books.promises(house, world.cover[slug], now)
    say(f"{name}: {len(cars)} vehicles")
    teller = Storyteller(house, cars, world.faults)
    for row in world.morning[slug]:
        if row.clock is ClockLeft.FORGOTTEN:
            teller.sheet.keep_free(house.crew[row.by], *under_way.evening_before(now))
    diary = claiming.Diary(house, world.cover[slug], now)
    plans = sorted(_plans(world, slug, now), key=lambda plan: plan.starts)
    told: dict[int, RepairOrder] = {}
    earlier = {id(row): place for place, row in enumerate(world.earlier[slug])}
    for number, plan in enumerate(plans, start=1):
        diary.until(plan.starts)
        free.until(now if number == len(plans) else plan.starts, now)
        order = teller.live(plan, now)
        told[earlier.get(id(plan.row), -number)] = order
        diary.after(plan.row, order)
        returned.decide(house, plan.row, order, now)
        if order.stage_since > now:
            raise DemoProblem(f"{order}, {plan.row.plate}: reaches {plan.until} only after now.")
        if number % 10 == 0 or number == len(plans):
            say(f"{name}: {number} of {len(plans)} jobs, up to {order}")
    diary.until(now)
    say(f"{name}: claims and what payers answered")
    _this_morning(world, house, teller, now)
    say(f"{name}: orders to suppliers, clocks and bills of this morning")
    return told


def _this_morning(world: World, house: House, teller: Storyteller, now: datetime) -> None:
    """What is under way besides the jobs themselves, each at its own moment before `now`."""
    slug = house.place.slug
    for row in world.households[slug].supply:
        under_way.order(house, row, now)
    for visit in world.earlier[slug]:
        if visit.bill in (Bill.CASH_TODAY, Bill.CARD_TODAY):
            under_way.collect(house, visit, now)
    for job in world.morning[slug]:
        if job.clock is not ClockLeft.OFF:
            under_way.clocks_of(house, job, teller.sheet, now)
    with clock.at(now):
        household.away(house, world.households[slug])


def _plans(world: World, slug: str, now: datetime) -> list[Plan]:
    earlier = [earlier_plan(slug, row, now) for row in world.earlier[slug]]
    return earlier + [_open_plan(row, now) for row in world.morning[slug]]


def earlier_plan(slug: str, row: EarlierVisit, now: datetime) -> Plan:
    rng = Random(f"{slug} {row.plate} {row.ago}")  # noqa: S311  (the same world in every load)
    day = (now - timedelta(days=row.ago)).replace(hour=7, minute=30, second=0, microsecond=0)
    starts = hours.later(day, rng.randrange(5, 420))
    promised = hours.round_to(hours.later(starts, rng.choice(_PROMISES)), _HALF_HOUR)
    return Plan(row, starts, promised, Stage.VOID if row.void else Stage.RELEASED)


def _open_plan(row: OpenJob, now: datetime) -> Plan:
    starts = hours.earlier(now, row.began)
    if row.promised < 0:
        promised = hours.earlier(now, -row.promised)
    else:
        promised = hours.later(now, row.promised)
    return Plan(row, starts, hours.round_to(promised, _HALF_HOUR), row.until)
