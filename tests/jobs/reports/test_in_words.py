"""Sentences say what the numbers do, and no more."""

from __future__ import annotations

import pytest

from jobs.reports.figures import in_words
from jobs.reports.stats.comparing import two_rates
from jobs.reports.stats.cusum import threshold
from jobs.reports.stats.limits import rate_if_any, rate_limits, share_if_any, share_limits

PER = "per hundred unit-months"


def test_a_rate_says_its_count_its_limits_and_that_it_is_few() -> None:
    rate = rate_limits(3, 412).per(100)
    assert in_words.of_rate(rate, "412 unit-months", PER) == (
        "3 failures in 412 unit-months: 0.73 per hundred unit-months; true rates from 0.15 "
        "to 2.1 fit such a count. These are few: the next one may change the picture."
    )
    one = in_words.of_rate(rate_limits(1, 50).per(100), "50 unit-months", PER)
    assert one.startswith("1 failure in")
    many = in_words.of_rate(rate_limits(31, 412).per(100), "412 unit-months", PER)
    assert "few" not in many


def test_none_failed_is_no_certainty_and_nothing_followed_no_nought() -> None:
    none = in_words.of_rate(rate_limits(0, 100).per(100), "100 unit-months", PER)
    assert "up to 3.7 per hundred unit-months" in none
    assert in_words.of_rate(rate_if_any(0, 0.0), "no month", PER) == (
        "Nothing was followed, so there is no rate."
    )


def test_a_share_says_out_of_how_many() -> None:
    assert in_words.of_share(share_limits(3, 41)) == "3 of 41 (7.3 %; 1.5 to 20 % fit that)"
    assert in_words.of_share(share_if_any(0, 0)) == "none to judge by"


@pytest.mark.parametrize(
    ("p", "words"),
    [
        (0.00099, "less than once in 1,000 times"),
        (0.001, "about once in 1000 times"),
        (0.0355, "about once in 28 times"),
        (0.05, "once in 20 times, which is not rare"),
        (0.2, "often"),
        (1.0, "often"),
    ],
)
def test_chance_is_told_without_its_letter(p: float, words: str) -> None:
    assert words in in_words.chance(p)


def test_two_rates_are_compared_with_blanks_where_there_is_no_end() -> None:
    both = in_words.of_comparison(two_rates(41, 28010, 15, 19017))
    assert both.startswith("1.86 times as often (1.04 to 3.45 fit that); ")
    assert "few" not in both
    # Half of q^5 is 0.025 at q = 0.5493, which are odds of 1.219.
    assert "at least 1.22 times" in in_words.of_comparison(two_rates(5, 100, 0, 100))
    assert "at most 0.821 times" in in_words.of_comparison(two_rates(0, 100, 5, 100))
    assert in_words.of_comparison(two_rates(2, 100, 1, 100)).endswith("may change the picture.")
    assert "nothing to compare" in in_words.of_comparison(two_rates(0, 100, 0, 100))


def test_a_watch_says_what_it_costs() -> None:
    assert in_words.of_watch(threshold(0.01, 0.02, 50, 120)) == (
        "Without any change it calls about once in 10 years; the change it looks for is noticed "
        "after about 11 failures."
    )
    seldom = in_words.of_watch(threshold(0.0001, 0.0002, 5, 120))
    assert "less than once in 50 years" in seldom
