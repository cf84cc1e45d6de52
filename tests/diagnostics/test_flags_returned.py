"""Keeping what a module returned, byte for byte, and comparing two readings."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnostics.codes.status import Said
from diagnostics.codes.two_byte import from_bytes
from diagnostics.codes.uds import Answer, Record, encode
from diagnostics.models import FlagRead, Session, StoredFlag
from diagnostics.queries.evidence import candidates
from diagnostics.queries.flags import meaning_of
from diagnostics.queries.memory import comparison
from diagnostics.queries.picture import picture
from diagnostics.services import flags
from diagnostics.services.flags import FlagInput
from shop.actor import Actor
from shop.models import Act
from tests.asserts import counted, refused, text_of
from tests.cast import client_of
from tests.factories import a_session

REAR = "59 02 FF 40 45 13 2F"


def returned(
    actor: Actor, session: Session, text: str = REAR, module: str = "brake control"
) -> FlagRead:
    return flags.record_returned(actor, session, act=uuid4(), module=module, returned=text)


def post(actor: Actor, name: str, session: Session, **typed: Any) -> str:
    address = reverse(name, args=[actor.workshop.slug, session.pk])
    sent = {"act": uuid4(), "module": "brake control"} | typed
    response = client_of(actor).post(address, sent, headers={"HX-Request": "true"})
    assert response.status_code == 200
    return text_of(response)


def test_every_flag_is_kept_with_its_byte_and_the_text_as_it_was_pasted(ines: Actor) -> None:
    text = "59 02 7F 40 45 13 2F C1 21 00 08 91 34 11 89"
    read = returned(ines, a_session(ines), f"  {text}\n")

    assert (read.raw, read.availability, read.none_stored) == (text, 0x7F, False)
    kept = read.flags.values_list("code", "failure_type", "status", "status_byte", "lamp_requested")
    assert list(kept) == [
        ("C0045", "13", "present_now", 0x2F, False),
        ("U0121", "00", "stored", 0x08, False),
        # Bit 7 is set, and the module says that it does not support it.
        ("B1134", "11", "present_now", 0x89, False),
    ]
    known, _lost, unknown = read.flags.all()
    assert known.definition is not None
    assert known.definition.position == "LR"
    assert unknown.definition is None


def test_no_record_is_none_stored(ines: Actor) -> None:
    read = returned(ines, a_session(ines), "59 02 FF")
    assert read.none_stored
    assert not read.flags.exists()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("59 02 FF 40 35 13", "40 35 13 is left over"),
        ("7F 19 22", "conditions are not right"),
        ("19 02 09", "is what the tester asked"),
        ("C0045", "is a code as the tester shows it"),
    ],
)
def test_what_cannot_be_read_with_certainty_is_refused_and_nothing_kept(
    ines: Actor, text: str, says: str
) -> None:
    session = a_session(ines)
    with refused(field="returned", says=says):
        returned(ines, session, text)
    assert not FlagRead.objects.exists()
    assert not Act.objects.filter(kind="flags returned").exists()
    returned(ines, session)
    assert FlagRead.objects.count() == 1


@pytest.mark.parametrize(
    ("byte", "status", "judged"),
    [
        (0x2F, "present_now", "bad"),
        (0x2E, "this_drive", "bad"),
        (0x28, "stored", "bad"),
        (0x24, "pending", "bad"),
        (0x20, "since_clear", "bad"),
        (0x50, "not_tested", "unknown"),
        (0x40, "quiet", "good"),
    ],
)
def test_the_status_follows_from_the_byte_and_carries_as_much_as_it_can(
    ines: Actor, byte: int, status: str, judged: str
) -> None:
    session = a_session(ines)
    read = returned(ines, session, f"59 02 FF 40 45 13 {byte:02X}")
    assert read.flags.get().status == status
    [fact] = candidates(session)
    assert fact.judged == judged
    assert len(picture(session).flags_standing) == (status != "quiet")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=20)
@given(st.integers(0, 0xFF), st.integers(0, 0xFF))
def test_a_kept_flag_says_its_bits_as_they_were_returned(
    ines: Actor, byte: int, availability: int
) -> None:
    session = a_session(ines)
    record = Record(from_bytes(0x40, 0x45, 0x13), byte, availability)
    returned(ines, session, encode(Answer(availability, (record,))).hex())
    [seen] = picture(session).memory[-1].flags
    assert seen.bits == record.bits
    assert (seen.not_known == "") == (availability == 0xFF)
    assert all(bit.said is not Said.NO for bit in seen.bits if not bit.status.mask & availability)


def test_the_testers_own_symptom_is_no_failure_type(ines: Actor) -> None:
    """Section 2's trap: suffixes 06, 0F, 18 and 5A of a wheel-speed list are no failure types."""
    session = a_session(ines)
    read = flags.record_read(
        ines,
        session,
        act=uuid4(),
        module="brake control",
        flags=[FlagInput("C0045-18"), FlagInput("C0050")],
        symptom=True,
    )
    first, second = read.flags.all()
    assert (first.symptom, second.symptom) == (True, False)
    assert [flag.failure for flag in picture(session).memory[-1].flags] == ["", ""]

    as_type = meaning_of(session.version, "C0045-18")
    as_symptom = meaning_of(session.version, "C0045-18", symptom=True)
    assert as_type is not None
    assert as_symptom is not None
    assert as_type.failure == "circuit current below threshold"
    assert as_symptom.failure == ""
    assert as_symptom.text == as_type.text


