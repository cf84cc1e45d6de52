"""Putting assemblies on an estimate, from the catalogue or by hand, and taking them off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from diagnostics.models import Component
from jobs.models import Complaint, RepairOrder, Replacement
from jobs.queries.estimate_choices import operations_for, our_price
from jobs.queries.living_parts import parts_of
from jobs.queries.priced import assembly_text, place_words
from jobs.services.estimate_change import changeable, changed, say
from jobs.services.labour import put_on
from jobs.stages import Stage
from jobs.supersession import CataloguePart, Living, living_number, living_parts, normal
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

State = Replacement.State


@dataclass(frozen=True, slots=True)
class _Chosen:
    number: str
    supplier: str
    price: Decimal
    cost: Decimal | None = None
    condition: str = Replacement.Condition.NEW


@transaction.atomic
def accept_proposal(actor: Actor, *, act: UUID, complaint: Complaint) -> Replacement:
    """Put the concluded component on the estimate, with the catalogue's labour for it.

    Raises Refusal when nothing was concluded, it is there already, or the catalogue has no
    living part number for it.
    """
    acts.claim(actor, act, "accept proposal", about=complaint)
    must(actor, Permit.ESTIMATE)
    order = changeable(complaint, adds_assembly=True)
    conclusion = complaint.conclusion
    if conclusion is None or conclusion.component is None:
        raise Refusal("No component was concluded for this complaint; choose the assembly below.")
    component, position = conclusion.component, conclusion.position
    _check_once(order, component, position)
    chosen = _of_catalogue(actor, component, position)
    row = _propose(actor, order, complaint, component, position, chosen)
    for operation in operations_for(order, [component.pk]):
        there = complaint.labour.filter(operation=operation, withdrawn=False)
        if not there.filter(position__in=["", position]).exists():
            put_on(actor, complaint, operation=operation, position=position)
    changed(order, complaint)
    return row


@transaction.atomic
def add_assembly(
    actor: Actor,
    *,
    act: UUID,
    complaint: Complaint,
    component: Component,
    position: str = "",
    part_number: str = "",
    supplier: str = "",
    price: Decimal | None = None,
    condition: str = "",
) -> Replacement:
    """Put an assembly on the estimate, from the catalogue or with a number typed by hand.

    Raises Refusal for a place the component does not have, and for a number of our own without
    a price. A superseded number that is typed becomes the one that lives.
    """
    acts.claim(actor, act, "add assembly", about=complaint)
    must(actor, Permit.ESTIMATE)
    order = changeable(complaint, adds_assembly=True)
    _check_place(component, position)
    _check_once(order, component, position)
    if condition and condition not in Replacement.Condition.values:
        raise Refusal("Choose whether the part is new, rebuilt, reconditioned or used.")
    if price is not None and price < 0:
        raise Refusal("The price is below zero. Type it without the minus sign.", field="price")
    if not part_number.strip():
        chosen = _of_catalogue(actor, component, position)
    else:
        chosen = _by_hand(actor, component, position, part_number, supplier, price)
    chosen = _Chosen(
        chosen.number,
        supplier.strip() or chosen.supplier,
        chosen.price if price is None else price,
        chosen.cost,
        condition or chosen.condition,
    )
    row = _propose(actor, order, complaint, component, position, chosen)
    changed(order, complaint)
    return row


@transaction.atomic
def remove_assembly(actor: Actor, *, act: UUID, replacement: Replacement) -> None:
    """Take a proposed assembly off again. One that was ordered is cancelled at the Counter."""
    acts.claim(actor, act, "remove assembly", about=replacement)
    must(actor, Permit.ESTIMATE)
    order = changeable(replacement.complaint)
    taken_off = Replacement.objects.filter(pk=replacement.pk, state=State.PROPOSED).update(
        state=State.CANCELLED,
        state_since=clock.now(),
        cancelled_because="taken off the estimate",
    )
    if not taken_off:
        raise Refusal(
            f"{replacement.component} is {replacement.get_state_display()} already; "
            "the Counter can cancel it with a reason."
        )
    changed(order, replacement.complaint)
    say(actor, order.pk, f"took {assembly_text(replacement)} off the estimate")


def _check_once(order: RepairOrder, component: Component, position: str) -> None:
    """A place holds one unit; an assembly already fitted on this job may be replaced again."""
    there = (
        Replacement.objects.filter(complaint__order=order, component=component, position=position)
        .exclude(state__in=[State.CANCELLED, State.FITTED])
        .select_related("complaint")
        .first()
    )
    if there is not None:
        where = place_words(position)
        raise Refusal(
            f"The {component}{', ' + where if where else ''}, is on the estimate already, "
            f"for complaint {there.complaint.line}.",
            field="assembly",
        )


def _check_place(component: Component, position: str) -> None:
    places = component.positions.split()
    if places and position not in places:
        names = ", ".join(place_words(place) for place in places)
        raise Refusal(f"Choose the place of the {component}: {names}.", field="assembly")
    if not places and position:
        raise Refusal(
            f"There is one {component} on the vehicle; it has no place.", field="assembly"
        )


def _of_catalogue(actor: Actor, component: Component, position: str) -> _Chosen:
    parts = parts_of([component.pk]).get(component.pk, ())
    living = living_parts(parts, position)
    if not living:
        raise Refusal(
            f"The catalogue has no part number for the {component}. "
            "Type the number, the supplier and the price.",
            field="part_number",
        )
    return _asked(actor, parts, living[0])


def _asked(actor: Actor, parts: Sequence[CataloguePart], living: Living) -> _Chosen:
    asked = our_price(actor.workshop, parts, living)
    if asked is None:
        return _Chosen(living.number, living.supplier, living.price)
    return _Chosen(living.number, living.supplier, asked.price, asked.cost, asked.condition)


def _by_hand(
    actor: Actor,
    component: Component,
    position: str,
    part_number: str,
    supplier: str,
    price: Decimal | None,
) -> _Chosen:
    parts = parts_of([component.pk]).get(component.pk, ())
    known = living_number([part for part in parts if part.position in (position, "")], part_number)
    if known is not None:
        return _asked(actor, parts, known)
    elsewhere = [part for part in parts if normal(part.number) == normal(part_number)]
    if elsewhere:
        place = place_words(elsewhere[0].position)
        raise Refusal(
            f"{part_number.strip()} is the number for the {place}, not for this place.",
            field="part_number",
        )
    if price is None:
        raise Refusal(
            f"The catalogue does not know {part_number.strip()}. Type its price too.",
            field="price",
        )
    if not supplier.strip():
        raise Refusal("Type the supplier, so that the Counter can order it.", field="supplier")
    return _Chosen(part_number.strip().upper(), supplier.strip(), price)


def _propose(
    actor: Actor,
    order: RepairOrder,
    complaint: Complaint,
    component: Component,
    position: str,
    chosen: _Chosen,
) -> Replacement:
    waits_already = Stage(order.stage) is Stage.AWAITING_ASSEMBLY
    row: Replacement = Replacement.objects.create(
        workshop=actor.workshop,
        complaint=complaint,
        component=component,
        position=position,
        part_number=chosen.number,
        supplier=chosen.supplier,
        price=chosen.price,
        cost=chosen.cost,
        condition=chosen.condition,
        state=State.TO_ORDER if waits_already else State.PROPOSED,
        state_since=clock.now(),
    )
    say(actor, order.pk, f"put {assembly_text(row)} on the estimate")
    return row
