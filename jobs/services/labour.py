"""Putting labour on an estimate: operations, diagnosis on its own line, extra time."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from diagnostics.models import LabourOperation
from jobs.models import Complaint, LabourLine
from jobs.pricing import hours
from jobs.queries.priced import labour_text, place_words
from jobs.queries.terms import rate_on
from jobs.services.estimate_change import changeable, changed, say
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

LONGEST = 400  # tenths of an hour on one line
Kind = LabourLine.Kind


@transaction.atomic
def add_labour(
    actor: Actor,
    *,
    act: UUID,
    complaint: Complaint,
    operation: LabourOperation | None = None,
    text: str = "",
    tenths: int | None = None,
    kind: str = "",
    position: str = "",
    reason: str = "",
) -> LabourLine:
    """Labour on a complaint, at the rate of who pays it: an operation, or own words and tenths.

    `kind` is worked out from the operation where it is left empty. Extra time needs a reason, and
    so does a time that is not the catalogue's allowance, which stays on the line beside it.
    """
    acts.claim(actor, act, "add labour", about=complaint)
    must(actor, Permit.ESTIMATE)
    order = changeable(complaint)
    line = put_on(
        actor,
        complaint,
        operation=operation,
        text=text,
        tenths=tenths,
        kind=kind,
        position=position,
        reason=reason,
    )
    changed(order, complaint)
    return line


@transaction.atomic
def remove_labour(actor: Actor, *, act: UUID, line: LabourLine) -> None:
    acts.claim(actor, act, "remove labour", about=line)
    must(actor, Permit.ESTIMATE)
    order = changeable(line.complaint)
    taken_off = LabourLine.objects.filter(pk=line.pk, withdrawn=False).update(withdrawn=True)
    if not taken_off:
        raise Refusal("That line was taken off already. The page shows what is left.")
    changed(order, line.complaint)
    say(actor, order.pk, f"took {labour_text(line)} off the estimate")


def put_on(
    actor: Actor,
    complaint: Complaint,
    *,
    operation: LabourOperation | None = None,
    text: str = "",
    tenths: int | None = None,
    kind: str = "",
    position: str = "",
    reason: str = "",
) -> LabourLine:
    """The line itself, checked, within an act that holds the order's lock."""
    words, reason = text.strip() or (operation.text if operation else ""), reason.strip()
    if not words:
        raise Refusal("Choose an operation, or say in a few words what is done.", field="text")
    kind = _kind(operation, kind)
    if operation is not None:
        _check_place(operation, position)
    allowed = operation.tenths if operation and kind != Kind.EXTRA else None
    sold = tenths if tenths is not None else (allowed or 0)
    if not 0 < sold <= LONGEST:
        raise Refusal("Type the time in hours and tenths, from 0.1 to 40.0.", field="hours")
    if kind == Kind.EXTRA and not reason:
        raise Refusal("Say why it takes longer; the reason stands on the line.", field="reason")
    if allowed is not None and sold != allowed and not reason:
        raise Refusal(
            f"The catalogue allows {hours(allowed)} h for {operation}. Say why it is "
            f"{hours(sold)} h here.",
            field="reason",
        )
    line = LabourLine.objects.create(
        complaint=complaint,
        operation=operation,
        code=operation.code if operation else "",
        text=words[:200],
        kind=kind,
        position=position or _place(complaint, operation),
        tenths=sold,
        allowed_tenths=allowed,
        reason=reason[:200],
        rate=rate_on(complaint, actor.workshop),
    )
    said = f"put {labour_text(line)}, {hours(sold)} h, on the estimate"
    say(actor, complaint.order_id, said, reason)
    return line


def _kind(operation: LabourOperation | None, kind: str) -> str:
    """Diagnosis stays diagnosis, whatever was chosen: it is its own line on every paper."""
    if operation is not None and operation.diagnosis:
        return Kind.DIAGNOSIS
    if kind and kind not in Kind.values:
        raise Refusal("Choose whether it is an operation, diagnosis or extra time.", field="kind")
    return kind or Kind.OPERATION


def _place(complaint: Complaint, operation: LabourOperation | None) -> str:
    """Where the assembly of this operation is on the job, if it is at one place only."""
    if operation is None or operation.component_id is None:
        return ""
    rows = complaint.replacements.filter(component=operation.component_id)
    places = set(rows.exclude(state="cancelled").values_list("position", flat=True))
    return str(places.pop()) if len(places) == 1 else ""


def _check_place(operation: LabourOperation, position: str) -> None:
    component = operation.component
    places = component.positions.split() if component else []
    if position and component and position not in places:
        names = ", ".join(place_words(place) for place in places) or "no place of its own"
        raise Refusal(f"The {component} is at: {names}.", field="position")
