"""Published survival curves, laws, recurrences and triangles, worked out by the product."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from scipy import stats

from jobs.reports.stats import life_table as tables
from jobs.reports.stats.counts import Counts, counts_of, from_lives
from jobs.reports.stats.exposure import exposure
from jobs.reports.stats.life_table import LifeTable, life_table
from jobs.reports.stats.recurrence import Recurrence, mean_cumulative
from jobs.reports.stats.triangle import Triangle, months_in_service
from jobs.reports.stats.weibull import WeibullFit, fit
from tests.jobs.reports.stats.checked import checks, column, data_set

SIX_MP = "six_mp_42 arm 6mp"
NUMBER = r"(?P<t>[\d.]+)"


def table_of(counts: Counts) -> LifeTable:
    """From the first life on, as the published tables are."""
    table = life_table(counts, at_least=1)
    assert isinstance(table, LifeTable)
    return table


def law_of(counts: Counts) -> WeibullFit:
    law = fit(counts)
    assert isinstance(law, WeibullFit)
    return law


def survival(table: LifeTable, t: str) -> float:
    found = table.at(float(t))
    assert found is not None
    return found.survival


@cache
def six_mp(arm: str = "6mp") -> Counts:
    rows = [row for row in data_set("six_mp_42") if row["arm"] == arm]
    weeks, ends = ([float(row[name]) for row in rows] for name in ("weeks", "relapse"))
    return from_lives([0] * len(rows), weeks, ends)


@cache
def complete(name: str) -> Counts:
    """Lives from nought, of the first column, that all failed unless a column says otherwise."""
    rows = data_set(name)
    clock = next(iter(rows[0]))
    failed = [float(row.get("failed", 1)) for row in rows]
    times = [float(row[clock]) for row in rows]
    many = np.array([int(row.get("count", 1)) for row in rows])
    return from_lives(np.zeros(many.sum()), np.repeat(times, many), np.repeat(failed, many))


@cache
def channing(sex: str, since: float = 0) -> Counts:
    """Residents of one sex whose exit lies after their entry, watched from an age on."""
    lives = [
        (max(float(row["entry_month"]), since), float(row["exit_month"]), float(row["died"]))
        for row in data_set("channing_462")
        if row["sex"] == sex and float(row["exit_month"]) > float(row["entry_month"])
    ]
    return from_lives(*zip(*(life for life in lives if life[1] > life[0]), strict=True))


@cache
def psych() -> Counts:
    return from_lives(*(column("psych_26", name) for name in ("entry_age", "exit_age", "died")))


# ------------------------------------------------------------------ survival


@checks(SIX_MP, rf"KM S\({NUMBER}\)")
def six_mp_survival(t: str) -> float:
    return survival(table_of(six_mp()), t)


@checks(SIX_MP, rf"Greenwood se\({NUMBER}\)")
def six_mp_error(t: str) -> float:
    table = table_of(six_mp())
    return float(table.greenwood[list(table.steps).index(float(t))])


@checks(SIX_MP, rf"Nelson-Aalen H\({NUMBER}\)")
def six_mp_hazard(t: str) -> float:
    table = table_of(six_mp())
    return float(table.hazard[list(table.steps).index(float(t))])


@checks(SIX_MP, rf"log-log 95% CI S\({NUMBER}\) (?P<end>low|high)")
def six_mp_limit(t: str, end: str) -> float:
    found = table_of(six_mp()).at(float(t))
    assert found is not None
    return found.low if end == "low" else found.high


@checks(SIX_MP, "median weeks")
def six_mp_median() -> float:
    found = table_of(six_mp()).reached(0.5)
    assert found is not None
    return found


@checks("six_mp_42", r"log-rank chi2 \(1 df\)")
def six_mp_log_rank() -> float:
    """Not used by the product: worked out here from its counts at risk (Mantel's variance)."""
    arm, both = six_mp(), tables_merged()
    seen, expected, variance = arm.failures, 0.0, 0.0
    for t, d, n in zip(both.steps, both.failed, both.at_risk, strict=True):
        mine = table_of(arm).risk(t)
        expected += d * mine / n
        if n > 1:
            variance += d * (mine / n) * (1 - mine / n) * (n - d) / (n - 1)
    return float((seen - expected) ** 2 / variance)


@cache
def tables_merged() -> LifeTable:
    from_both = [six_mp(), six_mp("control")]
    return table_of(tables_counts(from_both))


def tables_counts(many: list[Counts]) -> Counts:
    columns = [np.concatenate([getattr(one, name) for one in many]) for name in COLUMNS]
    return counts_of(*columns)


COLUMNS = ("t", "entered", "left", "failed")


@checks("nist_8215_km_20", rf"KM R\({NUMBER}\)")
def nist_survival(t: str) -> float:
    return survival(table_of(complete("nist_8215_km_20")), t)


@checks(r"channing_462 sex (?P<sex>[MF])( .*)?", rf"KM S\({NUMBER}\|(?P<since>\d+)\) left-trunc.*")
def channing_survival(sex: str, t: str, since: str) -> float:
    return survival(table_of(channing(sex, float(since))), t)


@checks(r"channing_462 sex (?P<sex>M)", rf"KM without conditioning: S\({NUMBER}\)")
def channing_collapse(sex: str, t: str) -> float:
    """The trap: started where one is at risk. The product's own start leaves it out."""
    started = life_table(channing(sex))
    assert isinstance(started, LifeTable)
    assert started.starts_at > 781
    assert started.at_risk.min() >= 1
    assert tables.ENOUGH == 10
    return survival(table_of(channing(sex)), t)


@checks("psych_26", rf"KM S\({NUMBER}\) at-risk (?P<risk>\d+)")
def psych_survival(t: str, risk: str) -> float:
    table = table_of(psych())
    assert table.risk(float(t)) == int(risk)
    return survival(table, t)


@checks("constructed_ltrc_toy_6", rf"KM S\({NUMBER}\) at-risk (?P<risk>\d+)")
def toy_survival(t: str, risk: str) -> float:
    toy = from_lives(
        *(column("constructed_ltrc_toy_6", name) for name in ("entry", "exit", "failed"))
    )
    assert table_of(toy).risk(float(t)) == int(risk)
    return survival(table_of(toy), t)


@checks("constructed_comeback_12", rf"comeback-free S\({NUMBER}\)")
def comeback_free(t: str) -> float:
    rows = data_set("constructed_comeback_12")
    ends = [float(row["comeback_day"] or row["days_since_repair_at_cutoff"]) for row in rows]
    back = [row["comeback_day"] != "" for row in rows]
    return survival(table_of(from_lives([0] * len(rows), ends, back)), t)


# ------------------------------------------------------------------ laws


@checks(r"(?P<name>ball_bearing_23|automotive_component_31|nist_8413_weibull_20|diesel_fan_70)",
        r"Weibull (?P<what>eta|beta|loglik)")  # fmt: skip
def law(name: str, what: str) -> float:
    return part_of(law_of(complete(name)), what)


@checks("nist_8413_weibull_20", "(?P<what>loglik|mean life|sd life)")
def nist_law(what: str) -> float:
    found = law_of(complete("nist_8413_weibull_20"))
    if what == "loglik":
        return found.loglik
    first, second = (math.gamma(1 + power / found.shape) for power in (1, 2))
    return found.scale * (first if what == "mean life" else math.sqrt(second - first**2))


@checks(r"channing_462 sex (?P<sex>[MF]).*", r"Weibull LTRC (?P<what>eta|beta)( months)?")
def channing_law(sex: str, what: str) -> float:
    return part_of(law_of(channing(sex)), what)


@checks("psych_26", "Weibull LTRC (?P<what>eta|beta)")
def psych_law(what: str) -> float:
    return part_of(law_of(psych()), what)


def part_of(found: WeibullFit, what: str) -> float:
    return {"eta": found.scale, "beta": found.shape, "loglik": found.loglik}[what]


@checks("diesel_fan_70", "total hours")
def fan_hours() -> float:
    return exposure(complete("diesel_fan_70"))


@checks("diesel_fan_70", "exponential MTTF")
def fan_mean() -> float:
    return exposure(complete("diesel_fan_70")) / complete("diesel_fan_70").failures


@checks("ball_bearing_23", r"lognormal (?P<what>mu|sigma \(MLE\)|loglik)")
def lognormal(what: str) -> float:
    """Not a law of the product: worked out here by scipy, to hold the data set."""
    times = np.array(column("ball_bearing_23", "megacycles"))
    mu, sigma = np.log(times).mean(), np.log(times).std()
    found = stats.lognorm.logpdf(times, s=sigma, scale=math.exp(mu)).sum()
    return float({"mu": mu, "loglik": found}.get(what, sigma))


# ------------------------------------------------------------------ recurrence and triangle


@cache
def recurrence(name: str, system: str, clock: str) -> Recurrence:
    rows = data_set(name)
    names = sorted({row[system] for row in rows})
    end = {row[system]: float(row[clock]) for row in rows if row["event"] == "0"}
    repairs = [row for row in rows if row["event"] != "0"]
    return mean_cumulative(
        [-1.0] * len(names),
        [end[one] for one in names],
        [names.index(row[system]) for row in repairs],
        [float(row[clock]) for row in repairs],
    )


def seats() -> Recurrence:
    return recurrence("valve_seat_41", "engine", "days")


@checks("valve_seat_41", rf"MCF\({NUMBER}\)")
def seat_mean(t: str) -> float:
    return seats().at(float(t))


@checks("valve_seat_41", rf"robust se MCF\({NUMBER}\)")
def seat_error(t: str) -> float:
    return float(seats().se[list(seats().t).index(float(t))])


@checks("transmission_34_FROM_MEMORY", rf"MCF\({NUMBER}\) at-risk (?P<risk>\d+)")
def transmission_mean(t: str, risk: str) -> float:
    found = recurrence("transmission_34_FROM_MEMORY", "car", "miles")
    assert found.at_risk[list(found.t).index(float(t))] == int(risk)
    return found.at(float(t))


@cache
def triangle(*lag: float) -> Triangle:
    rows = data_set("constructed_triangle_4")
    cohorts = sorted({row["entry_month"] for row in rows})
    sizes = [next(float(r["vehicles"]) for r in rows if r["entry_month"] == c) for c in cohorts]
    failures = np.zeros((len(cohorts), len(cohorts)))
    for row in rows:
        at = cohorts.index(row["entry_month"]), int(row["months_in_service"])
        failures[at] = float(row["claims_reported"])
    reached = range(len(cohorts) - 1, -1, -1)
    return months_in_service(sizes, failures, list(reached), lag=lag or (1.0,))


@checks("constructed_triangle_4", r"no lag: claims/1000 at MIS (?P<month>\d)")
def month_of_the_triangle(month: str) -> float:
    return float(triangle().rate[int(month)] * 1000)


@checks("constructed_triangle_4", r"lag G=\(.6,.9,1\): claims/1000 at MIS (?P<month>\d)")
def month_of_the_lagging_triangle(month: str) -> float:
    return float(triangle(0.6, 0.9, 1.0).rate[int(month)] * 1000)


@checks("constructed_triangle_4", r"no lag: cumulative claims/1000 to MIS 3")
def whole_triangle() -> float:
    return float(triangle().cumulative[3] * 1000)


@checks("constructed_triangle_4", r"lag-adjusted cumulative claims/1000 to MIS 3")
def whole_lagging_triangle() -> float:
    return float(triangle(0.6, 0.9, 1.0).cumulative[3] * 1000)
