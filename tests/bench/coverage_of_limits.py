"""`python -m tests.bench.coverage_of_limits [SHOPS]`: how often the reports' limits hold the truth.

Draws shops from known laws (tests/bench/simulated_shops.py), works out rate, survival and law of
each as the reports do, and counts in how many the 95 % limits hold what the shop was drawn from.
`constants` after the number prints the rows as jobs/reports/stats/measured_limits.py keeps them.
Needs no database.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import astuple, dataclass
from functools import partial
from textwrap import wrap

import numpy as np

from jobs.reports.stats.counts import Counts
from jobs.reports.stats.exposure import exposure
from jobs.reports.stats.life_table import LifeTable, life_table
from jobs.reports.stats.limits import rate_limits
from jobs.reports.stats.measured_limits import SEED, SHOPS, Coverage
from jobs.reports.stats.weibull import WeibullFit, fit
from tests.bench.simulated_shops import Follow, Law, Shop, Size, simulated

RANDOM, WORN = Law(2500, 1), Law(2500, 2)
YOUNG, OLD = 1000.0, 2000.0
SIZES = (Size(150, 548), Size(400, 730), Size(1000, 1095), Size(2500, 1825))
UNLIKE = (
    ("one vehicle fails more than another", Law(2500, 1, frailty=0.5)),
    ("half the failures wait for a visit", Law(2500, 1, found_late=0.5)),
)
NOTE = (
    "Shops drawn from a known law: vehicles of any age up to 3,000 days join at random and are "
    "seen about every 180 days; customers stay 1,200 days on average; a failure is brought in at "
    "once. Rate: units that fail at random, once in 2,500 days; survival at 1,000 and 2,000 days, "
    "and shape: units that wear out (Weibull, scale 2,500 days, shape 2). Columns: per cent of the "
    "shops whose 95 % limits hold the truth, of those that have such limits; 'rate is' the mean "
    "rate found over the true one. Last visit and today are the bracket. The last lines break what "
    "is assumed."
)

Held = tuple[float, ...]  # nan where a shop has no such limits


@dataclass(frozen=True, slots=True)
class Case:
    """What is drawn, and what is printed of it."""

    size: Size
    random: Law
    worn: Law | None
    words: str = ""


def cases() -> tuple[Case, ...]:
    usual = [Case(size, RANDOM, WORN) for size in SIZES]
    return (*usual, *(Case(SIZES[2], law, None, words) for words, law in UNLIKE))


def measured(
    case: Case, shops: int, first: int = SEED, processes: int | None = None
) -> list[Coverage]:
    """A row for each way to follow units."""
    numbers, work = range(first, first + shops), partial(trial, case)
    if processes == 1:
        trials = np.array([work(number) for number in numbers])
    else:
        with ProcessPoolExecutor(processes or len(os.sched_getaffinity(0))) as pool:
            trials = np.array(list(pool.map(work, numbers, chunksize=10)))
    return [_row(case, follow, trials[:, at, :]) for at, follow in enumerate(Follow)]


def trial(case: Case, number: int) -> list[Held]:
    """One shop of each law: what was held, by the ways to follow."""
    random = np.random.default_rng([number, case.size.vehicles])
    first = simulated(case.size, case.random, random)
    second = simulated(case.size, case.worn, random) if case.worn else None
    return [(*_rate(case, first, follow), *_survival(case, second, follow)) for follow in Follow]


def _rate(case: Case, shop: Shop, follow: Follow) -> Held:
    counts, truth = shop.counts(follow), 1 / case.random.scale
    found = rate_limits(counts.failures, exposure(counts))
    return float(counts.failures), found.rate / truth, float(found.low <= truth <= found.high)


def _survival(case: Case, shop: Shop | None, follow: Follow) -> Held:
    if shop is None or case.worn is None:
        return (float("nan"),) * 3
    counts = shop.counts(follow)
    table = life_table(counts)
    ages = [_at(table, case.worn, age) for age in (YOUNG, OLD)]
    return (*ages, _shape(counts, case.worn))


def _at(table: object, law: Law, age: float) -> float:
    found = table.at(age) if isinstance(table, LifeTable) else None
    if found is None or not isinstance(table, LifeTable):
        return float("nan")
    truth = law.survival(age) / law.survival(table.starts_at)
    return float(found.low <= truth <= found.high)


def _shape(counts: Counts, law: Law) -> float:
    found = fit(counts)
    if not isinstance(found, WeibullFit):
        return float("nan")
    return float(found.shape_low <= law.shape <= found.shape_high)


def _row(case: Case, follow: Follow, trials: np.ndarray) -> Coverage:
    def share(column: int) -> float | None:
        there = trials[:, column][np.isfinite(trials[:, column])]
        return round(float(there.mean()), 3) if len(there) else None

    return Coverage(
        case=case.words,
        vehicles=case.size.vehicles,
        days=case.size.days,
        follow=follow.value,
        failures=round(float(trials[:, 0].mean()), 1),
        rate_is=round(float(trials[:, 1].mean()), 3),
        rate=share(2),
        young=share(3),
        old=share(4),
        shape=share(5),
    )


# ------------------------------------------------------------------ what is printed


def lines(rows: Sequence[Coverage], shops: int) -> list[str]:
    head = (
        f"{'vehicles':>8} {'days':>5} {'followed to':<12} {'failures':>8} {'rate is':>8}"
        f" {'rate':>6} {'S(1000)':>8} {'S(2000)':>8} {'shape':>6}"
    )
    return [
        f"{shops} shops each, 95 % limits",
        head,
        "-" * len(head),
        *(_line(row) for row in rows),
        *wrap(NOTE, 100),
    ]


def _line(row: Coverage) -> str:
    said = (
        f"{row.vehicles:>8} {row.days:>5} {row.follow.replace('_', ' '):<12}"
        f" {row.failures:>8.1f} {row.rate_is:>8.3f} {_percent(row.rate):>6}"
        f" {_percent(row.young):>8} {_percent(row.old):>8} {_percent(row.shape):>6}  {row.case}"
    )
    return said.rstrip()


def _percent(share: float | None) -> str:
    return "" if share is None else f"{share * 100:.1f}"


def main(arguments: Sequence[str]) -> None:
    shops = int(arguments[0]) if arguments else SHOPS
    rows = [row for case in cases() for row in measured(case, shops)]
    if "constants" in arguments:
        sys.stdout.write("\n".join(f"    Coverage{astuple(row)!r}," for row in rows) + "\n")
        return
    sys.stdout.write("\n".join(lines(rows, shops)) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
