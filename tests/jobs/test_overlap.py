"""Shared steps are paid once, whatever is put together and in whatever order.

The rule is common practice, no source; the figures are made for the test.
"""

from __future__ import annotations

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from jobs.overlap import Operation, Step, shared, total

WHEEL = Step("wheel_off", 3, "LF")
OTHER_WHEEL = Step("wheel_off", 3, "RF")
BLEED = Step("bleed", 5)

steps = st.builds(
    Step,
    key=st.sampled_from(["wheel_off", "bleed", "scan", "road_test"]),
    tenths=st.integers(0, 12),
    place=st.sampled_from(["", "LF", "RF"]),
)
lines = st.lists(
    st.tuples(st.integers(1, 60), st.lists(steps, max_size=5)), min_size=1, max_size=7
).map(
    lambda rows: [
        Operation(key, tenths, tuple(contained)) for key, (tenths, contained) in enumerate(rows)
    ]
)


def test_two_operations_are_the_sum_less_what_they_share() -> None:
    caliper = Operation(1, 12, (WHEEL, BLEED))
    hose = Operation(2, 10, (WHEEL, BLEED))
    assert shared([caliper, hose]) == {1: 0, 2: 8}
    assert total([caliper, hose]) == 12 + 10 - 8


def test_a_step_of_three_is_taken_off_twice() -> None:
    rows = [Operation(key, 10 + key, (BLEED,)) for key in range(3)]
    assert total(rows) == 10 + 11 + 12 - 2 * 5
    assert shared(rows)[2] == 0  # the longest pays in full


def test_a_wheel_on_the_other_side_is_another_wheel() -> None:
    left, right = Operation(1, 8, (WHEEL,)), Operation(2, 8, (OTHER_WHEEL,))
    assert shared([left, right]) == {1: 0, 2: 0}


def test_a_line_shorter_than_its_steps_is_never_less_than_nothing() -> None:
    rows = [Operation(1, 20, (WHEEL, BLEED)), Operation(2, 4, (WHEEL, BLEED))]
    assert shared(rows) == {1: 0, 2: 4}
    assert total(rows) == 20


def test_nothing_is_nothing() -> None:
    assert (shared([]), total([])) == ({}, 0)


@given(lines, st.randoms())
def test_the_order_of_entry_does_not_matter(rows: list[Operation], chance: Random) -> None:
    mixed = list(rows)
    chance.shuffle(mixed)
    assert shared(mixed) == shared(rows)
    again = [Operation(key, one.tenths, one.steps) for key, one in enumerate(mixed)]
    assert total(again) == total(rows)


@given(lines)
def test_the_longest_pays_in_full_and_the_total_is_never_less(rows: list[Operation]) -> None:
    saved = shared(rows)
    longest = max(one.tenths for one in rows)
    assert longest <= total(rows) <= sum(one.tenths for one in rows)
    assert any(one.tenths == longest and saved[one.key] == 0 for one in rows)
    assert all(0 <= saved[one.key] <= one.tenths for one in rows)


@given(lines)
def test_adding_an_operation_never_lowers_the_total(rows: list[Operation]) -> None:
    assert total(rows[:-1]) <= total(rows)


@given(lines)
def test_each_step_is_taken_off_once_less_than_it_occurs(rows: list[Operation]) -> None:
    """Where every operation has room for its steps, the formula of the trade holds exactly."""
    known = {(step.key, step.place): step for one in rows for step in one.steps}
    roomy = [
        Operation(
            one.key,
            one.tenths + sum(step.tenths for step in known.values()),
            tuple({known[step.key, step.place] for step in one.steps}),
        )
        for one in rows
    ]
    expected = sum(one.tenths for one in roomy)
    for step in known.values():
        times = sum(step in one.steps for one in roomy)
        expected -= max(0, times - 1) * step.tenths
    assert total(roomy) == expected
