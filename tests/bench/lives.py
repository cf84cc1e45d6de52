"""`python -m tests.bench.lives FILE`: time the report of failures over a million unit lives.

`python -m tests.bench.lives table FILE ...`: set what such files hold side by side. The database is
that of DATABASE_URL.
"""

from __future__ import annotations

import json
import sys
import warnings
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from statistics import median
from textwrap import wrap
from time import perf_counter
from typing import Any
from zoneinfo import ZoneInfo

import django

django.setup()

import numpy as np  # noqa: E402  (models need the set-up)
from django.db import connection  # noqa: E402
from lifelines import KaplanMeierFitter, WeibullFitter  # noqa: E402
from numpy.typing import NDArray  # noqa: E402

from diagnostics.models import ChassisSystem, Component, FailureMode  # noqa: E402
from jobs.models import FittedUnit  # noqa: E402
from jobs.reports.document import Span  # noqa: E402
from jobs.reports.figures import failures  # noqa: E402
from jobs.reports.queries.follow_up import residual_gap  # noqa: E402
from jobs.reports.queries.life_sql import KNOWN_AGE  # noqa: E402
from jobs.reports.stats.counts import from_lives  # noqa: E402
from jobs.reports.stats.life_table import life_table  # noqa: E402
from jobs.reports.stats.weibull import fit  # noqa: E402
from shop.actor import Actor  # noqa: E402
from shop.models import Customer, OdometerReading, Platform, User, Vehicle, Workshop  # noqa: E402
from tests.bench import databases, machine  # noqa: E402
from tests.factories import a_vin  # noqa: E402

COMPONENTS, LIVES, VISIT, TURNS, SEED = 40, 1_000_000, 180, 5, 20261128
UNTIL = date(2026, 11, 28)
REPORT_AIM, LIFELINES_AIM = 1.5, 20.0
CASES = {
    "report": "the whole report of failures",
    "sql": "its SQL alone, every row fetched",
    "lifelines": "lifelines, curve and law of each component",
    "ours": "this product's, of the same arrays",
}
NOTE = (
    "Medians in one process. The report is the section with its findings, tables and the "
    "description of its picture: exposure under three rules of follow-up, rates with exact limits, "
    "survival with limits and a Weibull law for each component, suppliers and batches screened. "
    "Its SQL alone is the same statements with their rows fetched and thrown away. lifelines is "
    "given the same lives as NumPy arrays, loaded beforehand, with their ages at entry, and makes "
    "nothing but the curve with its limits and the law. This product's curve and law are made of "
    "the same arrays too, so that the last ratio holds like against like; the one before it holds "
    "a whole report, with all it reads, against a part of it with nothing to read."
)


def measure(file: Path) -> None:
    databases.make()
    actor = _workshop()
    count = _fill(actor)
    databases.settle("default")
    span = Span(UNTIL.replace(day=1), UNTIL)
    section = failures.section(actor, span)
    statements = _statements(lambda: failures.section(actor, span))
    loaded = _loaded(actor)
    _must_agree(section.tables[0].rows, loaded)
    cases: dict[str, Callable[[], object]] = {
        "report": lambda: failures.section(actor, span),
        "sql": lambda: _fetch(statements),
    }
    seconds = _side_by_side(cases) | _side_by_side(
        {"lifelines": lambda: _lifelines(loaded), "ours": lambda: _ours(loaded)}, turns=1
    )
    kept = {
        "database": databases.version(),
        "lives": count,
        "statements": len(statements),
        "seconds": seconds,
    }
    databases.let_go()
    file.write_text(json.dumps(kept), encoding="utf-8")


# ------------------------------------------------------------------ what is counted


def _workshop() -> Actor:
    workshop = Workshop.objects.create(name="Bench", slug="bench", order_prefix="B")
    user = User.objects.create_user("bench", "Bench", "a-long-kerb-word")
    platform = Platform.objects.create(code="BEN", make="", model="Bench")
    system = ChassisSystem.objects.create(key="bench", name="Bench")
    Component.objects.bulk_create(
        Component(platform=platform, key=f"unit-{at:02d}", name=f"Unit {at:02d}", system=system)
        for at in range(COMPONENTS)
    )
    FailureMode.objects.bulk_create(
        FailureMode(component=component, key=f"mode-{at}", words=f"Mode {at}")
        for component in Component.objects.filter(platform=platform)
        for at in range(3)
    )
    return Actor(user, workshop, frozenset())


