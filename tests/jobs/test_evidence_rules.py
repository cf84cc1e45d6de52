"""What a claim must show. Every expectation here is common practice of payers, no source."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.evidence.facts import Facts, FlagFact, Moment, ReadingFact, UnitFact, Wants
from jobs.evidence.rules import checked, needs

UNTIL = date(2026, 12, 1)
ALL = Wants(photos=True, clock=True, serials=True, part=True, hold_until=UNTIL)
FOUND = ReadingFact("coil resistance", "hub", "LR", "outside", False, True, True, True, True)
AFTER = replace(FOUND, verdict="within", after=True, tied=False)
FLAG = FlagFact("C0045", False, True, True, (("hub", "LR"),))
UNIT = UnitFact(
    "hub", "hub and sensor assembly", "LR", "HB-1", True, "A1", "B2", "QT1", True, UNTIL
)
WHOLE = Facts(
    moment=Moment.PROVING,
    words="Yellow light came on after the car wash",
    system="brake_control",
    concluded=True,
    component="hub",
    component_system="brake_control",
    component_name="hub and sensor assembly",
    position="LR",
    failure_mode="open",
    correction="Hub and sensor assembly replaced",
    read_before=True,
    read_after=True,
    flags=(FLAG,),
    readings=(FOUND, AFTER),
    operations=1,
    clocked=True,
    road_tests=1,
    road_test_long_enough=True,
    units=(UNIT,),
    photos=("fault", "plate", "odometer"),
    odometer_out=True,
    authorised=True,
)
EMPTY = Facts(moment=Moment.TAKEN_IN, words="")


def keys(facts: Facts, wants: Wants = ALL) -> list[str]:
    return [one.key for one in needs(facts, wants)]


def test_a_whole_job_lacks_nothing() -> None:
    assert keys(WHOLE) == []


CASES = [
    ({"words": "check"}, "words"),
    ({"words": "Lamp on"}, "words"),
    ({"concluded": False, "component": "", "failure_mode": ""}, "cause"),
    ({"failure_mode": ""}, "cause"),
    ({"no_fault_found": True}, "cause"),
    ({"system": "power_steering"}, "system"),
    ({"read_before": False}, "flags-before"),
    ({"read_after": False}, "flags-after"),
    ({"flags": (FLAG, replace(FLAG, after=True))}, "flags-after"),
    ({"flags": (replace(FLAG, points_at=(("pump", ""),)),)}, "pointer"),
    ({"flags": (replace(FLAG, points_at=(("hub", "RR"),)),)}, "pointer"),
    ({"flags": (replace(FLAG, points_at=()),)}, "pointer"),
    ({"readings": (AFTER,)}, "condemned"),
    ({"readings": (replace(FOUND, tied=False), AFTER)}, "condemned"),
    ({"readings": (replace(FOUND, position="RR"), AFTER)}, "condemned"),
    ({"readings": (replace(FOUND, component="pump"), AFTER)}, "condemned"),
    ({"readings": (replace(FOUND, source=False), AFTER)}, "condemned"),
    ({"readings": (replace(FOUND, conditions=False), AFTER)}, "condemned"),
    ({"readings": (replace(FOUND, verdict="within"), AFTER)}, "condemned"),
    ({"readings": (FOUND,)}, "readings-after"),
    ({"readings": (FOUND, replace(AFTER, verdict="outside"))}, "readings-after"),
    ({"readings": (FOUND, replace(AFTER, position="RR"))}, "readings-after"),
    ({"correction": " "}, "correction"),
    ({"correction": "Did it"}, "correction-names"),
    ({"operations": 0}, "operation"),
    ({"clocked": False}, "clock"),
    ({"units": (replace(UNIT, serial_off=""),)}, "serials"),
    ({"units": (replace(UNIT, serial_on=""),)}, "serials"),
    ({"units": (replace(UNIT, tag=""),)}, "part"),
    ({"units": (replace(UNIT, kept=False),)}, "part"),
    ({"units": (replace(UNIT, held_until=date(2026, 11, 30)),)}, "part"),
    ({"road_test_long_enough": False}, "road-test"),
    ({"photos": ("plate", "odometer")}, "photo-fault"),
    ({"photos": ("reading", "odometer")}, "photo-plate"),
    ({"photos": ("fault", "plate")}, "photo-odometer"),
    ({"odometer_out": False}, "odometer"),
    ({"authorised": False}, "authority"),
]


@pytest.mark.parametrize(("change", "key"), CASES)
def test_one_thing_less_is_one_thing_missing(change: dict[str, object], key: str) -> None:
    facts = replace(WHOLE, **change)  # type: ignore[arg-type]
    assert key in keys(facts)
    said = next(one.sentence for one in needs(facts, ALL) if one.key == key)
    assert said.endswith(".")
    assert said[0].isupper()


def test_a_flag_carries_the_cause_where_no_limit_is_known_and_the_line_says_so() -> None:
    facts = replace(WHOLE, limit_known=False, readings=())
    line = next(one for one in checked(facts, ALL) if one.key == "condemned")
    assert line.given
    assert "no limit" in line.name
    assert "C0045" in line.name
    assert "condemned" in keys(replace(facts, flags=()))
    looked = next(one for one in checked(replace(facts, flags=(), looks=1), ALL))
    assert looked.given
    # With a limit known, a flag does not stand in for the reading.
    assert "condemned" in keys(replace(facts, limit_known=True))


def test_a_payer_that_wants_less_is_shown_less() -> None:
    facts = replace(WHOLE, photos=(), clocked=False, units=(replace(UNIT, serial_off="", tag=""),))
    assert keys(facts, Wants(serials=False, part=False)) == []
    assert set(keys(facts)) >= {"photo-fault", "clock", "serials", "part"}


def test_early_on_what_cannot_be_given_yet_is_for_later() -> None:
    lines = checked(EMPTY, ALL)
    later = {one.key for one in lines if one.later}
    assert {"cause", "correction", "flags-after", "road-test", "serials"} <= later
    assert {one.key for one in lines if not one.later and one.need} == {
        "words",
        "photo-fault",
        "photo-plate",
        "photo-odometer",
    }
    in_repair = replace(EMPTY, moment=Moment.REPAIR)
    assert "cause" not in {one.key for one in checked(in_repair, ALL) if one.later}


@given(st.sampled_from(list(Moment)), st.text(max_size=30), st.booleans(), st.booleans())
def test_whatever_is_known_every_line_stands_once(
    moment: Moment, words: str, concluded: bool, limit_known: bool
) -> None:
    facts = replace(EMPTY, moment=moment, words=words, concluded=concluded, limit_known=limit_known)
    found = [one.key for one in checked(facts, ALL)]
    assert len(found) == len(set(found))
    # One more fact never makes the same line missing anew.
    more = replace(facts, read_before=True, authorised=True, operations=1, odometer_out=True)
    assert set(keys(more)) <= set(keys(facts))
