"""How often the limits of the reports held the truth, in shops drawn from known laws. Pure.

script/bench --limits draws them anew and prints the table; tests/bench/coverage_of_limits.py says
how they are drawn, tests/jobs/reports/stats/test_measured_limits.py draws some of them again. With
a thousand shops a share is known to about 1.4 hundredths.

What it shows: followed as jobs.reports.stats.staying has it ("level"), the limits hold the truth
about as often as if the day were known on which each customer stayed away. With the mean residual
gap ("gap") a young shop's rates come out too high. A failure that waits for the next visit is the
assumption that matters: rates then come out too low, and too high with follow-up to the last visit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Coverage:
    """Shops of so many vehicles that joined in so many days, units followed in one way (`follow`:
    level, gap, last_visit, today, known). `failures`: mean of a shop; `rate_is`: mean rate found
    over the true one. The rest are shares of the shops whose 95 % limits held the truth: of the
    rate, of survival to 1,000 and to 2,000 days, of the shape; None where not measured. `case`:
    what of the assumptions was broken, empty for nothing."""

    case: str
    vehicles: int
    days: int
    follow: str
    failures: float
    rate_is: float
    rate: float | None
    young: float | None
    old: float | None
    shape: float | None


SEED: Final = 60_000
SHOPS: Final = 1000
MEASURED: Final[tuple[Coverage, ...]] = (
    Coverage("", 150, 548, "known", 9.2, 1.011, 0.96, 0.956, 0.933, 0.936),
    Coverage("", 150, 548, "level", 9.2, 1.023, 0.96, 0.955, 0.93, 0.938),
    Coverage("", 150, 548, "gap", 9.2, 1.155, 0.935, 0.944, 0.905, 0.937),
    Coverage("", 150, 548, "last_visit", 9.2, 1.792, 0.689, 0.865, 0.736, 0.939),
    Coverage("", 150, 548, "today", 9.2, 0.892, 0.957, 0.971, 0.951, 0.937),
    Coverage("", 400, 730, "known", 33.5, 0.991, 0.949, 0.96, 0.949, 0.939),
    Coverage("", 400, 730, "level", 33.5, 0.993, 0.949, 0.958, 0.941, 0.938),
    Coverage("", 400, 730, "gap", 33.5, 1.087, 0.934, 0.933, 0.912, 0.94),
    Coverage("", 400, 730, "last_visit", 33.5, 1.513, 0.415, 0.816, 0.589, 0.939),
    Coverage("", 400, 730, "today", 33.5, 0.836, 0.828, 0.974, 0.911, 0.944),
    Coverage("", 1000, 1095, "known", 127.4, 0.996, 0.944, 0.975, 0.95, 0.949),
    Coverage("", 1000, 1095, "level", 127.4, 0.997, 0.947, 0.974, 0.95, 0.951),
    Coverage("", 1000, 1095, "gap", 127.4, 1.051, 0.908, 0.954, 0.911, 0.951),
    Coverage("", 1000, 1095, "last_visit", 127.4, 1.329, 0.153, 0.733, 0.398, 0.952),
    Coverage("", 1000, 1095, "today", 127.4, 0.767, 0.137, 0.857, 0.454, 0.934),
    Coverage("", 2500, 1825, "known", 485.7, 0.997, 0.964, 0.935, 0.952, 0.95),
    Coverage("", 2500, 1825, "level", 485.7, 0.998, 0.967, 0.934, 0.946, 0.951),
    Coverage("", 2500, 1825, "gap", 485.7, 1.025, 0.917, 0.925, 0.925, 0.951),
    Coverage("", 2500, 1825, "last_visit", 485.7, 1.21, 0.017, 0.604, 0.196, 0.944),
    Coverage("", 2500, 1825, "today", 485.7, 0.651, 0.0, 0.122, 0.0, 0.185),
    Coverage(
        "one vehicle fails more than another",
        1000,
        1095,
        "known",
        128.0,
        1.001,
        0.944,
        None,
        None,
        None,
    ),
    Coverage(
        "one vehicle fails more than another",
        1000,
        1095,
        "level",
        128.0,
        1.002,
        0.943,
        None,
        None,
        None,
    ),
    Coverage(
        "one vehicle fails more than another",
        1000,
        1095,
        "gap",
        128.0,
        1.057,
        0.9,
        None,
        None,
        None,
    ),
    Coverage(
        "one vehicle fails more than another",
        1000,
        1095,
        "last_visit",
        128.0,
        1.336,
        0.139,
        None,
        None,
        None,
    ),
    Coverage(
        "one vehicle fails more than another",
        1000,
        1095,
        "today",
        128.0,
        0.771,
        0.146,
        None,
        None,
        None,
    ),
    Coverage(
        "half the failures wait for a visit",
        1000,
        1095,
        "known",
        108.2,
        0.85,
        0.622,
        None,
        None,
        None,
    ),
    Coverage(
        "half the failures wait for a visit",
        1000,
        1095,
        "level",
        108.2,
        0.851,
        0.613,
        None,
        None,
        None,
    ),
    Coverage(
        "half the failures wait for a visit", 1000, 1095, "gap", 108.2, 0.9, 0.825, None, None, None
    ),
    Coverage(
        "half the failures wait for a visit",
        1000,
        1095,
        "last_visit",
        108.2,
        1.141,
        0.738,
        None,
        None,
        None,
    ),
    Coverage(
        "half the failures wait for a visit",
        1000,
        1095,
        "today",
        108.2,
        0.655,
        0.001,
        None,
        None,
        None,
    ),
)