def _fill(actor: Actor) -> int:
    """Vehicles that come about twice a year until they drift away, and a million units on them."""
    chance = np.random.default_rng(SEED)
    count = int(LIVES / COMPONENTS / 1.075)  # for every failed unit another is fitted
    until = UNTIL.toordinal()
    owner = Customer.objects.create(workshop=actor.workshop, name="Bench", phone="555 0100")
    platform = Platform.objects.get(code="BEN")
    vehicles = Vehicle.objects.bulk_create(
        (
            Vehicle(workshop=actor.workshop, vin=a_vin(at), platform=platform, customer=owner)
            for at in range(count)
        ),
        batch_size=500,
    )
    born = until - chance.integers(400, 4000, count)
    first = born + (chance.random(count) * (until - 120 - born)).astype(int)
    visits = 1 + chance.poisson(3, count)
    last = np.minimum(first + VISIT * (visits - 1), until)
    m_a_day = chance.integers(15_000, 70_000, count)
    _readings(actor, vehicles, (born, first, last, m_a_day))
    pks = np.array([vehicle.pk for vehicle in vehicles])
    rows = 0
    for at, component in enumerate(Component.objects.filter(platform__code="BEN").order_by("pk")):
        modes = list(component.failure_modes.values_list("pk", flat=True))
        law = (0.8 + 0.06 * at, 6000.0 + 300.0 * at)
        columns = _lives(chance, (pks, born, first, last, m_a_day), law, modes)
        rows += _insert(actor, component.pk, columns)
    return rows


def _readings(actor: Actor, vehicles: list[Vehicle], known: tuple[NDArray[Any], ...]) -> None:
    noon = datetime(1, 1, 1, 12, tzinfo=ZoneInfo("UTC"))
    born, first, last, m_a_day = known

    def each() -> Any:
        for at, vehicle in enumerate(vehicles):
            for day in range(int(first[at]), int(last[at]) + 1, VISIT):
                yield OdometerReading(
                    workshop=actor.workshop,
                    vehicle=vehicle,
                    read_at=noon + timedelta(days=day - 1),
                    distance_m=int((day - born[at]) * m_a_day[at]),
                    typed_value="1",
                    typed_unit="km",
                    seen="take_in",
                    by=actor.user,
                )

    OdometerReading.objects.bulk_create(each(), batch_size=500)


def _lives(
    chance: np.random.Generator,
    vehicles: tuple[NDArray[Any], ...],
    law: tuple[float, float],
    modes: list[int],
) -> list[tuple[Any, ...]]:
    """One component on every vehicle: those that fail before the last visit are replaced at it."""
    pks, born, first, last, m_a_day = vehicles
    shape, scale = law
    seen = (first - born).astype(float)
    fails = scale * ((seen / scale) ** shape + chance.exponential(size=len(pks))) ** (1 / shape)
    out = born + np.ceil(fails).astype(int)
    failed = out <= last
    batch = chance.integers(0, 20, len(pks))
    rows: list[tuple[Any, ...]] = []
    for at in range(len(pks)):
        vehicle, a_day, began = int(pks[at]), int(m_a_day[at]), int(born[at])
        begin, end = int(first[at]), int(out[at] if failed[at] else last[at])
        way = ((begin - began) * a_day, (end - began) * a_day)
        mode = modes[at % 3] if failed[at] else None
        rows.append((vehicle, "first_seen", failed[at], begin, end, began, way, 0, a_day, "", mode))
        if failed[at]:
            stop = int(last[at])
            on = (way[1], (stop - began) * a_day)
            label = f"B{batch[at]:02d}"
            rows.append((vehicle, "fitted", False, end, stop, end, on, way[1], a_day, label, None))
    return rows


_COLUMNS = (
    "workshop_id, component_id, position, serial_number, part_number, vehicle_id, entry, exit,"
    " entered_on, entered_at_m, left_on, left_at_m, in_day, out_day, born_day, in_m, out_m, born_m,"
    " left_at_out_m, m_a_day, supplier, batch, failure_mode_id, known_day, stretch"
)


def _insert(actor: Actor, component: int, rows: list[tuple[Any, ...]]) -> int:
    name = connection.ops.quote_name(FittedUnit._meta.db_table)
    marks = ", ".join(["%s"] * 25)
    values = []
    for vehicle, entry, failed, begin, end, born, way, born_m, a_day, batch, mode in rows:
        left = (date.fromordinal(end), way[1]) if failed else (None, None)
        values.append(
            (
                *(actor.workshop.pk, component, "", "", "", vehicle),
                *(entry, "failed" if failed else ""),
                *(date.fromordinal(begin), way[0], *left),
                *(begin, end, born, *way, born_m, bool(failed), a_day),
                *(f"Supplier {batch[-1]}" if batch else "", batch, mode),
                *(end if failed else None, 0),
            )
        )
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {name} ({_COLUMNS}) VALUES ({marks})", values)
    return len(values)


