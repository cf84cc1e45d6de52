"""What proves a repair. The rules are common practice, no source; the cases are worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from jobs.release_rules import (
    ClearingFact,
    FlagReadFact,
    LampFact,
    Missing,
    Proof,
    ReadingFact,
    RoadTestFact,
    Where,
    checklist,
    missing_for_release,
)

BRAKES = "brake control"
HUB = ("sensor_resistance", "hub_and_sensor", "LR")


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 5, 4, hour, minute, tzinfo=UTC)


def reading(when: datetime, verdict: str, *, after: bool, shown: str = "1.39 kΩ") -> ReadingFact:
    return ReadingFact(when, HUB, "Sensor resistance, left rear", shown, verdict, after)


# Begun at 9, flag and open sensor found, fitted at 12, proved between 13 and 14.
PROVED = Proof(
    begun_at=at(9),
    repaired_at=at(12),
    clearings=(ClearingFact(at(13), BRAKES),),
    flag_reads=(
        FlagReadFact(at(9, 10), ("C0045",), BRAKES),
        FlagReadFact(at(13, 40), (), BRAKES),
    ),
    road_tests=(RoadTestFact(at(13, 20), True, "8 km at up to 70 km/h."),),
    lamp_checks=(LampFact(at(13, 30), True, "Nothing detected."),),
    readings=(
        reading(at(9, 30), "outside", after=False, shown="over range"),
        reading(at(12, 30), "within", after=True),
    ),
)


def missing(proof: Proof) -> tuple[Missing, ...]:
    return missing_for_release(proof)


def test_a_repair_with_everything_shown_misses_nothing() -> None:
    assert missing(PROVED) == ()
    assert all(item.done for item in checklist(PROVED))


@pytest.mark.parametrize(
    ("left_out", "where", "says"),
    [
        ({"clearings": ()}, Where.FLAGS_CLEAR, "have not been cleared since the repair"),
        ({"road_tests": ()}, Where.ROAD_TEST, "No road test since the flags were cleared"),
        ({"lamp_checks": ()}, Where.LAMPS, "have not been looked at since the road test"),
        ({"flag_reads": PROVED.flag_reads[:1]}, Where.FLAGS, "since the road test"),
        ({"readings": PROVED.readings[:1]}, Where.READINGS, "has not been taken again"),
        ({"without_conclusion": (2,)}, Where.CONCLUDE, "Complaint 2 has no conclusion"),
        ({"without_correction": (1,)}, Where.CORRECTION, "Complaint 1 has no correction"),
    ],
)
def test_each_thing_left_out_is_named_with_its_place(
    left_out: dict[str, object], where: Where, says: str
) -> None:
    found = missing(replace(PROVED, **left_out))  # type: ignore[arg-type]
    assert where in {one.key for one in found}
    assert says in " ".join(one.sentence for one in found)


def test_what_was_done_before_the_fitting_proves_nothing() -> None:
    later = replace(PROVED, repaired_at=at(15))
    keys = [one.key for one in missing(later)]
    assert keys == [
        Where.FLAGS_CLEAR,
        Where.ROAD_TEST,
        Where.LAMPS,
        Where.FLAGS,
        Where.READINGS,
    ]


def test_a_second_diagnosis_after_the_fitting_asks_for_all_of_it_again() -> None:
    again = replace(PROVED, begun_at=at(15))
    assert Where.FLAGS_CLEAR in {one.key for one in missing(again)}


def test_a_road_test_before_the_last_clearing_shows_nothing() -> None:
    cleared_again = (*PROVED.clearings, ClearingFact(at(14), BRAKES))
    found = missing(replace(PROVED, clearings=cleared_again))
    assert [one.key for one in found] == [Where.ROAD_TEST, Where.LAMPS, Where.FLAGS]
    assert "since the flags were cleared 4 May at 14:00" in found[0].sentence


def test_a_road_test_that_was_too_slow_says_why_and_does_not_count() -> None:
    slow = (RoadTestFact(at(13, 20), False, "4 km/h does not pass the 5 km/h."),)
    found = missing(replace(PROVED, road_tests=slow))
    assert found[0].sentence == (
        "The road test 4 May at 13:20 does not count: 4 km/h does not pass the 5 km/h."
    )


def test_a_later_road_test_that_counts_makes_up_for_one_that_did_not() -> None:
    tests = (RoadTestFact(at(13, 10), False, "Too slow."), *PROVED.road_tests)
    assert missing(replace(PROVED, road_tests=tests)) == ()


def test_flags_read_after_the_road_test_are_named_by_their_codes() -> None:
    reads = (PROVED.flag_reads[0], FlagReadFact(at(13, 40), ("C0040", "C0045-13"), BRAKES))
    (found,) = missing(replace(PROVED, flag_reads=reads))
    assert found.key is Where.FLAGS
    assert found.sentence == (
        "C0040 and C0045-13 are still there in brake control, read 4 May at 13:40 "
        "after the road test."
    )


def test_a_flag_not_tested_since_the_clearing_is_not_taken_for_absent() -> None:
    untested = FlagReadFact(at(13, 40), (), BRAKES, untested=("C0045",))
    (found,) = missing(replace(PROVED, flag_reads=(PROVED.flag_reads[0], untested)))
    assert "C0045 not tested since cleared" in found.sentence


def test_a_flag_read_before_the_road_test_is_not_a_reading_after_it() -> None:
    early = (PROVED.flag_reads[0], FlagReadFact(at(13, 10), (), BRAKES))
    (found,) = missing(replace(PROVED, flag_reads=early))
    assert found.key is Where.FLAGS


def test_every_module_in_which_flags_were_found_is_cleared_and_read_again() -> None:
    two = (*PROVED.flag_reads, FlagReadFact(at(9, 20), ("C1520",), "power steering"))
    found = missing(replace(PROVED, flag_reads=two))
    assert any("power steering" in one.sentence for one in found if one.key is Where.FLAGS_CLEAR)
    whole = replace(
        PROVED,
        flag_reads=(*two, FlagReadFact(at(13, 50), (), "Power Steering ")),
        clearings=(*PROVED.clearings, ClearingFact(at(13, 5), "power steering")),
    )
    assert missing(whole) == ()


def test_a_job_without_any_flag_needs_no_clearing_but_is_read_after_the_road_test() -> None:
    never = replace(PROVED, clearings=(), flag_reads=PROVED.flag_reads[1:])
    assert missing(never) == ()
    assert [one.key for one in missing(replace(never, flag_reads=()))] == [Where.FLAGS]


def test_near_the_limit_counts_as_inside_and_is_said_so() -> None:
    near = (PROVED.readings[0], reading(at(12, 30), "near", after=True))
    proof = replace(PROVED, readings=near)
    assert missing(proof) == ()
    said = [item.sentence for item in checklist(proof) if item.key is Where.READINGS]
    assert "near the limit: near counts as inside" in said[0]


@pytest.mark.parametrize(
    ("verdict", "says"), [("outside", "still outside"), ("not_judged", "could not be judged")]
)
def test_a_reading_taken_again_must_be_inside(verdict: str, says: str) -> None:
    again = (PROVED.readings[0], reading(at(12, 30), verdict, after=True))
    (found,) = missing(replace(PROVED, readings=again))
    assert says in found.sentence
    assert found.place == HUB


def test_the_last_reading_after_the_repair_decides() -> None:
    twice = (*PROVED.readings, reading(at(13, 50), "outside", after=True, shown="1.10 kΩ"))
    (found,) = missing(replace(PROVED, readings=twice))
    assert "1.10 kΩ" in found.sentence


def test_one_good_reading_as_found_does_not_undo_one_that_was_outside() -> None:
    """The fault that comes and goes: open when the harness is moved, right when it is not."""
    as_found = (PROVED.readings[0], reading(at(9, 40), "within", after=False))
    (found,) = missing(replace(PROVED, readings=as_found))
    assert found.key is Where.READINGS


def test_a_reading_outside_only_after_the_repair_blocks_too() -> None:
    (found,) = missing(replace(PROVED, readings=(reading(at(13), "outside", after=True),)))
    assert found.key is Where.READINGS


def test_what_was_outside_after_a_repair_that_did_not_cure_is_taken_again_after_the_next() -> None:
    first = replace(PROVED, readings=(reading(at(11), "outside", after=True),))
    (only,) = missing(first)
    assert only.key is Where.READINGS
    assert "not been taken again" in only.sentence
    taken = (*first.readings, reading(at(12, 30), "within", after=True))
    assert missing(replace(first, readings=taken)) == ()


def test_without_a_repair_the_checks_count_from_the_beginning_of_diagnosis() -> None:
    nothing_fitted = replace(PROVED, repaired_at=None, begun_at=at(9))
    assert missing(nothing_fitted) == ()
    begun_later = replace(nothing_fitted, begun_at=at(14))
    assert "since diagnosis began" in missing(begun_later)[0].sentence


def test_lamps_seen_normal_and_then_not_are_not_normal() -> None:
    lamps = (*PROVED.lamp_checks, LampFact(at(13, 45), False, "Anti-lock function is off."))
    (found,) = missing(replace(PROVED, lamp_checks=lamps))
    assert found.sentence == (
        "The lamps were not normal when last looked at, 4 May at 13:45: Anti-lock function is off."
    )


def test_every_sentence_ends_with_a_full_stop() -> None:
    bare = Proof(begun_at=at(9), without_conclusion=(1, 2), without_correction=(1, 2))
    assert all(one.sentence.endswith(".") for one in missing(bare))
    assert len(missing(bare)) == 7


def test_lamps_seen_before_the_road_test_are_to_be_seen_again_after_it() -> None:
    """A lamp may come back only once the module has tested itself on the drive."""
    driven = PROVED.road_tests[-1].at
    early = replace(PROVED, lamp_checks=(replace(PROVED.lamp_checks[-1], at=at(driven.hour - 1)),))
    assert [one.key for one in missing(early)] == [Where.LAMPS]
    assert not missing(PROVED)
