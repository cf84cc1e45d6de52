"""A part that came off is tagged and kept; why, where and until when may be put right."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import F

from jobs.holding import Why
from jobs.models import HeldPart, Replacement, Supplier
from jobs.queries.estimate import assembly_text
from jobs.queries.held_facts import Facts, facts_of, supplier_of
from jobs.services.numbers import next_number
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import LARGEST
from shop.roles import Permit, Role
from shop.services import acts, log
from shop.services.rights import must

State = HeldPart.State
LONGEST_PLACE = 40
FARTHEST = timedelta(days=3 * 365)


def hold(actor: Actor, replacement: Replacement, *, why: str = "", place: str = "") -> HeldPart:
    """Tag what came off, within the act that recorded the fitting.

    Without `why`, it is what follows from the job (jobs.holding.proposed).
    """
    facts = facts_of(replacement)
    chosen = _a_why(why, "kept_as") if why else facts.proposal.why
    workshop = replacement.workshop
    serial = next_number(workshop, "tag")
    held: HeldPart = HeldPart.objects.create(
        workshop=workshop,
        serial=serial,
        number=f"{workshop.order_prefix}T{serial}",
        replacement=replacement,
        why=chosen,
        place=_a_place(place, "kept_at"),
        held_at=clock.now(),
        held_by=actor.user,
        hold_until=clock.today() + timedelta(days=_days(chosen, facts)),
        supplier=supplier_of(replacement) if chosen is Why.CORE else None,
        credit_expected=facts.core_credit if chosen is Why.CORE else None,
    )
    say(actor, held, f"tagged {assembly_text(replacement)} as {held}, {held.get_why_display()}")
    return held


@dataclass(frozen=True, slots=True)
class HeldInput:
    """What may be put right about a part that is held."""

    why: str
    place: str
    hold_until: date
    asked_for_on: date | None = None
    supplier: Supplier | None = None
    credit_expected: Decimal | None = None
    because: str = ""


@transaction.atomic
def change(actor: Actor, *, act: UUID, held: HeldPart, revision: int, given: HeldInput) -> HeldPart:
    """Another reason, place or day. Raises Clash when somebody changed it since.

    An earlier day needs the service manager and a reason: somebody may still ask for the part.
    """
    acts.claim(actor, act, "change held part", about=held)
    must(actor, Permit.HOLD_PARTS)
    row = take(actor, held)
    must_be_held(row)
    fields = _checked(actor, row, given)
    changed = [
        _said(words, name, fields)
        for name, words in _WORDS.items()
        if getattr(row, name) != fields[name]
    ]
    write(actor, row, revision, fields)
    if changed:
        say(actor, row, f"changed tag {row}: {', '.join(changed)}", given.because.strip())
    row.refresh_from_db()
    return row


_WORDS = {
    "why": "kept as",
    "place": "place",
    "hold_until": "held until",
    "asked_for_on": "to be sent by",
    "supplier": "supplier",
    "credit_expected": "credit expected",
}


def take(actor: Actor, held: HeldPart) -> HeldPart:
    """The row, locked, with the job it belongs to."""
    row: HeldPart = (
        HeldPart.objects.of(actor)
        .select_for_update(of=("self",))
        .select_related("replacement__component", "replacement__complaint__order", "workshop")
        .get(pk=held.pk)
    )
    return row


def must_be_held(row: HeldPart) -> None:
    if row.state != State.HELD:
        raise Clash(
            f"{row} is {row.get_state_display()} since "
            f"{row.closed_at:%d.%m.%Y}; nothing was recorded."
        )


def write(actor: Actor, row: HeldPart, revision: int, fields: dict[str, object]) -> None:
    """Keep the fields if nobody changed the tag since `revision`. Raises Clash."""
    rows = HeldPart.objects.of(actor).filter(pk=row.pk, revision=revision)
    if not rows.update(revision=F("revision") + 1, **fields):
        raise Clash(
            f"Somebody changed tag {row} since you opened this page. It now shows how it stands."
        )


def say(actor: Actor, row: HeldPart, words: str, reason: str = "") -> None:
    """One line in the story of the job that the part came off in."""
    order = row.replacement.complaint.order_id
    log.write(
        actor, kind="held", subject_kind="order", subject_id=order, words=words, reason=reason
    )


def a_reason(because: str, sentence: str, field: str = "because") -> str:
    """`because` without its margins. Raises Refusal with `sentence` when there is none."""
    kept = because.strip()
    if not kept:
        raise Refusal(sentence, field=field)
    return kept[:200]


def _days(why: Why, facts: Facts) -> int:
    return facts.terms.keep_replaced_days if why is Why.SCRAP else facts.terms.hold_days


def _a_why(why: str, field: str = "why") -> Why:
    try:
        return Why(why)
    except ValueError:
        raise Refusal("Choose why it is kept.", field=field) from None


def _a_place(place: str, field: str = "place") -> str:
    kept = place.strip()
    if len(kept) > LONGEST_PLACE:
        raise Refusal(f"At most {LONGEST_PLACE} characters.", field=field)
    return kept


def _checked(actor: Actor, row: HeldPart, given: HeldInput) -> dict[str, object]:
    why = _a_why(given.why)
    today = clock.today()
    _check_days(actor, row, given, today)
    if given.supplier is not None and given.supplier.workshop_id != actor.workshop.pk:
        raise Refusal("That supplier is not one of this workshop’s.", field="supplier")
    expected = given.credit_expected
    if expected is not None and not 0 <= expected <= LARGEST:
        raise Refusal("A credit is not below zero.", field="credit_expected")
    if why is Why.CORE and expected is None:
        expected = facts_of(row.replacement).core_credit
    return {
        "why": why.value,
        "place": _a_place(given.place),
        "hold_until": given.hold_until,
        "asked_for_on": given.asked_for_on,
        "supplier": given.supplier,
        "credit_expected": expected if why is Why.CORE else None,
    }


def _check_days(actor: Actor, row: HeldPart, given: HeldInput, today: date) -> None:
    for name, day in (("hold_until", given.hold_until), ("asked_for_on", given.asked_for_on)):
        if day is not None and day > today + FARTHEST:
            raise Refusal("That is years away. Check the year.", field=name)
    if given.asked_for_on not in (None, row.asked_for_on) and given.asked_for_on < today:
        raise Refusal("That day has passed. By when must it be sent?", field="asked_for_on")
    if row.asked_for_on and given.asked_for_on is None:
        a_reason(given.because, "Say who took the request back, and when.")
    if given.hold_until < row.hold_until:
        if Role.MANAGER not in actor.roles:
            raise Refusal(
                f"It is held until {row.hold_until:%d.%m.%Y}; only the service manager makes "
                "that earlier.",
                field="hold_until",
            )
        a_reason(given.because, "Say why it need not be held so long.")


def _said(words: str, name: str, fields: dict[str, object]) -> str:
    value = fields[name]
    if name == "why":
        value = HeldPart.Why(str(value)).label
    if isinstance(value, date):
        value = f"{value:%d.%m.%Y}"
    return f"{words} {value}" if value not in (None, "") else f"no {words} any more"
