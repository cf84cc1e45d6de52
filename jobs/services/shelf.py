"""The shelf: a part put on record, what is known of it, and counting what lies there."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import F

from jobs.models import StockItem, Supplier
from jobs.queries.shelf import lies_for
from jobs.services import stock
from jobs.supersession import normal
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import LARGEST, cents
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

MOST = 99_999
MOST_TO_KEEP = 9_999
LONGEST = 40


@dataclass(frozen=True, slots=True)
class Particulars:
    """What is kept of a part besides its count."""

    text: str
    place: str = ""
    unit_cost: Decimal = Decimal(0)
    target: int = 0
    supplier: Supplier | None = None


@transaction.atomic
def add(
    actor: Actor, *, act: UUID, part_number: str, counted: int, particulars: Particulars
) -> StockItem:
    """Put a part on record that the shelf did not know, with what was counted of it.

    Raises Refusal beside the number when it is known already.
    """
    acts.claim(actor, act, "add to stock", sent=(part_number, counted, particulars))
    must(actor, Permit.MANAGE_STOCK)
    key = normal(part_number)
    if not key:
        raise Refusal("Type the part number.", field="part_number")
    if len(part_number.strip().upper()) > LONGEST or len(key) > LONGEST:
        raise Refusal(f"At most {LONGEST} characters, in capitals.", field="part_number")
    _check_count(counted)
    fields = _checked(actor, particulars)
    if StockItem.objects.of(actor).filter(part_key=key).exists():
        raise Refusal(
            f"{part_number.strip().upper()} is on record already. Look for it and count it there.",
            field="part_number",
        )
    item = stock.item_for(actor.workshop, part_number, text=particulars.text.strip())
    if item.revision != 1 or item.on_hand:
        raise Clash(f"Somebody else has just put {item} on record. Look for it and count it there.")
    StockItem.objects.filter(pk=item.pk).update(
        counted_at=clock.now(), revision=F("revision") + 1, **fields
    )
    if counted:
        item.unit_cost = particulars.unit_cost
        stock.post(actor, item, stock.Kind.COUNTED, counted, because="opening count")
    _log(actor, item, f"put {item} on record, {counted} on the shelf")
    item.refresh_from_db()
    return item


@transaction.atomic
def change(
    actor: Actor, *, act: UUID, item: StockItem, revision: int, particulars: Particulars
) -> StockItem:
    """Another place, cost, level or supplier. Raises Clash when somebody changed it since."""
    acts.claim(actor, act, "change stock", about=item)
    must(actor, Permit.MANAGE_STOCK)
    fields = _checked(actor, particulars)
    before = StockItem.objects.of(actor).select_related("supplier").get(pk=item.pk)
    changed = [words for name, words in _WORDS.items() if getattr(before, name) != fields.get(name)]
    _write(actor, item, revision, fields)
    if changed:
        _log(actor, item, f"changed {item}: {', '.join(changed)}")
    item.refresh_from_db()
    return item


@transaction.atomic
def count(
    actor: Actor,
    *,
    act: UUID,
    item: StockItem,
    revision: int,
    seen: int,
    counted: int,
    because: str = "",
) -> StockItem:
    """What lies there was counted; a difference is a movement with its reason.

    `seen` is what the page said lay there. Raises Clash when a piece moved or somebody else
    counted since, and Refusal when fewer were counted than lie there for jobs.
    """
    acts.claim(actor, act, "count stock", about=item)
    must(actor, Permit.MANAGE_STOCK)
    _check_count(counted)
    row: StockItem = StockItem.objects.of(actor).select_for_update().get(pk=item.pk)
    if row.on_hand != seen:
        raise Clash(
            f"Meanwhile the record went from {seen} to {row.on_hand}: a piece came or went. "
            "Count once more."
        )
    difference = counted - row.on_hand
    if difference and not because.strip():
        raise Refusal(
            f"The record says {row.on_hand}. Count again, or say why it differs.", field="because"
        )
    if counted < row.reserved:
        raise Refusal(_kept_for_jobs(row), field="counted")
    _write(actor, row, revision, {"counted_at": clock.now()})
    if difference:
        stock.post(actor, row, stock.Kind.COUNTED, difference, because=because.strip())
    how = f"{difference:+d} against the record" if difference else "as on record"
    _log(actor, row, f"counted {counted} of {row}, {how}", because.strip())
    row.refresh_from_db()
    return row


_WORDS = {
    "text": "what it is",
    "place": "place",
    "unit_cost": "cost",
    "target": "level to keep",
    "supplier": "supplier",
}


def _kept_for_jobs(row: StockItem) -> str:
    jobs = dict.fromkeys(str(one.complaint.order) for one in lies_for(row))
    names = ", ".join(jobs) or "jobs"
    return (
        f"{row.reserved} lie here for {names}. Take a piece off its job first, "
        "with the reason, or count again."
    )


def _check_count(counted: int) -> None:
    if not 0 <= counted <= MOST:
        raise Refusal(f"Count from 0 to {MOST}.", field="counted")


def _checked(actor: Actor, given: Particulars) -> dict[str, object]:
    text, place = given.text.strip(), given.place.strip()
    if not text:
        raise Refusal("Say in a few words what it is.", field="text")
    if len(text) > 160 or len(place) > LONGEST:
        raise Refusal("That is too long.", field="place" if len(place) > LONGEST else "text")
    if not 0 <= given.unit_cost <= LARGEST:
        raise Refusal("A cost is not below zero.", field="unit_cost")
    if not 0 <= given.target <= MOST_TO_KEEP:
        raise Refusal(f"Keep from 0 to {MOST_TO_KEEP}.", field="target")
    if given.supplier is not None and given.supplier.workshop_id != actor.workshop.pk:
        raise Refusal("That supplier is not one of this workshop’s.", field="supplier")
    return {
        "text": text,
        "place": place,
        "unit_cost": cents(given.unit_cost),
        "target": given.target,
        "supplier": given.supplier,
    }


def _write(actor: Actor, item: StockItem, revision: int, fields: dict[str, object]) -> None:
    rows = StockItem.objects.of(actor).filter(pk=item.pk, revision=revision)
    if not rows.update(revision=F("revision") + 1, **fields):
        raise Clash(
            f"Somebody changed or counted {item} since you opened this page. "
            "It now shows how it stands."
        )


def _log(actor: Actor, item: StockItem, words: str, reason: str = "") -> None:
    log.write(
        actor, kind="stock", subject_kind="stock", subject_id=item.pk, words=words, reason=reason
    )
