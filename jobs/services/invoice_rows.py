"""An invoice held while something is paid on it or credited, and what it then leaves owed."""

from __future__ import annotations

from jobs.models import Invoice
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import total


def lock(actor: Actor, invoice: Invoice) -> Invoice:
    """The row as it stands; whoever else pays or credits it waits until this act is kept."""
    held: Invoice | None = (
        Invoice.objects.of(actor)
        .select_for_update(of=("self",))
        .select_related("workshop", "order")
        .filter(pk=invoice.pk)
        .first()
    )
    if held is None:
        raise Refusal("That invoice is not in this workshop’s list.")
    return held


def settle(invoice: Invoice) -> None:
    """Keep what moves on: paid, credited, owed, and whether it stands. The invoice is held."""
    invoice.owed = total((invoice.customer_total, -invoice.credited, -invoice.paid))
    invoice.save(update_fields=["paid", "credited", "owed", "standing"])
