"""The photos of complaints; the pictures themselves are loaded one at a time."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping

from django.db.models import QuerySet
from django.http import Http404

from jobs.models import Complaint, Photo, PhotoContents
from shop.actor import Actor


def photos_of(complaints: Collection[Complaint]) -> Mapping[int, list[Photo]]:
    """Those that stand, by complaint, oldest first. One query."""
    found: dict[int, list[Photo]] = defaultdict(list)
    rows = Photo.objects.filter(complaint__in=[one.pk for one in complaints], removed_at=None)
    for row in rows.order_by("pk"):
        found[row.complaint_id].append(row)
    return found


def with_removed(complaint: Complaint) -> QuerySet[Photo]:
    """All that ever were, those that stand first."""
    rows: QuerySet[Photo] = Photo.objects.filter(complaint=complaint).select_related("by")
    return rows.order_by("removed_at", "pk")


def get_photo(actor: Actor, number: str, pk: int) -> Photo:
    """A photo of that job, removed or not. A stranger's is 404, as none at all."""
    rows: QuerySet[Photo] = Photo.objects.of(actor).select_related("by", "complaint__order")
    found = rows.filter(pk=pk, complaint__order__number__iexact=number).first()
    if found is None:
        raise Http404
    return found


def picture(actor: Actor, number: str, pk: int, *, small: bool) -> bytes:
    """JPEG bytes. 404 once it was removed."""
    field = "small" if small else "jpeg"
    rows = PhotoContents.objects.filter(
        photo__workshop=actor.workshop,
        photo__complaint__order__number__iexact=number,
        photo=pk,
    )
    found = rows.values_list(field, flat=True).first()
    if found is None:
        raise Http404
    return bytes(found)
