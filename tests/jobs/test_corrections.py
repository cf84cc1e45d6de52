"""The service manager puts the clock right: both values stay, and no time counts twice."""

from __future__ import annotations

from datetime import datetime, timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.fixtures import Settings

from jobs.models import ClockEntry, Complaint, RepairOrder
from jobs.queries.hours import to_look_at
from jobs.services import corrections
from jobs.services.clock_end import evening
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import LogEntry, Membership
from shop.roles import Role
from tests.cast import client_of
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew
from tests.jobs.clocking import WEEK, at, off, on, set_week

Ended = ClockEntry.Ended


@pytest.fixture(autouse=True)
def local_time(settings: Settings) -> None:
    settings.TIME_ZONE = "Europe/London"


@pytest.fixture
def order(crew: Crew) -> RepairOrder:
    set_week(crew.manager, crew.technician, WEEK)
    lines = [a_complaint_line(), a_complaint_line(words="It pulls to the left")]
    return a_repair_order(crew.manager, technician=crew.technician, complaints=lines)


@pytest.fixture
def first(order: RepairOrder) -> Complaint:
    return order.complaints.get(line=1)


@pytest.fixture
def entry(crew: Crew, first: Complaint) -> ClockEntry:
    """Forgotten on Monday at three in the afternoon, and caught."""
    row = on(crew.technician, first, at(23, 15))
    with clock.at(at(23, 20)):
        evening()
    row.refresh_from_db()
    return row


def correct(
    actor: Actor,
    entry: ClockEntry,
    start: datetime,
    end: datetime,
    *,
    seen: int = 0,
    because: str = "He told me",
    now: datetime = at(24, 9),  # noqa: B008
) -> ClockEntry:
    with clock.at(now):
        return corrections.correct(
            actor,
            act=uuid4(),
            entry=entry,
            seen=seen,
            counted_from=start,
            counted_to=end,
            because=because,
        )


def test_both_values_are_kept(crew: Crew, entry: ClockEntry) -> None:
    assert list(to_look_at(crew.manager)) == [entry]
    after = correct(crew.manager, entry, at(23, 15), at(23, 16, 20))
    assert (after.started_at, after.ended_at, after.ended) == (at(23, 15), at(23, 17), Ended.SHIFT)
    assert (after.counted_from, after.counted_to) == (at(23, 15), at(23, 16, 20))
    kept = after.corrections.get()
    assert (kept.by, kept.because) == (crew.manager.user, "He told me")
    assert not to_look_at(crew.manager)
    again = correct(crew.manager, entry, at(23, 15), at(23, 16, 30), seen=1)
    assert again.corrections.count() == 2
    said = LogEntry.objects.filter(words__startswith="set the time of").order_by("-pk").first()
    assert said is not None
    assert said.words.endswith("on complaint 1 to 23 Nov 15:00-16:30")
    assert said.reason == "He told me"


def test_right_as_it_stands_is_a_correction_too(crew: Crew, entry: ClockEntry) -> None:
    correct(crew.manager, entry, entry.counted_from, at(23, 17), because="He worked on until then")
    assert not to_look_at(crew.manager)


def test_a_running_clock_is_ended_by_it(crew: Crew, first: Complaint) -> None:
    row = on(crew.technician, first, at(24, 9))
    after = correct(crew.manager, row, at(24, 9), at(24, 10), now=at(24, 11))
    assert (after.ended, after.ended_at) == (Ended.MANAGER, at(24, 10))


@pytest.mark.parametrize(
    ("start", "end", "because", "says"),
    [
        (at(23, 15), at(23, 16), "  ", "Say why"),
        (at(23, 16), at(23, 16), "x", "end has to be after"),
        (at(23, 16), at(23, 15), "x", "end has to be after"),
        (at(23, 15), at(24, 9, 1), "x", "lies in the future"),
        (at(22, 15), at(23, 15), "x", "more than 16 hours"),
    ],
)
def test_times_that_cannot_be(
    crew: Crew, entry: ClockEntry, start: datetime, end: datetime, because: str, says: str
) -> None:
    with pytest.raises(Refusal, match=says):
        correct(crew.manager, entry, start, end, because=because)
    entry.refresh_from_db()
    assert entry.counted_to == at(23, 17)
    assert not entry.corrections.exists()


def test_no_time_counts_twice(crew: Crew, entry: ClockEntry, order: RepairOrder) -> None:
    second = order.complaints.get(line=2)
    on(crew.technician, second, at(23, 10))
    off(crew.technician, second, at(23, 21), pressed=at(23, 12))
    with pytest.raises(Refusal, match=r"complaint 2, 23 Nov from 10:00 to 12:00\. Correct that"):
        correct(crew.manager, entry, at(23, 11, 59), at(23, 16))
    correct(crew.manager, entry, at(23, 12), at(23, 16))
    running = on(crew.technician, second, at(24, 8))
    with pytest.raises(Refusal, match="still running"):
        correct(crew.manager, entry, at(23, 18), at(24, 8, 30), seen=1)
    assert running.ended_at is None


