"""Putting an estimate together, and giving it. What was given is kept as it was said."""

from __future__ import annotations

from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import F

from diagnostics.models import Component, LabourOperation
from jobs.models import Complaint, Estimate, EstimateLine, How, LabourLine, RepairOrder, Replacement
from jobs.pricing import hours
from jobs.queries import estimate as queries
from jobs.queries.living_parts import parts_of
from jobs.stages import Stage
from jobs.supersession import Living, living_number, living_parts, normal
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.money import format_amount
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

MAY_CHANGE = frozenset({Stage.DIAGNOSING, Stage.AWAITING_AUTHORITY})
LONGEST = 400  # tenths of an hour on one line
LARGEST_TOTAL = Decimal("999999999.99")  # what an estimate's total can hold


@transaction.atomic
def accept_proposal(actor: Actor, *, act: UUID, complaint: Complaint) -> Replacement:
    """Put the concluded component on the estimate, with the catalogue's labour for it.

    Raises Refusal when nothing was concluded, it is there already, or the catalogue has no
    living part number for it.
    """
    acts.claim(actor, act, "accept proposal", about=complaint)
    must(actor, Permit.ESTIMATE)
    order = changeable(complaint)
    conclusion = complaint.conclusion
    if conclusion is None or conclusion.component is None:
        raise Refusal("No component was concluded for this complaint; choose the assembly below.")
    component, position = conclusion.component, conclusion.position
    _check_once(order, component, position)
    living = _from_catalogue(component, position)
    row = _propose(actor, complaint, component, position, living)
    for operation in queries.operations_for(order, [component.pk]):
        if not complaint.labour.filter(operation=operation, withdrawn=False).exists():
            _labour(actor, complaint, operation, operation.text, operation.tenths)
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
) -> Replacement:
    """Put an assembly on the estimate, from the catalogue or with a number typed by hand.

    Raises Refusal for a place the component does not have, and for a number of our own without
    a price. A superseded number that is typed becomes the one that lives.
    """
    acts.claim(actor, act, "add assembly", about=complaint)
    must(actor, Permit.ESTIMATE)
    order = changeable(complaint)
    _check_place(component, position)
    _check_once(order, component, position)
    if not part_number.strip():
        chosen = _from_catalogue(component, position)
    else:
        chosen = _by_hand(component, position, part_number, supplier, price)
    if price is not None or supplier.strip():
        chosen = Living(
            chosen.number,
            supplier.strip() or chosen.supplier,
            chosen.price if price is None else price,
            chosen.replaced,
        )
    return _propose(actor, complaint, component, position, chosen)


@transaction.atomic
def add_labour(
    actor: Actor,
    *,
    act: UUID,
    complaint: Complaint,
    operation: LabourOperation | None = None,
    text: str = "",
    tenths: int | None = None,
) -> LabourLine:
    """Labour on a complaint, at the workshop's rate: an operation, or own words and tenths.

    `tenths` may differ from the operation's allowance; the allowance stays in the catalogue.
    """
    acts.claim(actor, act, "add labour", about=complaint)
    must(actor, Permit.ESTIMATE)
    changeable(complaint)
    words = text.strip() or (operation.text if operation else "")
    if not words:
        raise Refusal("Choose an operation, or say in a few words what is done.", field="text")
    allowed = tenths if tenths is not None else (operation.tenths if operation else 0)
    if not 0 < allowed <= LONGEST:
        raise Refusal("Type the time in hours and tenths, from 0.1 to 40.0.", field="hours")
    return _labour(actor, complaint, operation, words, allowed)


@transaction.atomic
def remove_assembly(actor: Actor, *, act: UUID, replacement: Replacement) -> None:
    """Take a proposed assembly off again. One that was ordered is cancelled at the Counter."""
    acts.claim(actor, act, "remove assembly", about=replacement)
    must(actor, Permit.ESTIMATE)
    order = changeable(replacement.complaint)
    changed = Replacement.objects.filter(
        pk=replacement.pk, state=Replacement.State.PROPOSED
    ).update(
        state=Replacement.State.CANCELLED,
        state_since=clock.now(),
        cancelled_because="taken off the estimate",
    )
    if not changed:
        raise Refusal(
            f"{replacement.component} is {replacement.get_state_display()} already; "
            "the Counter can cancel it with a reason."
        )
    _answer_again(replacement.complaint)
    _log(actor, order, f"took {queries.assembly_text(replacement)} off the estimate")


@transaction.atomic
def remove_labour(actor: Actor, *, act: UUID, line: LabourLine) -> None:
    acts.claim(actor, act, "remove labour", about=line)
    must(actor, Permit.ESTIMATE)
    order = changeable(line.complaint)
    LabourLine.objects.filter(pk=line.pk).update(withdrawn=True)
    _answer_again(line.complaint)
    _log(actor, order, f"took {queries.labour_text(line)} off the estimate")


