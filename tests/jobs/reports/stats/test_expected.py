"""What the hazard of all brings: over all lives as many as were seen, however they are parted."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.reports.stats.counts import Counts, from_lives
from jobs.reports.stats.expected import expected, expected_since, summed_hazard

LIVES = st.lists(st.tuples(st.integers(0, 60), st.booleans()), min_size=1, max_size=40)
Lives = list[tuple[int, bool]]


def counts_of(lives: Lives) -> Counts:
    ends, failed = [end for end, _ in lives], [fell for _, fell in lives]
    return from_lives(np.zeros(len(lives)), ends, failed)


def test_by_hand_three_lives() -> None:
    """One of three fails at 10, one of two at 20: 1/3, then 1/3 + 1/2."""
    of = counts_of([(10, True), (20, True), (30, False)])
    assert summed_hazard(of, [5, 10, 19, 20, 99]) == pytest.approx([0, 1 / 3, 1 / 3, 5 / 6, 5 / 6])
    assert expected(of, counts_of([(10, False), (25, False)])) == pytest.approx(1 / 3 + 5 / 6)


def test_nobody_is_expected_to_fail_where_nobody_was() -> None:
    nobody = from_lives([], [], [])
    assert list(summed_hazard(nobody, [1, 2])) == [0, 0]
    assert expected(counts_of([(10, True)]), nobody) == 0


@given(LIVES)
def test_over_all_lives_it_is_what_was_seen(lives: Lives) -> None:
    of = counts_of(lives)
    assert expected(of, of) == pytest.approx(of.failures)


@given(LIVES, st.data())
def test_before_and_after_a_day_come_to_the_whole(lives: Lives, data: st.DataObject) -> None:
    of, ends, many = counts_of(lives), [end for end, _ in lives], [1] * len(lives)
    since = [data.draw(st.integers(-20, 80)) for _ in lives]
    after = expected_since(of, ends, since, many)
    before = sum(
        float(summed_hazard(of, min(max(end, 0.5), max(day, 0.5)))) if day >= 0 else 0.0
        for end, day in zip(ends, since, strict=True)
    )
    assert after + before == pytest.approx(of.failures)
    assert expected_since(of, ends, [-1] * len(lives), many) == pytest.approx(of.failures)
