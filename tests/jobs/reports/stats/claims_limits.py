"""Published limits of counts and shares, two rates and adjusted p-values."""

from __future__ import annotations

import math
from statistics import NormalDist

from jobs import poisson
from jobs.base_stock import base_stock
from jobs.reports.stats.comparing import Compared, two_rates
from jobs.reports.stats.conditional import ratio_where
from jobs.reports.stats.discovery import benjamini_hochberg
from jobs.reports.stats.limits import rate_limits, share_limits, upper_alone
from tests.jobs.reports.stats.checked import checks

NORMAL_975 = NormalDist().inv_cdf(0.975)
ENDS = {"low": 0, "high": 1, "lower": 0, "upper": 1}
PAPER_PS = (
    0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262,
    0.5719, 0.6528, 0.7590, 1.0000,
)  # fmt: skip


@checks("garwood_95", r"(?P<end>lower|upper) k=(?P<count>\d+)")
def garwood(end: str, count: str) -> float:
    rate = rate_limits(int(count), 1.0)
    return (rate.low, rate.high)[ENDS[end]]


@checks("garwood one-sided 95", r"upper k=0 .*")
def rule_of_three() -> float:
    return upper_alone(0)


@checks("newcombe_1998_table1", r"Clopper-Pearson (?P<count>\d+)/(?P<of>\d+) (?P<end>low|high)")
@checks("nist_7241", r"(?P<count>\d+)/(?P<of>\d+) (?P<percent>90)% exact (?P<end>low|high)")
def clopper_pearson(count: str, of: str, end: str, percent: str = "95") -> float:
    share = share_limits(int(count), int(of), int(percent) / 100)
    return (share.low, share.high)[ENDS[end]]


@checks("newcombe_1998_table1", r"Wilson (?P<count>\d+)/(?P<of>\d+) (?P<end>low|high)")
def wilson(count: str, of: str, end: str) -> float:
    """Not used by the product, which takes the exact limits; worked out here to compare."""
    share, n, z = int(count) / int(of), int(of), NORMAL_975
    middle = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z / (1 + z * z / n) * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    return (middle - half, middle + half)[ENDS[end]]


def _compared() -> Compared:
    return two_rates(41, 28010, 15, 19017)


TWO_RATES = r"two_rate 41/28010 vs 15/19017"


@checks(TWO_RATES, "ratio")
def rates_ratio() -> float:
    ratio = _compared().ratio
    assert ratio is not None
    return ratio


@checks(TWO_RATES, "exact conditional CI (?P<end>low|high)")
def rates_exact(end: str) -> float:
    limit = (_compared().exact_low, _compared().exact_high)[ENDS[end]]
    assert limit is not None
    return limit


@checks(TWO_RATES, "mid-p CI (?P<end>low|high)")
def rates_mid_p(end: str) -> float:
    limit = (_compared().low, _compared().high)[ENDS[end]]
    assert limit is not None
    return limit


@checks(TWO_RATES, r"p two-sided minlike \(R poisson.test\)")
def rates_least_likely() -> float:
    return _compared().p_least_likely


@checks(TWO_RATES, "p two-sided doubled")
def rates_doubled() -> float:
    return _compared().p_doubled


@checks(TWO_RATES, r"mid-p p doubled \(epitools\)")
def rates_p() -> float:
    return _compared().p


@checks(TWO_RATES, "median-unbiased ratio")
def rates_median() -> float:
    """The ratio at which what was seen lies in the middle of its law."""
    median, _same = ratio_where(41, 56, 19017 / 28010, 0.5, 0.5)
    assert median is not None
    return median


@checks(TWO_RATES, "score p")
def rates_score() -> float:
    """Not used by the product: the normal law for the conditional share."""
    of, share = 56, 28010 / (28010 + 19017)
    z = (41 - of * share) / math.sqrt(of * share * (1 - share))
    return 2 * NormalDist().cdf(-abs(z))


@checks("benjamini_hochberg_1995_15", r"adjusted p\[(?P<place>\d+)\]")
def adjusted(place: str) -> float:
    return benjamini_hochberg(PAPER_PS)[int(place) - 1]


@checks("benjamini_hochberg_1995_15", r"rejected at q=\.05")
def rejected() -> float:
    return sum(p < 0.05 for p in benjamini_hochberg(PAPER_PS))


@checks("poisson_stock mean 4", r"F\((?P<count>\d)\)")
def stock_sum(count: str) -> float:
    return poisson.cdf(int(count), 4.0)


@checks("poisson_stock mean 4", r"stock for service \.60")
def stock_level() -> float:
    return base_stock(4.0, 0.60).level


@checks(r"poisson_stock mean 6 .*", r"P\(D>8\)")
def stock_out() -> float:
    return poisson.more_than(8, 6.0)


@checks("poisson_stock", r"S for mean (?P<mean>[\d.]+) service (?P<target>[\d.]+)")
def stock_table(mean: str, target: str) -> float:
    return base_stock(float(mean), float(target)).level