@transaction.atomic
def give(
    actor: Actor, *, act: UUID, order: RepairOrder, given_to: str, how: str, contact: str = ""
) -> Estimate:
    """Record that the estimate was given: to whom, how, and by which number or address.

    Keeps every line as it was said then. Raises Refusal when nothing is on it, when the last
    revision says the same already, and for a distant answer without the contact used.
    """
    acts.claim(actor, act, "give estimate", about=order)
    must(actor, Permit.ESTIMATE)
    _check_stage(order)
    name = given_to.strip()
    if not name:
        raise Refusal("Type the name of the person who was told.", field="given_to")
    check_contact(how, contact)
    price = queries.price_of(order)
    lines = [line for complaint in price.complaints for line in complaint.lines]
    if not lines:
        raise Refusal("Nothing is on the estimate yet. Add the assembly or the labour first.")
    if price.total > LARGEST_TOTAL:
        most = format_amount(LARGEST_TOTAL, actor.workshop.currency)
        raise Refusal(
            f"Altogether this is more than {most}. Check the prices, the hours and the labour rate."
        )
    if queries.is_as_given(order):
        raise Refusal("This estimate was given already, line by line as it stands.")
    given = Estimate.objects.create(
        order=order,
        number=queries.last_number(order) + 1,
        total=price.total,
        given_at=clock.now(),
        given_by=actor.user,
        given_to=name,
        how=how,
        contact=contact.strip(),
    )
    EstimateLine.objects.bulk_create(
        EstimateLine(
            estimate=given, complaint_id=line.complaint, text=line.text, amount=line.amount
        )
        for line in lines
    )
    # An answer to the revision before, being typed on another screen, does not count for this one.
    RepairOrder.objects.filter(pk=order.pk).update(revision=F("revision") + 1)
    order.refresh_from_db(fields=["revision"])
    amount = format_amount(given.total, actor.workshop.currency)
    _log(
        actor,
        order,
        f"gave estimate {given.number}, {amount} before tax, to {name} {How(how).label}",
    )
    return given


def check_contact(how: str, contact: str) -> None:
    """The number or address used is part of the record, except face to face."""
    if how not in How.values:
        raise Refusal("Choose how it was said.", field="how")
    if how in {How.PHONE, How.EMAIL, How.MESSAGE} and not contact.strip():
        raise Refusal("Type the telephone number or address that was used.", field="contact")


def changeable(complaint: Complaint) -> RepairOrder:
    """The order, locked for this act, when its estimate may be changed now."""
    order: RepairOrder = RepairOrder.objects.select_for_update().get(pk=complaint.order_id)
    _check_stage(order)
    return order


def _check_stage(order: RepairOrder) -> None:
    stage = Stage(order.stage)
    if stage not in MAY_CHANGE:
        raise Refusal(
            f"The job is {stage.words}. The estimate is changed while diagnosing or awaiting "
            "authority; take the job back to diagnosis first."
        )


def _check_once(order: RepairOrder, component: Component, position: str) -> None:
    """A place holds one unit; an assembly already fitted on this job may be replaced again."""
    there = (
        Replacement.objects.filter(complaint__order=order, component=component, position=position)
        .exclude(state__in=[Replacement.State.CANCELLED, Replacement.State.FITTED])
        .select_related("complaint")
        .first()
    )
    if there is not None:
        where = queries.place_words(position)
        raise Refusal(
            f"The {component}{', ' + where if where else ''}, is on the estimate already, "
            f"for complaint {there.complaint.line}.",
            field="assembly",
        )


def _check_place(component: Component, position: str) -> None:
    places = component.positions.split()
    if places and position not in places:
        names = ", ".join(queries.place_words(place) for place in places)
        raise Refusal(f"Choose the place of the {component}: {names}.", field="assembly")
    if not places and position:
        raise Refusal(
            f"There is one {component} on the vehicle; it has no place.", field="assembly"
        )


def _from_catalogue(component: Component, position: str) -> Living:
    living = living_parts(parts_of([component.pk]).get(component.pk, ()), position)
    if not living:
        raise Refusal(
            f"The catalogue has no part number for the {component}. "
            "Type the number, the supplier and the price.",
            field="part_number",
        )
    return living[0]


def _by_hand(
    component: Component,
    position: str,
    part_number: str,
    supplier: str,
    price: Decimal | None,
) -> Living:
    parts = parts_of([component.pk]).get(component.pk, ())
    known = living_number([part for part in parts if part.position in (position, "")], part_number)
    if known is not None:
        return known
    elsewhere = [part for part in parts if normal(part.number) == normal(part_number)]
    if elsewhere:
        place = queries.place_words(elsewhere[0].position)
        raise Refusal(
            f"{part_number.strip()} is the number for the {place}, not for this place.",
            field="part_number",
        )
    if price is None:
        raise Refusal(
            f"The catalogue does not know {part_number.strip()}. Type its price too.", field="price"
        )
    if not supplier.strip():
        raise Refusal("Type the supplier, so that the Counter can order it.", field="supplier")
    return Living(part_number.strip().upper(), supplier.strip(), price)


def _propose(
    actor: Actor, complaint: Complaint, component: Component, position: str, chosen: Living
) -> Replacement:
    row: Replacement = Replacement.objects.create(
        workshop=actor.workshop,
        complaint=complaint,
        component=component,
        position=position,
        part_number=chosen.number,
        supplier=chosen.supplier,
        price=chosen.price,
        state_since=clock.now(),
    )
    _answer_again(complaint)
    _log(actor, complaint.order, f"put {queries.assembly_text(row)} on the estimate")
    return row


def _labour(
    actor: Actor, complaint: Complaint, operation: LabourOperation | None, text: str, tenths: int
) -> LabourLine:
    line = LabourLine.objects.create(
        complaint=complaint,
        operation=operation,
        code=operation.code if operation else "",
        text=text,
        tenths=tenths,
        rate=actor.workshop.labour_rate,
    )
    _answer_again(complaint)
    words = queries.labour_text(line)
    _log(actor, complaint.order, f"put {words}, {hours(tenths)} h, on the estimate")
    return line


def _answer_again(complaint: Complaint) -> None:
    """A changed line needs the customer's word again (16 CCR 3354: before the work is done)."""
    Complaint.objects.filter(pk=complaint.pk).update(decision=Complaint.Decision.UNDECIDED)


def _log(actor: Actor, order: RepairOrder, words: str) -> None:
    log.write(actor, kind="estimate", subject_kind="order", subject_id=order.pk, words=words)
