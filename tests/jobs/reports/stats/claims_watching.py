"""Published values of trend tests, control charts, the CUSUM and funnel limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from statistics import NormalDist

import numpy as np

from jobs import poisson
from jobs.reports.stats import cusum, funnel, run_lengths
from jobs.reports.stats.handbook import military
from jobs.reports.stats.trend import laplace
from tests.jobs.reports.stats.checked import checks, column

REPAIRS = "nist_8234_repairs"
HANDBOOK = "milhdbk189_1981_appC_27"


def _repairs() -> list[float]:
    return column("nist_8234_repairs_10_end1500", "hours")


@dataclass(frozen=True)
class PowerLaw:
    """Events as a power of time; not used by the product beyond the trend test."""

    shape: float
    scale: float


def power_law(times: Sequence[float], end: float) -> PowerLaw:
    """Maximum likelihood (MIL-HDBK-189): n / sum ln(T / t), and n / T^shape."""
    shape = len(times) / math.fsum(math.log(end / t) for t in times)
    return PowerLaw(shape, len(times) / math.pow(end, shape))


def reversals(times: Sequence[float]) -> int:
    """How often a later gap between events is longer than an earlier one."""
    gaps = [later - one for one, later in zip([0.0, *times], times, strict=False)]
    return sum(a < b for i, a in enumerate(gaps) for b in gaps[i + 1 :])


@checks(REPAIRS, "reversals")
def reverse_arrangements() -> float:
    return reversals(_repairs())


@checks(REPAIRS, r"RAT z \(continuity \+\.5\)")
def reverse_arrangements_z() -> float:
    times = _repairs()
    r = len(times)
    away = reversals(times) - r * (r - 1) / 4 + 0.5
    return away / math.sqrt((2 * r + 5) * (r - 1) * r / 72)


@checks(REPAIRS, r"MIL-HDBK chi2 \(20 df\)")
def handbook_chi2() -> float:
    found = military(_repairs(), 1500)
    assert found.df == 20
    return found.chi2


@checks(REPAIRS, "Laplace z")
def repairs_laplace() -> float:
    return laplace(_repairs(), 1500).z


@checks(REPAIRS, "power law MLE beta")
def repairs_shape() -> float:
    return military(_repairs(), 1500).shape


@checks(REPAIRS, "power law modified beta")
def repairs_modified_shape() -> float:
    """The unbiased form for a watch that ends by the clock: (n - 1) / n of the other."""
    return military(_repairs(), 1500).shape * 9 / 10


@checks(REPAIRS, "power law MTBF at 1500")
def repairs_time_between() -> float:
    return 1500 / (10 * repairs_modified_shape())


@checks(REPAIRS, "MTBF 80% CI (?P<end>low|high)")
def repairs_time_between_limits(end: str) -> float:
    """The e-Handbook's normal form of L. H. Crow's limits, n events and z of 90 %:
    n (n - 1) over the square of n - z sqrt(n / 2) above, and of
    n + z^2 / 4 + sqrt(n z^2 / 2 + z^4 / 16) below. Not used by the product."""
    n, z = 10, NormalDist().inv_cdf(0.9)
    root = {
        "low": n + z * z / 4 + math.sqrt(n * z * z / 2 + z**4 / 16),
        "high": n - z * math.sqrt(n / 2),
    }[end]
    return repairs_time_between() * n * (n - 1) / root**2


@checks(HANDBOOK, "beta MLE")
def handbook_shape() -> float:
    return power_law(column("milhdbk189_1981_appC_27_end300", "hours"), 300).shape


@checks(HANDBOOK, "lambda MLE")
def handbook_scale() -> float:
    return power_law(column("milhdbk189_1981_appC_27_end300", "hours"), 300).scale


@checks(HANDBOOK, "beta bias-corrected")
def handbook_corrected() -> float:
    return handbook_shape() * 26 / 27


def _thirty() -> list[float]:
    return list(accumulate(column("interarrival_30", "interarrival")))


@checks("interarrival_30", r"Laplace U \(failure-truncated\)")
def thirty_laplace() -> float:
    times = _thirty()
    return laplace(times, times[-1], ends_with_event=True).z


@checks("interarrival_30", "power-law beta")
def thirty_shape() -> float:
    times = _thirty()
    return military(times, times[-1], ends_with_event=True).shape


@checks("interarrival_30", "power-law lambda")
def thirty_scale() -> float:
    return 30 / math.pow(_thirty()[-1], thirty_shape())


@checks("montgomery_u_chart", r"u-bar 38\.60/20")
def u_mean() -> float:
    return 38.60 / 20


@checks("montgomery_u_chart", "(?P<end>UCL|LCL) n=5")
def u_limit(end: str) -> float:
    """Three standard deviations; the product uses exact limits, this is the textbook's chart."""
    return u_mean() + (3 if end == "UCL" else -3) * math.sqrt(u_mean() / 5)


@checks("nist_6331_c_chart", "(?P<end>c-bar|UCL|LCL)")
def c_chart(end: str) -> float:
    return 16 + {"c-bar": 0, "UCL": 3, "LCL": -3}[end] * math.sqrt(16)


def lower_run_length(k: float, h: float, mean: float, start: float) -> float:
    """Of the watch that calls when too few come, S = max(0, S + k - count), on a lattice of 1/4.

    The product watches for too many only; Lucas tabled both.
    """
    up, top = round(4 * k), round(4 * h)
    moves = np.zeros((top, top))
    for state in range(top):
        for count in range(60):
            lands = max(0, state + up - 4 * count)
            if lands < top:
                moves[state, lands] += poisson.pmf(count, mean)
    lengths = np.linalg.solve(np.eye(top) - moves, np.ones(top))
    return float(lengths[round(4 * start)])


@checks("lucas_1985_poisson_cusum", r"(?P<side>upper|lower) (?P<of>ARL|FIR)\b.*")
def lucas(side: str, of: str) -> float:
    start = 5.0 if of == "FIR" else 0.0
    length = run_lengths.average_run_length if side == "upper" else lower_run_length
    return length(0.25, 10, 0.25, start)


@checks("poisson_cusum", "reference k for 4->7")
def cusum_reference() -> float:
    return cusum.reference(4, 7)


@checks("poisson_cusum", r"ARL k=5 h=10 mu=(?P<mean>[47])( .*)?")
def cusum_length(mean: str, **_rest: str) -> float:
    return run_lengths.average_run_length(5, 10, float(mean))


@checks("funnel_poisson", r"E=(?P<expected>\d+) p=(?P<p>[\d.]+) O/E limit \(clip at 0\)")
def funnel_counts(expected: str, p: str) -> float:
    return funnel.poisson_limits(float(expected), float(p))


@checks(r"funnel_binomial theta=\.05", r"n=(?P<of>\d+) p=(?P<p>[\d.]+) limit \(clip at 0\)")
def funnel_shares(of: str, p: str) -> float:
    return funnel.share_limits(int(of), 0.05, float(p))
