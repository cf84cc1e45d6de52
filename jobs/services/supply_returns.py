"""What goes back to a supplier: opened, sent, credited."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.models import StockItem, Supplier, SupplyLine, SupplyReturn
from jobs.services import part_rows, stock
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.money import cents, line_total
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

MOST_CREDIT = Decimal("999999999.99")


def send_back(
    actor: Actor, line: SupplyLine, why: str, quantity: int, unit_cost: Decimal, because: str
) -> SupplyReturn:
    """Pieces of this line that never became stock go back; their cost is to be credited."""
    return _open(
        actor,
        line.order.supplier,
        part_number=line.part_number,
        text=line.text,
        quantity=quantity,
        why=why,
        because=because,
        credit=line_total(quantity, unit_cost),
        line=line,
    )


def from_stock(
    actor: Actor,
    item: StockItem,
    supplier: Supplier,
    *,
    why: str,
    quantity: int,
    because: str,
    credit: Decimal | None = None,
    line: SupplyLine | None = None,
) -> SupplyReturn:
    """Pieces that lie free leave the shelf. Call within a transaction, with the item locked."""
    stock.post(actor, item, stock.Kind.RETURNED, -quantity, because=because, line=line)
    return _open(
        actor,
        supplier,
        part_number=item.part_number,
        text=item.text,
        quantity=quantity,
        why=why,
        because=because,
        credit=line_total(quantity, item.unit_cost) if credit is None else cents(credit),
        line=line,
    )


@transaction.atomic
def open_from_shelf(
    actor: Actor,
    *,
    act: UUID,
    item: StockItem,
    supplier: Supplier,
    quantity: int,
    because: str,
    credit_expected: Decimal | None = None,
) -> SupplyReturn:
    """Free pieces that nobody needs go back for credit.

    Raises Refusal for more than lies free, with how many lie there and are kept for jobs.
    """
    acts.claim(actor, act, "return from shelf", about=item)
    must(actor, Permit.ORDER_PARTS)
    if quantity < 1:
        raise Refusal("Type how many go back: one or more.", field="quantity")
    if credit_expected is not None and not 0 <= credit_expected <= MOST_CREDIT:
        raise Refusal("A credit is nought or more.", field="credit_expected")
    why = part_rows.reason(because, "the return")
    strange = {item.workshop_id, supplier.workshop_id} != {actor.workshop.pk}
    if strange:
        raise Refusal("That part or supplier is not in this workshop’s list any more.")
    held = StockItem.objects.select_for_update().get(pk=item.pk)
    opened = from_stock(
        actor,
        held,
        supplier,
        why=SupplyReturn.Why.NOT_NEEDED,
        quantity=quantity,
        because=why,
        credit=credit_expected,
    )
    _say(actor, opened, f"sets {opened.quantity} of {opened.part_number} aside for {supplier}", why)
    return opened


@transaction.atomic
def sent(actor: Actor, *, act: UUID, back: SupplyReturn, reference: str) -> None:
    """It has left the house, by this parcel or driver."""
    acts.claim(actor, act, "send return", about=back)
    must(actor, Permit.ORDER_PARTS)
    row = _take(actor, back)
    if row.sent_at:
        raise Clash(f"{row} was sent already.")
    row.sent_at, row.sent_reference = clock.now(), reference.strip()[:60]
    row.save(update_fields=["sent_at", "sent_reference"])
    by = f", {row.sent_reference}" if row.sent_reference else ""
    _say(actor, row, f"sent {row.quantity} of {row.part_number} back to {row.supplier}{by}")


@transaction.atomic
def credited(
    actor: Actor, *, act: UUID, back: SupplyReturn, amount: Decimal, credit_note: str
) -> None:
    """The supplier's credit is here; nought when he gives none, which closes it too."""
    acts.claim(actor, act, "credit return", about=back)
    must(actor, Permit.ORDER_PARTS)
    if not 0 <= amount <= MOST_CREDIT:
        raise Refusal("A credit is nought or more.", field="amount")
    row = _take(actor, back)
    if row.credited_at:
        raise Clash(f"The credit for {row} was recorded already.")
    if not row.sent_at:
        raise Refusal("It has not been sent yet: record that first, then the credit.")
    row.credit_received, row.credited_at = cents(amount), clock.now()
    row.credit_note = credit_note.strip()[:60]
    row.save(update_fields=["credit_received", "credited_at", "credit_note"])
    _say(
        actor,
        row,
        f"recorded {row.credit_received} credited by {row.supplier} for {row.quantity} of "
        f"{row.part_number}",
        f"expected were {row.credit_expected}"
        if row.credit_received != row.credit_expected
        else "",
    )


def _open(
    actor: Actor,
    supplier: Supplier,
    *,
    part_number: str,
    text: str,
    quantity: int,
    why: str,
    because: str,
    credit: Decimal,
    line: SupplyLine | None,
) -> SupplyReturn:
    opened: SupplyReturn = SupplyReturn.objects.create(
        workshop=supplier.workshop,
        supplier=supplier,
        line=line,
        part_number=part_number,
        text=text,
        quantity=quantity,
        why=why,
        because=because,
        opened_at=clock.now(),
        opened_by=actor.user,
        credit_expected=credit,
    )
    return opened


def _take(actor: Actor, back: SupplyReturn) -> SupplyReturn:
    row: SupplyReturn | None = (
        SupplyReturn.objects.of(actor)
        .select_for_update(of=("self",))
        .select_related("supplier")
        .filter(pk=back.pk)
        .first()
    )
    if row is None:
        raise Refusal("That return is not in this workshop’s list any more.")
    return row


def _say(actor: Actor, row: SupplyReturn, words: str, why: str = "") -> None:
    log.write(
        actor, kind="parts", subject_kind="return", subject_id=row.pk, words=words, reason=why
    )
