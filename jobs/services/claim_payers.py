"""Who is asked to pay: added, changed, and retired when nobody is to ask them any more."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import F

from jobs.models import ClaimPayer
from jobs.queries.claim_payers import ASKED
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

COLUMNS = (
    "name",
    "kind",
    "make",
    "supplier",
    "account",
    "address",
    "days_are",
    "file_days",
    "again_days",
    "hold_days",
    "handling_percent",
    "pays_tax",
    "wants_photos",
    "wants_clock",
    "wants_serials",
    "wants_part",
)
_TAKEN = "A payer of that name is in the list. Give this one a name of its own."


@transaction.atomic
def add(actor: Actor, *, act: UUID, given: Mapping[str, object]) -> ClaimPayer:
    """Put a payer in the list. Raises Refusal for a name that is taken or a kind that pays
    nothing to the workshop."""
    acts.claim(actor, act, "add claim payer", sent=sorted(given.items()))
    must(actor, Permit.MANAGE_WORKSHOP)
    columns = _checked(given)
    try:
        with transaction.atomic():
            row: ClaimPayer = ClaimPayer.objects.create(workshop=actor.workshop, **columns)
    except IntegrityError as error:
        raise Refusal(_TAKEN, field="name") from error
    _say(actor, row, f"added {row} to those who are asked to pay")
    return row


@transaction.atomic
def change(
    actor: Actor, *, act: UUID, payer: ClaimPayer, revision: int, given: Mapping[str, object]
) -> None:
    """Raises Clash when somebody changed it meanwhile. Claims that were sent stay as they are."""
    acts.claim(actor, act, "change claim payer", about=payer, sent=sorted(given.items()))
    must(actor, Permit.MANAGE_WORKSHOP)
    columns = _checked(given)
    try:
        with transaction.atomic():
            _write(payer, revision, columns)
    except IntegrityError as error:
        raise Refusal(_TAKEN, field="name") from error
    payer.refresh_from_db()
    _say(actor, payer, f"changed how {payer} is asked to pay")


@transaction.atomic
def retire(actor: Actor, *, act: UUID, payer: ClaimPayer, revision: int, retired: bool) -> None:
    """Take a payer out of the choice, or put it back. Its claims stay."""
    acts.claim(actor, act, "retire claim payer", about=payer)
    must(actor, Permit.MANAGE_WORKSHOP)
    _write(payer, revision, {"retired": retired})
    done = "took out of the choice" if retired else "put back into the choice"
    _say(actor, payer, f"{done}: {payer}")


def _write(payer: ClaimPayer, revision: int, columns: Mapping[str, object]) -> None:
    rows = ClaimPayer.objects.filter(pk=payer.pk, revision=revision)
    if not rows.update(revision=F("revision") + 1, **columns):
        raise Clash("Somebody changed this payer meanwhile. The page shows it as it is now.")


def _checked(given: Mapping[str, object]) -> dict[str, object]:
    if given["kind"] not in ASKED:
        raise Refusal("Choose as what this payer pays.", field="kind")
    if not str(given["name"]).strip():
        raise Refusal("Give the payer a name.", field="name")
    if not 0 <= Decimal(str(given["handling_percent"])) <= 100:
        raise Refusal("Type a percentage from 0 to 100.", field="handling_percent")
    return {name: given[name] for name in COLUMNS}


def _say(actor: Actor, row: ClaimPayer, words: str) -> None:
    log.write(actor, kind="claim", subject_kind="claim_payer", subject_id=row.pk, words=words)