def test_a_strangers_workshop_is_not_told_of(crew: Crew, entry: ClockEntry, pim: Actor) -> None:
    Membership.objects.create(
        workshop=pim.workshop, user=crew.technician.user, role=Role.TECHNICIAN
    )
    there = Actor(crew.technician.user, pim.workshop, frozenset({Role.TECHNICIAN}))
    other = a_repair_order(pim)
    on(there, other.complaints.get(), at(23, 19))
    off(there, other.complaints.get(), at(23, 20))
    with pytest.raises(Refusal, match="in another workshop") as said:
        correct(crew.manager, entry, at(23, 15), at(23, 19, 30))
    assert other.number not in said.value.sentence


def test_two_managers_at_once(crew: Crew, entry: ClockEntry) -> None:
    stale = ClockEntry.objects.get(pk=entry.pk)
    correct(crew.manager, entry, at(23, 15), at(23, 16))
    with pytest.raises(Clash, match="meanwhile"):
        correct(crew.manager, stale, at(23, 15), at(23, 16, 30))
    entry.refresh_from_db()
    assert entry.counted_to == at(23, 16)


def test_off_pressed_while_it_is_corrected_changes_nothing(
    crew: Crew, entry: ClockEntry, first: Complaint
) -> None:
    correct(crew.manager, entry, at(23, 15), at(23, 16))
    with pytest.raises(Refusal, match="tell the service manager"):
        off(crew.technician, first, at(23, 21), pressed=at(23, 16, 40))
    entry.refresh_from_db()
    assert entry.counted_to == at(23, 16)


def test_only_the_manager_corrects(crew: Crew, entry: ClockEntry, vera: Actor) -> None:
    for actor in (crew.technician, crew.counter, vera):
        with pytest.raises(Refusal, match="Only the service manager corrects"):
            correct(actor, entry, at(23, 15), at(23, 16))


def test_time_that_nobody_clocked(crew: Crew, first: Complaint, order: RepairOrder) -> None:
    """Also on a job that is closed: the clock was forgotten before it was."""
    RepairOrder.objects.filter(pk=order.pk).update(stage=Stage.RELEASED, closed_at=at(24, 12))

    def add(user: Actor, start: datetime, end: datetime) -> ClockEntry:
        with clock.at(at(24, 13)):
            return corrections.add(
                crew.manager,
                act=uuid4(),
                user=user.user,
                complaint=first,
                counted_from=start,
                counted_to=end,
                because="The tablet was flat",
            )

    row = add(crew.technician, at(24, 9), at(24, 10))
    assert (row.ended, row.corrections.count()) == (Ended.MANAGER, 1)
    with pytest.raises(Refusal, match="was clocked on"):
        add(crew.technician, at(24, 9, 30), at(24, 11))
    with pytest.raises(Refusal, match="not a technician"):
        add(crew.counter, at(24, 9), at(24, 10))


# ---- as it is typed ----


def send(browser: Client, entry: ClockEntry, start: str, end: str, **more: str) -> str:
    url = reverse("clock-correct", args=["quay-street", entry.pk])
    data = {"act": str(uuid4()), "seen": "0", "because": "He told me"}
    answer = browser.post(url, data | {"counted_from": start, "counted_to": end} | more)
    entry.refresh_from_db()
    return "" if answer.status_code == 303 else answer.content.decode()


@pytest.fixture
def in_october(crew: Crew, first: Complaint) -> ClockEntry:
    """On the night on which the clocks went back, 25 October 2026."""
    row = on(crew.technician, first, at(25, 0, 30, month=10))
    return off(crew.technician, first, at(25, 3, month=10)) or row


def test_a_time_that_was_twice_is_asked_about(crew: Crew, in_october: ClockEntry) -> None:
    browser = client_of(crew.manager)
    said = send(browser, in_october, "2026-10-25T00:30", "2026-10-25T01:30")
    assert "so 01:30 was twice. Choose which one it was." in said
    assert "Which of the two" in said
    assert not in_october.corrections.exists()
    more = {"counted_to_which": "second"}
    assert not send(browser, in_october, "2026-10-25T00:30", "2026-10-25T01:30", **more)
    assert in_october.counted_to is not None
    assert in_october.counted_to - in_october.counted_from == timedelta(hours=2)
    page = browser.get(reverse("clock-entry", args=["quay-street", in_october.pk]))
    assert 'value="second"' in page.content.decode()


def test_a_time_that_never_was_gets_a_sentence(crew: Crew, in_october: ClockEntry) -> None:
    said = send(client_of(crew.manager), in_october, "2026-03-29T00:30", "2026-03-29T01:30")
    assert "The clocks went forward that night and left 01:30 out." in said


@pytest.mark.parametrize("typed", ["", "yesterday", "0001-01-01T00:00", "9999-12-31T23:59"])
def test_a_date_that_is_none(crew: Crew, in_october: ClockEntry, typed: str) -> None:
    said = send(client_of(crew.manager), in_october, typed, "2026-10-25T02:30")
    assert "errorlist" in said
    assert not in_october.corrections.exists()


def test_a_clash_shows_what_counts_now(crew: Crew, entry: ClockEntry) -> None:
    browser = client_of(crew.manager)
    assert not send(browser, entry, "2026-11-23T15:00", "2026-11-23T16:00")
    said = send(browser, entry, "2026-11-23T15:00", "2026-11-23T16:30")
    assert "Somebody corrected this entry meanwhile" in said
    assert 'value="2026-11-23T16:00"' in said
    assert 'name="seen" value="1"' in said
