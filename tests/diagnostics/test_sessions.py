"""Opening a session on a vehicle, and what it may hold."""

from __future__ import annotations

from uuid import uuid4

import pytest

from diagnostics.models import CatalogueVersion, Session
from diagnostics.services import sessions
from shop import clock
from shop.actor import Actor
from shop.errors import AlreadyDone
from shop.models import LogEntry
from tests.asserts import refused
from tests.diagnostics.at_the_bay import a_reading
from tests.factories import a_session, a_vehicle, the_pages


def test_a_session_keeps_the_newest_pages_of_the_day_it_was_opened(ines: Actor) -> None:
    vehicle = a_vehicle(ines)
    first = a_session(ines, vehicle=vehicle)
    old = the_pages("PL2")
    new = CatalogueVersion.objects.create(
        platform=old.platform, number=2, digest="x", title="Corrected", loaded_at=clock.now()
    )
    second = a_session(ines, vehicle=vehicle)
    first.refresh_from_db()
    assert (first.version, second.version) == (old, new)


def test_a_vehicle_that_no_page_knows_gets_the_general_ones_where_nothing_is_judged(
    ines: Actor,
) -> None:
    general = the_pages("GEN")
    session = a_session(ines, vehicle=a_vehicle(ines, platform=None))
    assert session.version == general


def test_without_any_pages_values_are_kept_all_the_same(ines: Actor) -> None:
    the_pages("PL2")
    session = a_session(ines, vehicle=a_vehicle(ines, platform=None))
    assert session.version is None
    assert a_reading(ines, session).verdict == "not_judged"


def test_the_same_sending_opens_one_session(ines: Actor) -> None:
    vehicle, act = a_vehicle(ines), uuid4()
    sessions.open_session(ines, vehicle=vehicle, act=act)
    with pytest.raises(AlreadyDone):
        sessions.open_session(ines, vehicle=vehicle, act=act)
    assert Session.objects.count() == 1


def test_the_parts_counter_may_not_open_one_and_the_technician_may(
    ines: Actor, nuri: Actor
) -> None:
    vehicle = a_vehicle(ines)
    with refused(says="technician or the service manager"):
        sessions.open_session(nuri, vehicle=vehicle, act=uuid4())
    assert sessions.open_session(ines, vehicle=vehicle, act=uuid4()).opened_by == ines.user


def test_every_record_is_a_line_of_the_story_in_the_persons_name(ines: Actor) -> None:
    session = a_session(ines)
    a_reading(ines, session, value="OL")
    line = LogEntry.objects.filter(subject_kind="session", subject_id=session.pk).latest("pk")
    assert (line.by, line.kind) == (ines.user, "reading")
    assert line.words == ("measured wheel-speed sensor resistance, left rear: over range, outside")