def test_what_was_pasted_is_said_before_it_is_kept(ines: Actor) -> None:
    session = a_session(ines)
    said = post(ines, "flags-preview", session, returned="59 02 0F 40 45 13 2F D1 AB 5A 08")

    assert "2 flags returned" in said
    assert "Left rear wheel speed" in said
    assert "circuit open" in said
    assert "status 2F" in said
    assert "A network code, controlled by the vehicle maker" in said
    assert "Not known, because the module does not support it: not tested since clear" in said
    assert "Keep what was returned" in said
    assert not FlagRead.objects.exists()

    said = post(ines, "flags-returned", session, returned="59 02 0F 40 45 13 2F")
    assert FlagRead.objects.count() == 1
    assert "Its eight status bits" in said


def test_what_cannot_be_read_stays_in_its_field_with_the_reason(ines: Actor) -> None:
    session = a_session(ines)
    for name in ("flags-preview", "flags-returned"):
        said = post(ines, name, session, returned="59 02 FF 40 35 13")
        assert "40 35 13 is left over" in said
        assert "59 02 FF 40 35 13</textarea>" in said
        assert "Keep what was returned" not in said
    assert "Paste what the tester returned." in post(ines, "flags-preview", session)
    assert not FlagRead.objects.exists()


def test_without_scripts_the_whole_sheet_shows_it(ines: Actor) -> None:
    session = a_session(ines)
    address = reverse("flags-preview", args=[ines.workshop.slug, session.pk])
    page = text_of(client_of(ines).post(address, {"act": uuid4(), "module": "every"}))
    assert "Flags stored in the modules" in page
    typed = {"act": uuid4(), "module": "every", "returned": REAR}
    page = text_of(client_of(ines).post(address, typed))
    assert "1 flag returned" in page


def test_the_same_number_for_another_session_is_refused_and_not_called_done(ines: Actor) -> None:
    one, other, act = a_session(ines), a_session(ines), uuid4()
    post(ines, "flags-returned", one, returned=REAR, act=act)
    post(ines, "flags-returned", one, returned=REAR, act=act)
    assert FlagRead.objects.count() == 1
    said = post(ines, "flags-returned", other, returned=REAR, act=act)
    assert "this form was sent once already for something else" in said
    assert not FlagRead.objects.filter(session=other).exists()


def test_an_act_from_before_things_were_kept_is_still_the_same_act(ines: Actor) -> None:
    session, act = a_session(ines), uuid4()
    post(ines, "flags-returned", session, returned=REAR, act=act)
    Act.objects.update(subject="")
    said = post(ines, "flags-returned", session, returned=REAR, act=act)
    assert "for something else" not in said


# ---- two readings side by side ----


def changes(session: Session, *pks: int) -> dict[str, str]:
    found = comparison(picture(session).memory, *pks)
    assert found is not None
    return {row.code: row.change.value for row in found.rows}


def test_before_and_after_say_what_was_cleared_came_back_and_is_new(ines: Actor) -> None:
    session = a_session(ines)
    assert comparison(picture(session).memory) is None
    returned(ines, session, "59 02 FF 40 45 13 2F 40 35 13 28")
    assert comparison(picture(session).memory) is None
    flags.clear(ines, session, act=uuid4(), module="brake control")
    returned(ines, session, "59 02 FF 40 35 13 2F C1 21 00 08")

    assert changes(session) == {
        "C0035-13": "came_back",
        "U0121-00": "new",
        "C0045-13": "cleared",
    }


def test_any_two_readings_can_be_chosen(ines: Actor) -> None:
    session = a_session(ines)
    first = returned(ines, session)
    second = returned(ines, session)
    third = returned(ines, session, "59 02 FF", module="power steering")

    assert changes(session, second.pk, first.pk) == {"C0045-13": "still_there"}
    # Another module's empty answer clears nothing.
    assert changes(session, first.pk, third.pk) == {"C0045-13": "not_read"}
    page = text_of(
        client_of(ines).get(
            reverse("flags", args=[ines.workshop.slug, session.pk]),
            {"before": first.pk, "after": third.pk},
        )
    )
    assert "The first is of brake control, the second of power steering" in page
    assert "not read again" in page


def test_what_a_clearing_leaves_untested_is_not_called_cleared(ines: Actor) -> None:
    session = a_session(ines)
    returned(ines, session)
    flags.clear(ines, session, act=uuid4(), module="")
    returned(ines, session, "59 02 FF 40 45 13 50")
    assert changes(session) == {"C0045-13": "not_tested"}


def test_a_preview_and_a_sheet_cost_the_same_for_many_flags_as_for_one(ines: Actor) -> None:
    session = a_session(ines)
    many = "59 02 FF" + "".join(f"40{n:02X}132F" for n in range(1, 60))
    browser = client_of(ines)
    sheet = reverse("flags", args=[ines.workshop.slug, session.pk])
    costs: list[tuple[int, int]] = []
    for text in (REAR, many):
        typed = {"act": uuid4(), "module": "every", "returned": text}
        with counted() as preview:
            browser.post(f"{sheet}preview/", typed, headers={"HX-Request": "true"})
        for _ in range(2):
            returned(ines, session, text)
        with counted() as shown:
            browser.get(sheet)
        costs.append((len(preview), len(shown)))
    assert costs[0] == costs[1]
    assert StoredFlag.objects.count() == 2 + 2 * 59
