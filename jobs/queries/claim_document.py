"""A claim's document, gathered from its job in a number of queries that does not grow with it."""

from __future__ import annotations

from django.db.models import QuerySet
from django.http import Http404

from jobs.claims import document as parts
from jobs.models import (
    AuthorityLine,
    Claim,
    ClaimAnswer,
    CoverageDecision,
    Photo,
    RepairOrder,
    Replacement,
    Submission,
)
from jobs.queries.claim_proof import fault_of, flags_of, local, road_tests_of, values_of, when
from jobs.queries.claim_work import clocked_of, fitted_of, operations_of, part_of
from jobs.queries.papers import odometer_out
from shop.actor import Actor
from shop.models import OdometerReading

_NAMED = (
    "workshop",
    "payer",
    "approved_by",
    "coverage__by",
    "complaint__conclusion__component",
    "complaint__conclusion__failure_mode",
    "complaint__order__workshop",
    "complaint__order__customer",
    "complaint__order__vehicle__platform",
    "complaint__order__technician",
    "complaint__order__odometer_in",
    "complaint__order__session",
)


def claim_for_paper(actor: Actor, number: str) -> Claim:
    """The claim of that number with all that its papers name. A stranger's is 404, as none."""
    rows: QuerySet[Claim] = Claim.objects.of(actor).select_related(*_NAMED)
    found = rows.filter(number=number.upper()).first()
    if found is None:
        raise Http404
    return found


def document_of(
    claim: Claim, sending: Submission | None = None, lacking: tuple[str, ...] = ()
) -> parts.ClaimDocument:
    """As it would go out now; with `sending`, as it goes out by it."""
    complaint, order = claim.complaint, claim.complaint.order
    lines = tuple(
        parts.Line(
            line.order,
            line.kind,
            line.text,
            line.part_number,
            line.quantity,
            line.unit_price,
            line.amount,
        )
        for line in claim.lines.all()
    )
    fitted = fitted_of(claim)
    return parts.ClaimDocument(
        schema=parts.SCHEMA,
        version=parts.VERSION,
        claim=_identity(claim, sending),
        workshop=parts.Shop(
            claim.workshop.name, claim.workshop.address, claim.workshop.phone, claim.payer.account
        ),
        payer=parts.Asked(claim.payer.name, claim.payer.kind, claim.payer.address),
        vehicle=_vehicle(order),
        order=_job(claim, fitted),
        concern=claim.concern,
        cause=claim.cause,
        correction=claim.correction,
        fault=fault_of(complaint.conclusion),
        coverage=_coverage(claim.coverage),
        flags=flags_of(order),
        readings=values_of(complaint),
        road_tests=road_tests_of(order),
        operations=operations_of(claim),
        clocked=clocked_of(claim) if claim.payer.wants_clock else (),
        parts=tuple(part_of(row) for row in fitted),
        lines=lines,
        totals=parts.totals_of(lines),
        photos=_photos(claim),
        authority=_authority(claim),
        lacking=lacking,
        answers=_answers(claim),
    )


def photos_of(claim: Claim) -> QuerySet[Photo]:
    """The photos that stand, oldest first; the pictures themselves are not loaded."""
    rows: QuerySet[Photo] = Photo.objects.filter(
        complaint=claim.complaint_id, removed_at__isnull=True
    )
    return rows.select_related("by").order_by("pk")


def _identity(claim: Claim, sending: Submission | None) -> parts.Identity:
    return parts.Identity(
        number=claim.number,
        submission=sending.number if sending else 0,
        draft=sending is None,
        sent_at=local(sending.sent_at) if sending else None,
        sent_by=str(sending.sent_by) if sending else "",
        by_way_of=sending.by_way_of if sending else "",
        approved_by=str(claim.approved_by or ""),
        approved_at=local(claim.approved_at),
        changed=sending.changed if sending else "",
        currency=claim.workshop.currency,
    )


def _vehicle(order: RepairOrder) -> parts.Car:
    vehicle, left = order.vehicle, odometer_out(order)
    platform = vehicle.platform
    return parts.Car(
        vin=vehicle.vin,
        plate=vehicle.plate,
        make=platform.make if platform else "",
        model=" ".join(filter(None, (platform.model, platform.body))) if platform else "",
        model_year=vehicle.model_year,
        in_service_on=vehicle.in_service_on,
        odometer_in=_odometer(order.odometer_in),
        odometer_out=_odometer(left) if left else None,
    )


def _odometer(row: OdometerReading) -> parts.Odometer:
    return parts.Odometer(row.distance_m, row.typed_value, row.typed_unit, when(row.read_at))


def _job(claim: Claim, fitted: tuple[Replacement, ...]) -> parts.Job:
    order = claim.complaint.order
    dates = [row.fitted_at for row in fitted if row.fitted_at]
    return parts.Job(
        order.number,
        claim.complaint.line,
        when(order.taken_in_at),
        local(max(dates)) if dates else None,
        local(order.closed_at),
        str(order.technician or ""),
    )


def _coverage(row: CoverageDecision | None) -> parts.Coverage | None:
    if row is None:
        return None
    judged = list(row.judgements.all())
    term = next((one for one in judged if one.decided), None)
    return parts.Coverage(
        outcome=row.outcome,
        because=row.because,
        term=term.name if term else "",
        source=term.source if term else "",
        starts_on=term.starts_on if term else None,
        last_day=term.last_day if term else None,
        days_left=term.days_left if term else None,
        distance_left_m=term.distance_left_m if term else None,
        percent=row.percent,
        deductible=row.deductible,
        otherwise_because=row.otherwise_because,
        decided_by=str(row.by),
        decided_at=when(row.at),
        not_known=tuple(term.missing.splitlines()) if term else (),
    )


def _photos(claim: Claim) -> tuple[parts.Picture, ...]:
    return tuple(
        parts.Picture(
            f"Photo {at}",
            str(row.get_shows_display()),
            row.words,
            row.width,
            row.height,
            row.sha256,
            str(row.by),
            when(row.at),
        )
        for at, row in enumerate(photos_of(claim), start=1)
    )


def _authority(claim: Claim) -> tuple[parts.Authorised, ...]:
    order = claim.complaint.order
    rows = AuthorityLine.objects.filter(complaint=claim.complaint_id).select_related(
        "authority__estimate"
    )
    return tuple(
        parts.Authorised(
            f"{order.number}/E{row.authority.estimate.number}",
            row.authority.who,
            str(row.authority.get_how_display()),
            str(row.get_decision_display()),
            when(row.authority.answered_at),
        )
        for row in rows.order_by("authority__answered_at", "pk")
    )


def _answers(claim: Claim) -> tuple[parts.Answered, ...]:
    rows = ClaimAnswer.objects.filter(submission__claim=claim).select_related("submission")
    return tuple(
        parts.Answered(
            row.submission.number,
            row.answered_on,
            row.kind,
            row.reason,
            row.words,
            row.reference,
            row.agreed,
        )
        for row in rows.order_by("pk")
    )
