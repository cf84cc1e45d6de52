"""Keeping photos with a complaint, and taking one away again."""

from __future__ import annotations

from hashlib import sha256
from uuid import UUID

from django.db import transaction

from jobs.models import Complaint, Photo, PhotoContents
from jobs.services.photo_bytes import Picture, picture_of
from jobs.stages import Stage
from shop import clock
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

MOST = 24  # of one complaint
LONGEST = 200


def add(
    actor: Actor, *, act: UUID, complaint: Complaint, raw: bytes, shows: str, words: str = ""
) -> Photo:
    """Keep a photo as it comes from the tablet. Raises Refusal [photo] when it is none.

    It is unpacked before the transaction begins, so that nobody waits for it.
    """
    must(actor, Permit.DIAGNOSE)
    picture, sent = picture_of(raw), sha256(raw).hexdigest()
    return _keep(
        actor, act=act, complaint=complaint, picture=picture, sent=sent, shows=shows, words=words
    )


@transaction.atomic
def _keep(
    actor: Actor,
    *,
    act: UUID,
    complaint: Complaint,
    picture: Picture,
    sent: str,
    shows: str,
    words: str,
) -> Photo:
    acts.claim(actor, act, "photo", about=complaint, sent=(sent,))
    must(actor, Permit.DIAGNOSE)
    order = complaint.order
    if Stage(order.stage) is Stage.VOID:
        raise Refusal("This job is void; no photo is added to it any more.")
    if shows not in Photo.Shows.values:
        raise Refusal("Choose what the photo shows.", field="shows")
    # The complaint is locked, so that two tablets cannot both add the last one.
    Complaint.objects.select_for_update().get(pk=complaint.pk)
    standing = Photo.objects.filter(complaint=complaint, removed_at=None)
    digest = sha256(picture.jpeg).hexdigest()
    if standing.filter(sha256=digest).exists():
        raise Refusal("This photo stands with the complaint already.", field="photo")
    if standing.count() >= MOST:
        raise Refusal(
            f"There are {MOST} photos of this complaint, which is as many as it takes. Remove one "
            "that shows less.",
            field="photo",
        )
    photo: Photo = Photo.objects.create(
        workshop=actor.workshop,
        complaint=complaint,
        shows=shows,
        words=words.strip()[:LONGEST],
        at=clock.now(),
        by=actor.user,
        width=picture.width,
        height=picture.height,
        size=len(picture.jpeg),
        sha256=digest,
    )
    PhotoContents.objects.create(photo=photo, jpeg=picture.jpeg, small=picture.small)
    _log(actor, photo, f"added a photo to complaint {complaint.line}: {photo}")
    return photo


@transaction.atomic
def remove(actor: Actor, *, act: UUID, photo: Photo, because: str) -> None:
    """Take the picture away; that there was one, who took it and why it went, stays.

    Raises Clash when somebody removed it before.
    """
    acts.claim(actor, act, "remove photo", about=photo)
    must(actor, Permit.DIAGNOSE)
    kept = because.strip()
    if not kept:
        raise Refusal("Say why it goes; that stays in the story of the job.", field="because")
    row = Photo.objects.of(actor).select_for_update().get(pk=photo.pk)
    if row.removed_at is not None:
        raise Clash("Somebody removed this photo meanwhile. Nothing more was done.")
    PhotoContents.objects.filter(photo=row).delete()
    row.removed_at, row.removed_because = clock.now(), kept[:LONGEST]
    row.save(update_fields=["removed_at", "removed_because"])
    _log(actor, photo, f"removed a photo of complaint {photo.complaint.line}: {row}", kept)


def _log(actor: Actor, photo: Photo, words: str, reason: str = "") -> None:
    order = photo.complaint.order_id
    log.write(
        actor, kind="photo", subject_kind="order", subject_id=order, words=words, reason=reason
    )
