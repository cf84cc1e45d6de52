"""What is proposed to be worked through next. [CP] fluid, tyres, base brakes and battery first."""

from __future__ import annotations

from diagnostics.next_list import Known, Listed, others, proposals

PRELUDE = Listed(1, "Before anything else", "Quick and cheap.", "first", 10)
CIRCUIT = Listed(2, "Wheel-speed circuit", "Finds it.", "finding", 20, frozenset({"C0045"}))
STEERING = Listed(3, "Steering assist", "Finds it.", "finding", 30, system="Power steering")
PROVING = Listed(4, "Proving drive", "Shows it holds.", "proving", 40)
ALL = (PROVING, STEERING, CIRCUIT, PRELUDE)


def titles(known: Known) -> list[str]:
    return [one.title for one in proposals(ALL, known)]


def test_the_first_list_then_lamps_then_flags_are_proposed_on_a_fresh_car() -> None:
    assert titles(Known()) == ["Before anything else", "Look at the lamps", "Read the flags"]


def test_the_list_that_the_flags_point_at_comes_after_them() -> None:
    known = Known(lamps_looked_at=True, flags_read=True, codes=("C0045-13",))
    assert titles(known) == ["Before anything else", "Wheel-speed circuit"]
    assert proposals(ALL, known)[1].why == "C0045-13 points here."


def test_a_list_of_the_system_complained_of_comes_after_what_the_flags_say() -> None:
    known = Known(
        lamps_looked_at=True,
        flags_read=True,
        codes=("C0045",),
        systems=("Power steering",),
        finished=frozenset({1}),
    )
    assert titles(known) == ["Wheel-speed circuit", "Steering assist"]
    assert proposals(ALL, known)[1].why == "The complaint is about power steering."


def test_what_is_finished_is_proposed_no_more_but_may_be_chosen_again() -> None:
    known = Known(True, True, True, finished=frozenset({1, 2, 4}))
    assert proposals(ALL, known) == ()
    assert {one.title for one in others(ALL, known)} == {one.title for one in ALL}


def test_after_the_repair_the_proving_list_comes_first() -> None:
    known = Known(after_repair=True, codes=("C0045",))
    assert titles(known) == ["Proving drive", "Look at the lamps", "Read the flags"]


def test_a_list_begun_says_so() -> None:
    assert proposals(ALL, Known(begun=frozenset({1})))[0].begun


def test_every_list_is_either_proposed_or_among_the_others() -> None:
    known = Known(lamps_looked_at=True, flags_read=True, codes=("C0045",))
    shown = [*proposals(ALL, known), *others(ALL, known)]
    assert sorted(one.pk or 0 for one in shown) == [1, 2, 3, 4]
