"""The list of what proves each complaint, with the way to where each thing is entered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from jobs.evidence.need import Checked, Where
from jobs.models import Complaint, Photo
from jobs.queries.evidence import Evidence, evidence_of
from jobs.queries.photos import photos_of
from jobs.services import complaints as services
from jobs.services import conclusions
from jobs.stages import CLOSED, Stage
from shop.actor import Actor
from shop.roles import Permit

_SHOWS = {"photo-fault": "fault", "photo-plate": "plate", "photo-odometer": "odometer"}


@dataclass(frozen=True, slots=True)
class Item:
    """What is missing, and the address to enter it; "" where this person cannot now."""

    line: Checked
    url: str

    @property
    def sentence(self) -> str:
        return self.line.need.sentence if self.line.need else ""

    @property
    def advised(self) -> bool:
        return bool(self.line.need and self.line.need.advised)


@dataclass(frozen=True, slots=True)
class Panel:
    """One complaint's list as the job shows it."""

    evidence: Evidence
    photos: list[Photo]
    now: tuple[Item, ...]
    later: tuple[Item, ...]

    @property
    def complaint(self) -> Complaint:
        return self.evidence.complaint


def panels(actor: Actor, complaints: Sequence[Complaint]) -> tuple[Panel, ...]:
    """In the order given. The number of queries is constant."""
    found = evidence_of(complaints)
    photos = photos_of(complaints)
    return tuple(_panel(actor, found[one.pk], photos.get(one.pk, [])) for one in complaints)


def _panel(actor: Actor, one: Evidence, photos: list[Photo]) -> Panel:
    def items(lines: tuple[Checked, ...]) -> tuple[Item, ...]:
        return tuple(Item(line, address_of(actor, one.complaint, line)) for line in lines)

    return Panel(one, photos, items(one.now), items(one.later))


def address_of(actor: Actor, complaint: Complaint, line: Checked) -> str:
    """Where what is missing is entered, if this person may and the job is where it can be."""
    need, order = line.need, complaint.order
    if need is None:
        return ""
    stage, slug = Stage(order.stage), actor.workshop.slug
    job, with_line = [slug, order.number], [slug, order.number, complaint.line]
    session = [slug, order.session_id]
    match need.where:
        case Where.PHOTOS:
            return f"{reverse('photos', args=with_line)}?shows={_SHOWS.get(need.key, '')}"
        case Where.FITTING:
            return reverse("fitting", args=job)
        case _ if stage in CLOSED:
            return ""
        case Where.FLAGS | Where.READINGS:
            return reverse(need.where.value, args=session)
        case Where.CONCLUDE:
            may = actor.may(Permit.CONCLUDE) and stage in conclusions.WHILE
            return reverse("conclude", args=with_line) if may else ""
        case Where.CORRECTION:
            may = actor.may(Permit.CONCLUDE)
            return reverse("correction", args=with_line) if may else ""
        case Where.ORDER:
            may = actor.may(Permit.TAKE_IN) and stage in services.BEFORE_REPAIR
            return reverse("complaint-add", args=job) if may else ""
        case Where.CLOCK:
            return reverse("bay", args=[slug]) if actor.may(Permit.CLOCK) else ""
        case _:
            return reverse(need.where.value, args=job)
