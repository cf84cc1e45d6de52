"""Clocking on and off: one thing at a time, late sendings, midnight, forgotten clocks."""

from __future__ import annotations

from datetime import timedelta
from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import call_command
from pytest_django.fixtures import Settings

from jobs.clocked import Span, by_day
from jobs.models import ClockEntry, Complaint, RepairOrder
from jobs.queries.clock import running_of
from jobs.services import clock as clocking
from jobs.services.clock_end import evening
from jobs.stages import Move
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone, Refusal
from shop.models import LogEntry, Membership
from shop.roles import Role
from tests.cast import person
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew, go
from tests.jobs.clocking import LONDON, NIGHTS, WEEK, at, off, on, set_week

Ended = ClockEntry.Ended
HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def local_time(settings: Settings) -> None:
    settings.TIME_ZONE = "Europe/London"


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    set_week(crew.manager, crew.technician, WEEK)
    return a_repair_order(
        crew.manager,
        technician=crew.technician,
        complaints=[a_complaint_line(), a_complaint_line(words="It pulls to the left")],
    )


@pytest.fixture
def first(order: RepairOrder) -> Complaint:
    return order.complaints.get(line=1)


@pytest.fixture
def second(order: RepairOrder) -> Complaint:
    return order.complaints.get(line=2)


def length(entry: ClockEntry) -> timedelta:
    assert entry.counted_to is not None
    return Span(entry.counted_from, entry.counted_to).length


def test_on_and_off_are_one_entry_and_two_lines_of_the_log(crew: Crew, first: Complaint) -> None:
    on(crew.technician, first, at(25, 9))
    entry = off(crew.technician, first, at(25, 10, 23))
    assert (entry.ended, length(entry)) == (Ended.PERSON, timedelta(minutes=83))
    said = list(
        LogEntry.objects.filter(kind="clock").order_by("pk").values_list("words", flat=True)
    )
    assert said == ["clocked on to complaint 1", "clocked off complaint 1"]


def test_other_work_ends_the_former(crew: Crew, first: Complaint, second: Complaint) -> None:
    before = on(crew.technician, first, at(25, 9))
    after = on(crew.technician, second, at(25, 9, 40))
    before.refresh_from_db()
    assert (before.ended, before.ended_at) == (Ended.OTHER_WORK, at(25, 9, 40))
    assert after.ended_at is None


def test_one_person_is_on_one_thing_across_workshops(
    crew: Crew, first: Complaint, pim: Actor
) -> None:
    Membership.objects.create(
        workshop=pim.workshop, user=crew.technician.user, role=Role.TECHNICIAN
    )
    there = Actor(crew.technician.user, pim.workshop, frozenset({Role.TECHNICIAN}))
    other = a_repair_order(pim).complaints.get()
    here = on(crew.technician, first, at(25, 9))
    on(there, other, at(25, 10))
    here.refresh_from_db()
    assert here.ended == Ended.OTHER_WORK
    assert ClockEntry.objects.filter(ended_at__isnull=True).count() == 1


def test_two_tablets_at_once_are_one_clock(crew: Crew, first: Complaint) -> None:
    one = on(crew.technician, first, at(25, 9))
    other = on(crew.technician, first, at(25, 9, 1))
    assert one.pk == other.pk
    assert ClockEntry.objects.count() == 1


def test_the_same_sending_twice_is_one_act(crew: Crew, first: Complaint) -> None:
    act = uuid4()
    clocking.on(crew.technician, act=act, complaint=first)
    with pytest.raises(AlreadyDone):
        clocking.on(crew.technician, act=act, complaint=first)


def test_only_a_technician_clocks_on(crew: Crew, first: Complaint) -> None:
    with pytest.raises(Refusal, match="Only a technician"):
        on(crew.manager, first, at(25, 9))


def test_off_what_does_not_run(crew: Crew, first: Complaint, tomas: Actor) -> None:
    with pytest.raises(Refusal, match="does not run on complaint 1"):
        off(crew.technician, first, at(25, 9))
    on(crew.technician, first, at(25, 9))
    with pytest.raises(Refusal, match="does not run"):
        off(tomas, first, at(25, 9, 30))
    off(crew.technician, first, at(25, 10))
    with pytest.raises(Refusal, match="off since 10:00"):
        off(crew.technician, first, at(25, 10, 5))


