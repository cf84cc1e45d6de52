"""Lives of units as the services leave them, made by chance; and their counts, made row by row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from diagnostics.models import Component
from jobs.models import FittedUnit
from shop.actor import Actor
from shop.models import Customer, Platform, Vehicle
from tests.factories import a_vin, the_platform

TODAY = date(2026, 11, 28)


def vehicles(actor: Actor, count: int, platform: Platform | None = None) -> list[Vehicle]:
    """Vehicles in one go, without what the product does when one is taken in."""
    owner = Customer.objects.create(workshop=actor.workshop, name="Ada W.", phone="555 0123")
    return Vehicle.objects.bulk_create(
        Vehicle(
            workshop=actor.workshop,
            vin=a_vin(),
            plate=f"9XY {number:04d}",
            platform=platform or the_platform(),
            customer=owner,
        )
        for number in range(count)
    )


def a_life(
    vehicle: Vehicle,
    component: Component,
    *,
    in_day: int,
    out_day: int,
    entry: str = "fitted",
    exit: str = "",
    born_day: int | None = None,
    at_m: tuple[int, int] | None = (0, 0),
    born_m: int | None = 0,
    m_a_day: int | None = 40_000,
    position: str = "",
    supplier: str = "",
    batch: str = "",
    mode: int | None = None,
) -> FittedUnit:
    """A row that is not kept yet. A unit fitted here is born on the day it came."""
    fitted = entry == "fitted"
    in_m, out_m = at_m or (None, None)
    return FittedUnit(
        workshop_id=vehicle.workshop_id,
        vehicle=vehicle,
        component=component,
        position=position,
        serial_number=f"S{in_day}",
        supplier=supplier,
        batch=batch,
        entry=entry,
        entered_on=date.fromordinal(in_day),
        entered_at_m=in_m or 0,
        exit=exit,
        left_on=date.fromordinal(out_day) if exit else None,
        left_at_m=out_m if exit else None,
        failure_mode_id=mode,
        in_day=in_day,
        out_day=out_day,
        born_day=in_day if fitted else born_day,
        in_m=in_m,
        out_m=out_m,
        born_m=in_m if fitted else born_m,
        left_at_out_m=in_m is not None,
        m_a_day=m_a_day,
        known_day=out_day if exit else None,
    )


def by_chance(actor: Actor, seed: int, count: int = 60) -> list[FittedUnit]:
    """Lives of every kind and every edge, of `count` vehicles, kept."""
    chance = Random(seed)
    components = list(Component.objects.filter(platform=the_platform()).order_by("pk")[:4])
    lives = []
    for vehicle in vehicles(actor, count):
        for component in components:
            lives += _chain(chance, vehicle, component)
    return FittedUnit.objects.bulk_create(lives)


def _chain(chance: Random, vehicle: Vehicle, component: Component) -> list[FittedUnit]:
    """The units of one place, one after the other; the last may be in it still."""
    day = (TODAY - timedelta(days=chance.randrange(0, 1500))).toordinal()
    born = day - chance.randrange(0, 2000) if chance.random() < 0.8 else None
    entry, metres = chance.choice(("first_seen", "first_seen", "elsewhere")), 0
    modes: list[int | None] = [None, *(m.pk for m in component.failure_modes.all())]
    lives: list[FittedUnit] = []
    while True:
        ends = chance.random() < 0.5 and len(lives) < 4
        stayed = chance.choice((0, 0, chance.randrange(1, 900)))
        driven = stayed * chance.randrange(5_000, 60_000)
        exit = chance.choice(("failed", "failed", "other", "elsewhere", "gone")) if ends else ""
        known = chance.random() < 0.9
        lives.append(
            a_life(
                vehicle,
                component,
                in_day=day,
                out_day=day + stayed,
                entry=entry,
                exit=exit,
                born_day=None if entry == "elsewhere" else born,
                at_m=(metres, metres + driven) if known else None,
                born_m=None if entry == "elsewhere" else 0,
                m_a_day=chance.choice((None, 15_000, 40_000)),
                supplier=chance.choice(("", "Ostrand", "Velm")),
                batch=chance.choice(("", "B1", "B2")),
                mode=chance.choice(modes) if exit == "failed" else None,
            )
        )
        if not ends or exit == "gone":
            return lives
        day, metres = day + stayed + chance.choice((0, 3)), metres + driven
        entry = chance.choice(("fitted", "fitted", "elsewhere"))


# ------------------------------------------------------------------ counted row by row


@dataclass(frozen=True)
class Seen:
    """One life as it is counted up to a day: (entry, exit, failed) by age and by distance."""

    life: FittedUnit
    first_visit: bool
    failed: bool
    watched: float
    more: int
    age: tuple[float, float] | None
    steps: tuple[float, float] | None
    failed_at_m: bool


def seen(life: FittedUnit, until: int, gap: int, pool: int) -> Seen | None:
    """By the rules in words, one step after the other; None when it began after `until`."""
    if life.in_day > until:
        return None
    end, failed, still = life.out_day, life.exit == "failed", life.exit == ""
    if end > until:
        end, failed, still = until, False, False
    first = failed and life.entry != "fitted" and end == life.in_day
    failed = failed and not first
    more = min(gap, until - end) if still else 0
    watched = end - life.in_day + (0.5 if failed and end == life.in_day else 0)
    age = None
    if life.born_day is not None and not first:
        age = (float(life.in_day - life.born_day), float(end + more - life.born_day))
    steps, sound = None, False
    if life.in_m is not None and life.out_m is not None:
        sound = True
        at = life.out_m
        if life.out_day > until:
            driven = (life.out_m - life.in_m) * (until - life.in_day)
            at = life.in_m + driven // (life.out_day - life.in_day)
        if life.born_m is not None and not first:
            way = at + more * (life.m_a_day if life.m_a_day is not None else pool) - life.born_m
            steps = (
                float((life.in_m - life.born_m) // 100_000),
                float(way // 100_000 + 1 if way else 0),
            )
    return Seen(life, first, failed, watched, more, age, steps, failed and sound)


def counts_of_rows(
    rows: Sequence[tuple[float, float, bool]],
) -> dict[float, tuple[int, int, int]]:
    """At each time how many came, left and failed; an end at nought is at half a unit."""
    found: dict[float, list[int]] = {}
    for begin, end, failed in rows:
        found.setdefault(begin, [0, 0, 0])[0] += 1
        at = found.setdefault(end or 0.5, [0, 0, 0])
        at[1] += 1
        at[2] += failed
    return {time: (one[0], one[1], one[2]) for time, one in sorted(found.items())}
