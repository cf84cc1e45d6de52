"""Reading and clearing the modules' memories."""

from __future__ import annotations

from uuid import uuid4

import pytest

from diagnostics.models import FlagRead, Session
from diagnostics.queries.flags import meaning_of
from diagnostics.queries.picture import picture
from diagnostics.services import flags
from diagnostics.services.flags import FlagInput
from shop import clock
from shop.actor import Actor
from tests.asserts import refused
from tests.factories import a_session


def read(actor: Actor, session: Session, *codes: str) -> FlagRead:
    given = [FlagInput(code) for code in codes]
    return flags.record_read(
        actor, session, act=uuid4(), module="brake control", flags=given, none_stored=not given
    )


def test_a_code_is_kept_normalised_with_what_the_pages_say_of_it(ines: Actor) -> None:
    stored = read(ines, a_session(ines), "c 0045-13").flags.get()
    assert (stored.code, stored.failure_type) == ("C0045", "13")
    assert stored.definition is not None
    assert stored.definition.position == "LR"


def test_a_code_that_no_page_knows_is_kept_without_words(ines: Actor) -> None:
    stored = read(ines, a_session(ines), "C1ABC").flags.get()
    assert stored.definition is None


def test_several_codes_with_their_statuses_are_one_reading_out(ines: Actor) -> None:
    given = [FlagInput("C0045", "present_now", True), FlagInput("C0050", "pending")]
    made = flags.record_read(
        ines, a_session(ines), act=uuid4(), module="Brake  control", flags=given
    )
    assert made.module == "Brake control"
    kept = made.flags.values_list("code", "status", "lamp_requested")
    assert list(kept) == [("C0045", "present_now", True), ("C0050", "pending", False)]


def test_none_stored_is_a_result_too(ines: Actor) -> None:
    made = read(ines, a_session(ines))
    assert made.none_stored
    assert not made.flags.exists()


@pytest.mark.parametrize(
    ("codes", "none_stored", "field", "says"),
    [
        ([], False, "flags", "tick “none stored”"),
        (["C0045"], True, "none_stored", "either"),
        (["C0045", "c0045"], False, "flags", "twice"),
        (["COO45"], False, "flags", "did you mean"),
        (["X0045"], False, "flags", "begin with"),
    ],
)
def test_it_refuses_what_is_no_reading_out_and_takes_one_that_is(
    ines: Actor, codes: list[str], none_stored: bool, field: str, says: str
) -> None:
    session = a_session(ines)
    with refused(field=field, says=says):
        flags.record_read(
            ines,
            session,
            act=uuid4(),
            module="brake control",
            flags=[FlagInput(code) for code in codes],
            none_stored=none_stored,
        )
    read(ines, session, "C0045")
    assert FlagRead.objects.count() == 1


def test_the_same_code_with_another_failure_type_is_another_flag(ines: Actor) -> None:
    assert read(ines, a_session(ines), "C0045-13", "C0045-12").flags.count() == 2


def test_it_refuses_to_clear_what_was_never_read_and_clears_what_was(ines: Actor) -> None:
    session = a_session(ines)
    with refused(field="module", says="before clearing"):
        flags.clear(ines, session, act=uuid4(), module="brake control")
    read(ines, session, "C0045")
    flags.clear(ines, session, act=uuid4(), module="Brake control")
    assert picture(session).flags_standing == ()
    assert [flag.code for flag in picture(session).flags_as_found] == ["C0045"]


def test_clearing_every_module_leaves_nothing_standing_in_any(ines: Actor) -> None:
    session = a_session(ines)
    read(ines, session, "C0045")
    flags.clear(ines, session, act=uuid4(), module="")
    assert picture(session).flags_standing == ()
    read(ines, session, "C0045")
    assert [flag.code for flag in picture(session).flags_standing] == ["C0045"]


def test_it_refuses_to_add_to_a_closed_session_with_its_day(ines: Actor) -> None:
    session = a_session(ines)
    read(ines, session, "C0045")
    session.closed_at = clock.now()
    with refused(says="was closed on"):
        read(ines, session)
    session.closed_at = None
    read(ines, session)
    assert FlagRead.objects.count() == 2


def test_the_meaning_of_a_code_is_said_while_it_is_typed(ines: Actor) -> None:
    session = a_session(ines)
    known = meaning_of(session.version, "c0045-13")
    assert known is not None
    assert known.place == "left rear"
    assert known.failure == "circuit open"
    assert "hub-and-sensor" in known.points_at[0]
    unknown = meaning_of(session.version, "C1ABC")
    assert unknown is not None
    assert "vehicle maker" in unknown.text
    wrong = meaning_of(session.version, "COO45")
    assert wrong is not None
    assert wrong.suggestion == "C0045"
    assert meaning_of(session.version, "  ") is None