def test_a_closed_job_takes_no_clock_and_stops_those_that_run(
    crew: Crew, first: Complaint, order: RepairOrder
) -> None:
    entry = on(crew.technician, first, clock.now() - timedelta(minutes=5))
    go(crew.manager, order, Move.VOID, "taken in twice")
    entry.refresh_from_db()
    assert entry.ended in {Ended.MANAGER, Ended.SHIFT}
    with pytest.raises(Refusal, match=r"off since|ended at"):  # its tablet still shows it running
        clocking.off(crew.technician, act=uuid4(), complaint=first)
    with pytest.raises(Refusal, match=r"is void.*under Hours"):
        on(crew.technician, first, clock.now())
    assert ClockEntry.objects.count() == 1


# ---- what a tablet sends late ----


def test_a_late_sending_counts_from_when_it_was_pressed(crew: Crew, first: Complaint) -> None:
    on(crew.technician, first, at(25, 12), pressed=at(25, 10, 2))
    entry = off(crew.technician, first, at(25, 12), pressed=at(25, 11, 30))
    assert length(entry) == timedelta(minutes=88)
    said = LogEntry.objects.filter(kind="clock").order_by("pk").values_list("words", flat=True)
    assert said[0] == "clocked on to complaint 1 at 10:02, sent at 12:00"


@pytest.mark.parametrize(
    ("pressed", "why"),
    [(at(25, 3), "more than twelve hours"), (at(25, 15, 30), "clock is ahead")],
)
def test_what_cannot_be_true_counts_from_now(
    crew: Crew, first: Complaint, pressed: object, why: str
) -> None:
    entry = on(crew.technician, first, at(25, 15, 10), pressed=pressed)  # type: ignore[arg-type]
    assert entry.started_at == at(25, 15, 10)
    assert LogEntry.objects.filter(kind="clock", words__contains=why).exists()


def test_a_late_on_ends_where_other_work_began(
    crew: Crew, first: Complaint, second: Complaint
) -> None:
    on(crew.technician, second, at(25, 11))
    late = on(crew.technician, first, at(25, 12), pressed=at(25, 10))
    assert (late.started_at, late.ended_at) == (at(25, 10), at(25, 11))
    assert late.ended == Ended.OTHER_WORK
    running = running_of(crew.technician.user)
    assert running is not None
    assert running.entry.complaint == second


def test_a_late_on_and_off_before_other_work_are_both_kept(
    crew: Crew, first: Complaint, second: Complaint
) -> None:
    """One tablet without network, then another with it: the waiting pair comes last."""
    on(crew.technician, second, at(25, 13))
    on(crew.technician, first, at(25, 14), pressed=at(25, 9))
    entry = off(crew.technician, first, at(25, 14), pressed=at(25, 10))
    assert (entry.ended, length(entry)) == (Ended.PERSON, HOUR)
    with pytest.raises(Refusal, match="off since 10:00"):
        off(crew.technician, first, at(25, 14), pressed=at(25, 11))


def test_a_late_on_does_not_run_over_its_shift_to_other_work(
    crew: Crew, first: Complaint, second: Complaint
) -> None:
    on(crew.technician, second, at(25, 21))
    late = on(crew.technician, first, at(25, 22), pressed=at(25, 16))
    assert (late.ended, late.ended_at) == (Ended.SHIFT, at(25, 17))


def test_a_late_on_takes_nothing_from_what_is_clocked(
    crew: Crew, first: Complaint, second: Complaint
) -> None:
    on(crew.technician, second, at(25, 9))
    off(crew.technician, second, at(25, 10))
    late = on(crew.technician, first, at(25, 12), pressed=at(25, 9, 30))
    assert late.started_at == at(25, 10)
    on(crew.technician, second, at(25, 13))
    with pytest.raises(Refusal, match="09:40 is clocked already"):
        on(crew.technician, first, at(25, 14), pressed=at(25, 9, 40))


def test_a_late_off_puts_right_what_was_caught(crew: Crew, first: Complaint) -> None:
    on(crew.technician, first, at(25, 16))
    with clock.at(at(25, 20)):
        assert evening() == 1
    entry = off(crew.technician, first, at(25, 21), pressed=at(25, 16, 40))
    assert (entry.ended, length(entry)) == (Ended.PERSON, timedelta(minutes=40))


def test_a_late_on_cuts_what_was_caught_meanwhile(
    crew: Crew, first: Complaint, second: Complaint
) -> None:
    caught = on(crew.technician, first, at(25, 15))
    with clock.at(at(25, 18)):
        evening()
    late = on(crew.technician, second, at(25, 19), pressed=at(25, 16))
    caught.refresh_from_db()
    assert (caught.ended, caught.ended_at) == (Ended.OTHER_WORK, at(25, 16))
    assert (late.ended, late.ended_at) == (Ended.SHIFT, at(25, 17))


