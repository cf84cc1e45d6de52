"""What an odometer says soundly, of any readings: never more than was driven between them."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from jobs.lives.lives import lives_of
from jobs.lives.odometer import LEAST_DAYS, read
from jobs.lives.rows import History, Sight
from tests.jobs.lives.histories import BEGAN, KM, a_history, a_swap, histories


def driven(sights: tuple[Sight, ...], since: int, until: int) -> int:
    """Metres by which readings rose between two days, both counted whole, from the last one before:
    a unit may be fitted days after the distance was read."""
    known = [one for one in sorted(sights, key=lambda one: one.day) if one.day <= until]
    before = [one for one in known if one.day < since]
    some = [*before[-1:], *(one for one in known if one.day >= since)]
    return sum(max(0, after.at_m - before.at_m) for before, after in pairwise(some))


@given(histories())
def test_no_unit_goes_further_than_the_odometer_rose_while_it_was_watched(
    history: History,
) -> None:
    for life in lives_of(history):
        assert life.in_m is not None
        assert life.out_m is not None
        way = life.out_m - life.in_m
        assert 0 <= way <= driven(history.sights, life.in_day, life.out_day), life


@given(histories(), st.integers(0, 7), st.integers(0, 300_000))
def test_a_reading_that_goes_backwards_adds_nothing_to_what_was_sound(
    history: History, at: int, km: int
) -> None:
    """One more reading at the end, lower than all: what is still on ends at its last sound one."""
    days = [*(one.day for one in history.sights), *(one.fitted_day for one in history.swaps)]
    lowest = min(one.at_m for one in history.sights)
    if lowest == 0 or history.gone_day is not None:
        return
    lower = Sight(max(days) + 1 + at, min(lowest - 1, km * KM))
    later = History(
        (*sorted(history.sights, key=lambda one: one.day), lower),
        history.places,
        history.swaps,
        history.in_service,
        None,
    )
    for before, after in zip(lives_of(history), lives_of(later), strict=True):
        if not before.exit:
            assert (after.out_m, after.left_at_out_m) == (before.out_m, False)
            assert after.m_a_day == 0


@given(histories())
def test_how_far_it_goes_in_a_day_is_of_the_last_stretch_alone(history: History) -> None:
    odometer = read(history.sights)
    for number, stretch in enumerate(odometer.stretches):
        a_day = odometer.m_a_day(number)
        days = stretch[-1].day - stretch[0].day
        if number < len(odometer.stretches) - 1:
            assert a_day == 0
        elif days < LEAST_DAYS:
            assert a_day is None
        else:
            assert a_day is not None
            assert abs(a_day * days - (stretch[-1].at_m - stretch[0].at_m)) <= days
            assert all(before.at_m <= after.at_m for before, after in pairwise(stretch))


def test_a_mistyped_reading_put_right_on_the_same_day_adds_no_distance() -> None:
    (life,) = lives_of(a_history((0, 60_000), (100, 710_000), (100, 71_000), (200, 80_000)))
    assert (life.in_m, life.out_m, life.m_a_day) == (60_000 * KM, 710_000 * KM, 0)
    swap = a_swap((100, 71_000), (100, 71_000))
    old, new = lives_of(
        a_history((0, 60_000), (100, 710_000), (100, 71_000), (200, 80_000), swaps=(swap,))
    )
    assert (old.out_day - BEGAN, old.left_at_out_m) == (100, False)
    assert (new.in_m, new.out_m, new.m_a_day) == (71_000 * KM, 80_000 * KM, 90 * KM)
