"""The rules by which units live, one after the other, and what must hold of any vehicle."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from jobs.lives.lives import lives_of
from jobs.lives.rows import History, Life, Place, Sight
from tests.jobs.lives.histories import BEGAN, HOSE, HUB, KM, a_history, a_swap, histories


def days(life: Life) -> tuple[int, int]:
    return life.in_day - BEGAN, life.out_day - BEGAN


def at(lives: tuple[Life, ...], place: Place) -> list[Life]:
    return [life for life in lives if life.place == place]


def test_a_vehicle_never_seen_has_no_lives() -> None:
    assert lives_of(a_history()) == ()


def test_each_place_is_watched_from_the_first_sight_to_the_last() -> None:
    lives = lives_of(a_history((0, 60_000), (366, 80_000), places=(HUB, HOSE)))
    assert [life.place for life in lives] == [HUB, HOSE]
    for life in lives:
        assert (life.entry, life.exit, *days(life)) == ("first_seen", "", 0, 366)
        assert (life.in_m, life.out_m, life.born_m) == (60_000 * KM, 80_000 * KM, 0)
        assert life.born_day == BEGAN - 1000
        assert life.m_a_day == round(20_000 * KM / 366)


def test_an_age_that_is_not_known_or_would_be_negative_is_none() -> None:
    (unknown,) = lives_of(a_history((0, 60_000), in_service=None))
    (later,) = lives_of(a_history((0, 60_000), in_service=1))
    (same,) = lives_of(a_history((0, 60_000), in_service=0))
    assert (unknown.born_day, later.born_day, same.born_day) == (None, None, BEGAN)


def test_a_failure_is_dated_on_the_taking_in_and_the_new_one_lives_from_its_fitting() -> None:
    swap = a_swap((100, 70_000), (104, 70_010))
    old, new = lives_of(a_history((0, 60_000), (100, 70_000), (104, 70_010), swaps=(swap,)))
    assert (old.exit, *days(old), old.out_m) == ("failed", 0, 100, 70_000 * KM)
    assert old.left_at_out_m
    assert (new.entry, new.exit, *days(new)) == ("fitted", "", 104, 104)
    assert (new.born_day, new.born_m, new.in_m) == (BEGAN + 104, 70_010 * KM, 70_010 * KM)


def test_a_unit_fitted_after_the_last_reading_is_watched_from_its_day() -> None:
    swap = a_swap((100, 70_000), (104, 70_000), failed=False)
    old, new = lives_of(a_history((0, 60_000), (100, 70_000), swaps=(swap,)))
    assert (old.exit, *days(old)) == ("other", 0, 100)
    assert (*days(new), new.in_m, new.out_m) == (104, 104, 70_000 * KM, 70_000 * KM)


def test_a_unit_that_failed_at_the_first_visit_was_watched_for_no_time() -> None:
    old, _new = lives_of(a_history((0, 60_000), swaps=(a_swap((0, 60_000)),)))
    assert (old.entry, old.exit, *days(old)) == ("first_seen", "failed", 0, 0)


def test_two_failures_of_one_place_on_one_day_follow_each_other() -> None:
    first = a_swap((100, 70_000), off=1, on=2)
    second = a_swap((100, 70_000), off=2, on=3)
    sights = ((0, 60_000), (100, 70_000))
    lives = lives_of(a_history(*sights, swaps=(first, second)))
    assert lives == lives_of(a_history(*sights, swaps=(second, first)))
    assert [life.unit for life in lives] == [1, 2, 3]
    assert [(life.exit, *days(life)) for life in lives] == [
        ("failed", 0, 100),
        ("failed", 100, 100),
        ("", 100, 100),
    ]


def test_a_lower_reading_ends_the_distance_clock_and_not_the_age() -> None:
    swap = a_swap((200, 5_000), failed=True)
    old, new = lives_of(
        a_history((0, 60_000), (100, 70_000), (200, 5_000), (300, 9_000), swaps=(swap,))
    )
    assert (*days(old), old.out_m, old.left_at_out_m) == (0, 200, 70_000 * KM, False)
    assert old.m_a_day == 0
    # Fitted under the new instrument, its own distance is sound again.
    assert (new.in_m, new.out_m, new.m_a_day) == (5_000 * KM, 9_000 * KM, 40 * KM)


def test_a_vehicle_seen_for_less_than_thirty_days_goes_nobody_knows_how_far_a_day() -> None:
    (short,) = lives_of(a_history((0, 60_000), (29, 61_000)))
    (long,) = lives_of(a_history((0, 60_000), (30, 61_000)))
    assert (short.m_a_day, long.m_a_day) == (None, round(1_000 * KM / 30))


def test_a_unit_replaced_by_somebody_else_left_when_it_was_last_seen() -> None:
    ours = a_swap((100, 70_000))
    theirs = a_swap((500, 99_000), (503, 99_000), another=True)
    sights = ((0, 60_000), (100, 70_000), (200, 80_000), (500, 99_000))
    first, fitted, found, new = lives_of(a_history(*sights, swaps=(ours, theirs)))
    assert (first.entry, first.exit) == ("first_seen", "failed")
    assert (fitted.exit, *days(fitted)) == ("elsewhere", 100, 200)
    assert (fitted.out_m, fitted.left_at_out_m) == (80_000 * KM, True)
    assert (found.entry, found.exit, *days(found)) == ("elsewhere", "failed", 500, 500)
    assert (found.born_day, found.born_m) == (None, None)
    assert (new.entry, *days(new)) == ("fitted", 503, 503)


def test_a_unit_that_is_by_its_key_not_the_one_on_record_is_another_one() -> None:
    ours, theirs = a_swap((100, 70_000), off=1, on=2), a_swap((500, 99_000), off=7, on=8)
    lives = lives_of(a_history((0, 60_000), (100, 70_000), (500, 99_000), swaps=(ours, theirs)))
    assert [(life.unit, life.exit) for life in lives] == [
        (1, "failed"),
        (2, "elsewhere"),
        (7, "failed"),
        (8, ""),
    ]


def test_a_vehicle_that_is_gone_takes_its_units_along() -> None:
    (life,) = lives_of(a_history((0, 60_000), (100, 70_000), gone=150))
    assert (life.exit, *days(life), life.out_m) == ("gone", 0, 150, 70_000 * KM)


def test_seen_again_its_units_are_first_seen_anew() -> None:
    swap = a_swap((100, 70_000))
    gone, again = a_history((0, 60_000), (100, 70_000), swaps=(swap,), gone=150), Sight
    back = replace(gone, sights=(*gone.sights, again(BEGAN + 400, 90_000 * KM)), places=(HUB, HOSE))
    first, fitted, anew = at(lives_of(back), HUB)
    assert (first.exit, fitted.exit, *days(fitted)) == ("failed", "gone", 100, 150)
    assert (anew.entry, anew.exit, *days(anew)) == ("first_seen", "", 400, 400)
    # It may be the one fitted here or yet another one.
    assert (anew.born_day, anew.born_m) == (None, None)
    untouched = at(lives_of(back), HOSE)
    assert [(life.exit, life.born_day) for life in untouched] == [
        ("gone", BEGAN - 1000),
        ("", BEGAN - 1000),
    ]


def test_a_unit_of_no_page_that_was_replaced_is_counted_all_the_same() -> None:
    swap = a_swap((100, 70_000), place=HOSE)
    lives = lives_of(a_history((0, 60_000), (100, 70_000), swaps=(swap,), places=(HUB,)))
    assert [life.place for life in lives] == [HUB, HOSE, HOSE]


# ------------------------------------------------------------------ of any vehicle


@given(histories())
def test_no_window_is_negative_and_those_of_a_place_do_not_overlap(history: History) -> None:
    lives = lives_of(history)
    for life in lives:
        assert life.in_day <= life.out_day
        assert life.born_day is None or life.born_day <= life.in_day
        assert life.in_m is not None
        assert life.out_m is not None
        assert life.in_m <= life.out_m
        assert life.born_m is None or life.born_m <= life.in_m
    for before, after in pairwise(lives):
        if before.place == after.place:
            assert before.out_day <= after.in_day


@given(histories())
def test_at_each_place_one_unit_at_most_is_still_on_and_it_is_the_last(history: History) -> None:
    lives = lives_of(history)
    expected = {*history.places, *(swap.place for swap in history.swaps)}
    assert {life.place for life in lives} == expected
    for place in expected:
        *left, last = at(lives, place)
        assert all(life.exit for life in left)
        assert last.exit in ("", "gone")


@given(histories())
def test_each_unit_that_came_off_or_went_on_lives_once(history: History) -> None:
    lives = lives_of(history)
    fitted = [life for life in lives if life.entry == "fitted"]
    assert len(fitted) == len(history.swaps)
    left = [life for life in lives if life.exit in ("failed", "other")]
    assert len(left) == len(history.swaps)
    assert sum(life.exit == "failed" for life in left) == sum(s.failed for s in history.swaps)


@given(histories(), st.randoms())
def test_the_order_in_which_it_is_told_changes_nothing(history: History, chance: Random) -> None:
    places, swaps = list(history.places), list(history.swaps)
    chance.shuffle(places)
    chance.shuffle(swaps)
    # Days in any order; sights of one day stay in the order of reading.
    sights = sorted(history.sights, key=lambda one: -one.day)
    told = replace(history, places=tuple(places), swaps=tuple(swaps), sights=tuple(sights))
    assert lives_of(told) == lives_of(history)


@given(histories(may_be_gone=False), st.integers(0, 500), st.integers(0, 400_000))
def test_a_later_sight_only_lengthens_what_is_still_on(
    history: History, days: int, km: int
) -> None:
    last = max([*(one.day for one in history.sights), *(one.fitted_day for one in history.swaps)])
    later = replace(history, sights=(*history.sights, Sight(last + days, km * KM)))
    for before, after in zip(lives_of(history), lives_of(later), strict=True):
        if before.exit:
            assert replace(after, m_a_day=None) == replace(before, m_a_day=None)
        else:
            assert after.out_day >= before.out_day
            assert (after.out_m or 0) >= (before.out_m or 0)
            longer = (before.out_day, before.out_m, before.m_a_day)
            same = replace(after, out_day=longer[0], out_m=longer[1], m_a_day=longer[2])
            assert same == before