# ---- midnight, and the change of the clocks ----


def test_over_midnight_and_into_the_next_month(crew: Crew, first: Complaint) -> None:
    set_week(crew.manager, crew.technician, NIGHTS)
    on(crew.technician, first, at(30, 23, 15))
    entry = off(crew.technician, first, at(1, 1, 15, month=12))
    assert entry.ended == Ended.PERSON
    days = by_day(Span(entry.counted_from, entry.counted_to or at(1, 2)), LONDON)
    assert list(days.values()) == [timedelta(minutes=45), timedelta(minutes=75)]


def test_over_both_changes_of_the_clocks(crew: Crew, first: Complaint) -> None:
    """22:30 to 05:30 is seven hours by the wall, six on 29 March and eight on 25 October 2026."""
    set_week(crew.manager, crew.technician, NIGHTS)
    on(crew.technician, first, at(28, 22, 30, month=3))
    assert length(off(crew.technician, first, at(29, 5, 30, month=3))) == 6 * HOUR
    on(crew.technician, first, at(24, 22, 30, month=10))
    assert length(off(crew.technician, first, at(25, 5, 30, month=10))) == 8 * HOUR
    on(crew.technician, first, at(25, 1, 50, month=10))


def test_on_and_off_within_the_hour_that_was_twice(crew: Crew, first: Complaint) -> None:
    set_week(crew.manager, crew.technician, NIGHTS)
    on(crew.technician, first, at(25, 1, 50, month=10))
    entry = off(crew.technician, first, at(25, 1, 10, month=10, fold=1))
    assert length(entry) == timedelta(minutes=20)


# ---- forgotten ----


def test_the_evening_catches_after_the_grace_and_only_once(crew: Crew, first: Complaint) -> None:
    entry = on(crew.technician, first, at(25, 16))
    with clock.at(at(25, 17, 30)):
        assert evening() == 0
    out = StringIO()
    with clock.at(at(25, 17, 31)):
        call_command("evening", stdout=out)
        call_command("evening", stdout=out)
    entry.refresh_from_db()
    assert (entry.ended, entry.ended_at) == (Ended.SHIFT, at(25, 17))
    assert "1 clock was ended" in out.getvalue()
    assert "No clock was forgotten" in out.getvalue()
    assert LogEntry.objects.filter(words__startswith="did not clock off").count() == 1


def test_clocking_on_next_morning_catches_what_was_forgotten(
    crew: Crew, first: Complaint, second: Complaint
) -> None:
    forgotten = on(crew.technician, first, at(24, 15))
    on(crew.technician, second, at(25, 8))
    forgotten.refresh_from_db()
    assert (forgotten.ended, forgotten.ended_at) == (Ended.SHIFT, at(24, 17))


def test_off_pressed_long_after_the_shift_ends_at_the_shift(crew: Crew, first: Complaint) -> None:
    on(crew.technician, first, at(25, 15))
    entry = off(crew.technician, first, at(25, 19))
    assert (entry.ended, entry.ended_at) == (Ended.SHIFT, at(25, 17))
    with pytest.raises(Refusal, match="ended at 17:00, the end of the shift"):
        off(crew.technician, first, at(25, 19, 1))


def test_off_within_the_grace_counts_in_full(crew: Crew, first: Complaint) -> None:
    on(crew.technician, first, at(25, 15))
    entry = off(crew.technician, first, at(25, 17, 25))
    assert (entry.ended, length(entry)) == (Ended.PERSON, timedelta(minutes=145))


def test_a_person_who_left_does_not_clock_on_for_ever(crew: Crew, first: Complaint) -> None:
    entry = on(crew.technician, first, at(25, 9))
    Membership.objects.filter(user=crew.technician.user).delete()
    with clock.at(at(25, 10)):
        assert evening() == 1
    entry.refresh_from_db()
    assert (entry.ended, entry.ended_at) == (Ended.SHIFT, at(25, 10))


def test_the_evening_looks_after_everybody(crew: Crew, first: Complaint) -> None:
    set_week(crew.manager, crew.technician, WEEK)
    others = [person(crew.manager.workshop, f"T{n} R.", Role.TECHNICIAN) for n in range(3)]
    for other in others:
        set_week(crew.manager, other, WEEK)
        on(other, first, at(25, 9))
    with clock.at(at(25, 23)):
        assert evening() == 3
        assert evening() == 0
