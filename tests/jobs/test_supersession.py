"""The number that is ordered is the one that lives."""

from __future__ import annotations

from decimal import Decimal

from jobs.supersession import CataloguePart, living_number, living_parts


def part(
    key: int, number: str, then: int | None = None, position: str = "", *, retired: bool = False
) -> CataloguePart:
    return CataloguePart(key, number, position, then, "Ostrel", Decimal(100 + key), retired)


CHAIN = [part(1, "A-210", 2), part(2, "A-212", 3), part(3, "A-214")]


def test_it_follows_the_chain_to_the_living_number_and_keeps_it_to_show() -> None:
    (found,) = living_parts(CHAIN, "LR")
    assert found.number == "A-214"
    assert found.replaced == ("A-210", "A-212")
    assert found.chain == ("A-210", "A-212", "A-214")
    assert found.price == Decimal(103)


def test_a_superseded_number_typed_in_any_dress_becomes_the_living_one() -> None:
    for typed in ("A-210", "a210", " A 212 "):
        found = living_number(CHAIN, typed)
        assert found is not None
        assert found.number == "A-214"
    assert living_number(CHAIN, "B-1") is None


def test_a_number_of_exactly_the_place_comes_before_one_that_fits_everywhere() -> None:
    found = living_parts([part(1, "ANY"), part(2, "LEFT", position="LF")], "LF")
    assert [one.number for one in found] == ["LEFT", "ANY"]
    assert [one.number for one in living_parts([part(2, "LEFT", position="LF")], "RF")] == []


def test_a_retired_number_without_a_next_one_is_not_offered() -> None:
    assert living_parts([part(1, "OLD", retired=True)], "") == ()
    assert living_number([part(1, "OLD", retired=True)], "OLD") is None


def test_two_numbers_that_became_one_are_both_named() -> None:
    parts = [part(1, "A", 3), part(2, "B", 3), part(3, "C")]
    (found,) = living_parts(parts, "")
    assert set(found.replaced) == {"A", "B"}


def test_a_ring_of_numbers_ends() -> None:
    assert living_parts([part(1, "A", 2), part(2, "B", 1)], "")
