"""Sublet work and materials on an estimate: named, by quantity, each with its price."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.models import Complaint, OtherLine
from jobs.services.estimate_change import changeable, changed, say
from jobs.vague_names import is_vague
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import format_amount, line_total
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

MOST = Decimal("99999.99")  # of one thing, and what one row can hold
DEAREST = Decimal("99999999.99")
LARGEST_LINE = Decimal("99999999.99")


@transaction.atomic
def add_other(
    actor: Actor,
    *,
    act: UUID,
    complaint: Complaint,
    kind: str,
    text: str,
    quantity: Decimal,
    unit_price: Decimal,
    supplier: str = "",
    cost: Decimal | None = None,
) -> OtherLine:
    """Put sublet work or a material on a complaint: `quantity` at `unit_price` each.

    Raises Refusal for a name that says nothing ("shop supplies"), for a quantity or price that
    is none, and for sublet work without who does it.
    """
    acts.claim(actor, act, "add other line", about=complaint)
    must(actor, Permit.ESTIMATE)
    order = changeable(complaint)
    words, supplier = text.strip(), supplier.strip()
    if kind not in OtherLine.Kind.values:
        raise Refusal("Choose whether it is sublet work or a material.", field="kind")
    _check_name(words)
    if kind == OtherLine.Kind.SUBLET and not supplier:
        raise Refusal("Type who does the work outside the workshop.", field="supplier")
    _check_sums(quantity, unit_price, cost, actor.workshop.currency)
    line = OtherLine.objects.create(
        complaint=complaint,
        kind=kind,
        text=words[:200],
        supplier=supplier[:80],
        quantity=quantity,
        unit_price=unit_price,
        cost=cost,
    )
    changed(order, complaint)
    amount = format_amount(line_total(quantity, unit_price), actor.workshop.currency)
    say(actor, order.pk, f"put {words}, {amount}, on the estimate")
    return line


@transaction.atomic
def remove_other(actor: Actor, *, act: UUID, line: OtherLine) -> None:
    acts.claim(actor, act, "remove other line", about=line)
    must(actor, Permit.ESTIMATE)
    order = changeable(line.complaint)
    taken_off = OtherLine.objects.filter(pk=line.pk, withdrawn=False).update(withdrawn=True)
    if not taken_off:
        raise Refusal("That line was taken off already. The page shows what is left.")
    changed(order, line.complaint)
    say(actor, order.pk, f"took {line.text} off the estimate")


def _check_name(words: str) -> None:
    if not words:
        raise Refusal("Say what it is, as it shall stand on the bill.", field="text")
    if is_vague(words):
        raise Refusal(
            f"“{words}” does not say what is charged. Name the material itself with its quantity, "
            "such as “brake fluid, glycol-ether, 0.5 litre”.",
            field="text",
        )


def _check_sums(
    quantity: Decimal, unit_price: Decimal, cost: Decimal | None, currency: str
) -> None:
    if not quantity.is_finite() or not 0 < quantity <= MOST:
        raise Refusal("Type a quantity above 0 and up to 99999.99.", field="quantity")
    if quantity != quantity.quantize(Decimal("0.01")):
        raise Refusal("Type the quantity with at most two decimals.", field="quantity")
    for amount, field in ((unit_price, "unit_price"), (cost, "cost")):
        if amount is not None and not (amount.is_finite() and 0 <= amount <= DEAREST):
            most = format_amount(DEAREST, currency)
            raise Refusal(f"Type an amount from 0 to {most}.", field=field)
    if line_total(quantity, unit_price) > LARGEST_LINE:
        most = format_amount(LARGEST_LINE, currency)
        raise Refusal(f"This line comes to more than {most}. Check both figures.", field="quantity")