# ------------------------------------------------------------------ what is timed


def _statements(work: Callable[[], object]) -> list[tuple[str, Any]]:
    seen: list[tuple[str, Any]] = []

    def keep(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        seen.append((sql, params))
        return execute(sql, params, many, context)

    with connection.execute_wrapper(keep):
        work()
    return seen


def _fetch(statements: list[tuple[str, Any]]) -> None:
    with connection.cursor() as cursor:
        for sql, params in statements:
            cursor.execute(sql, params)
            cursor.fetchall()


def _loaded(actor: Actor) -> list[NDArray[Any]]:
    """Of each component: age at entry, at exit, and whether it failed."""
    gap = residual_gap(actor.workshop, UNTIL).whole_days
    until = UNTIL.toordinal()
    name = connection.ops.quote_name(FittedUnit._meta.db_table)
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT component_id, in_day - born_day, out_day - born_day, out_day,"
            f" CASE WHEN exit = 'failed' THEN 1 ELSE 0 END FROM {name} WHERE {KNOWN_AGE}"
        )
        rows = np.array(cursor.fetchall(), dtype=np.int64)
    more = np.minimum(gap, until - rows[:, 3]) * (rows[:, 4] == 0)
    lives = np.column_stack((rows[:, 1], rows[:, 2] + more, rows[:, 4])).astype(float)
    return [lives[rows[:, 0] == component] for component in np.unique(rows[:, 0])]


def _must_agree(rows: Any, loaded: list[NDArray[Any]]) -> None:
    """A quick answer counts only when it counted the same."""
    found = sum(int(row[2].value) for row in rows)
    expected = sum(int(one[:, 2].sum()) for one in loaded)
    if found != expected:
        raise AssertionError(f"{found} failures reported, {expected} there.")


def _lifelines(loaded: list[NDArray[Any]]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for lives in loaded:
            entry, exit, failed = lives[lives[:, 1] > lives[:, 0]].T
            KaplanMeierFitter().fit(exit, failed, entry=entry)
            WeibullFitter().fit(exit, failed, entry=entry)


def _ours(loaded: list[NDArray[Any]]) -> None:
    for lives in loaded:
        counts = from_lives(*lives.T)
        life_table(counts)
        fit(counts)


def _side_by_side(cases: dict[str, Callable[[], object]], turns: int = TURNS) -> dict[str, float]:
    taken: dict[str, list[float]] = {name: [] for name in cases}
    for _ in range(turns):
        for name, case in cases.items():
            taken[name].append(_timed(case))
    return {name: median(values) for name, values in taken.items()}


def _timed(case: Callable[[], object]) -> float:
    begun = perf_counter()
    case()
    return perf_counter() - begun


def lines(read: list[dict[str, Any]]) -> list[str]:
    """The table of what was measured: a column for each database."""
    heads = "".join(f"{one['database']:>18}" for one in read)
    rows = [*machine.lines(), "", f"{read[0]['lives']:,} unit lives of {COMPONENTS} components"]
    rows += ["", f"{'':<46}{heads}"]
    for key, words in CASES.items():
        rows.append(f"{words:<46}" + "".join(f"{one['seconds'][key]:>16.2f} s" for one in read))
    rows.append("")
    for words, above, below, aim, most in (
        ("report / its SQL alone", "report", "sql", REPORT_AIM, True),
        ("lifelines / report", "lifelines", "report", LIFELINES_AIM, False),
        ("lifelines / this product's", "lifelines", "ours", LIFELINES_AIM, False),
    ):
        shown = [one["seconds"][above] / one["seconds"][below] for one in read]
        good = max(shown) <= aim if most else min(shown) >= aim
        said = f"{'at most' if most else 'at least'} {aim:g}{'' if good else ', MISSED'}"
        rows.append(f"{words:<46}" + "".join(f"{one:>18.2f}" for one in shown) + f"   {said}")
    return [*rows, "", *wrap(NOTE, 96)]


def main(words: list[str]) -> None:
    if words[0] == "table":
        read = [json.loads(Path(name).read_text(encoding="utf-8")) for name in words[1:]]
        sys.stdout.write("\n".join(lines(read)) + "\n")
    else:
        measure(Path(words[0]))


if __name__ == "__main__":
    main(sys.argv[1:])
