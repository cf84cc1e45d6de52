"""Recording what a module's memory held, and that it was cleared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from diagnostics import words
from diagnostics.codes import pasted
from diagnostics.codes.two_byte import Code, CodeError, parse_code
from diagnostics.codes.uds import Record, UdsError
from diagnostics.models import FlagClearing, FlagRead, Session, StoredFlag
from diagnostics.queries.flags import definitions_for
from diagnostics.services import sessions
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.services import acts


@dataclass(frozen=True, slots=True)
class FlagInput:
    """One code as typed, with the status the tester shows."""

    code: str
    status: str = StoredFlag.Status.STORED
    lamp_requested: bool = False


@transaction.atomic
def record_read(
    actor: Actor,
    session: Session,
    *,
    act: UUID | None,
    module: str,
    flags: Sequence[FlagInput] = (),
    none_stored: bool = False,
    symptom: bool = False,
) -> FlagRead:
    """Keep one reading-out of a module ("" for every module): its codes, or that none is stored.

    symptom: what follows the hyphen is the tester's own, not a failure type. Raises Refusal
    [flags] or [none_stored] when it is neither, both, unreadable or twice the same.
    """
    if act is not None:
        acts.claim(actor, act, "flags", about=session)
    sessions.check(actor, session)
    codes = _codes(flags, none_stored=none_stored)
    known = definitions_for(session.version, codes, symptom=symptom)
    read = _read(actor, session, module, none_stored=none_stored)
    StoredFlag.objects.bulk_create(
        StoredFlag(
            read=read,
            code=code.text,
            failure_type=_byte(code),
            symptom=symptom and code.failure_type is not None,
            status=given.status,
            lamp_requested=given.lamp_requested,
            definition=known.get(code),
        )
        for code, given in zip(codes, flags, strict=True)
    )
    _say(actor, session, read, codes)
    return read


@transaction.atomic
def record_returned(
    actor: Actor, session: Session, *, act: UUID | None, module: str, returned: str
) -> FlagRead:
    """Keep what a module ("" for every module) returned, as bytes: its flags with their statuses.

    The text is kept as it was pasted. Raises Refusal [returned] for what cannot be read with
    certainty.
    """
    if act is not None:
        acts.claim(actor, act, "flags returned", about=session)
    sessions.check(actor, session)
    try:
        found = pasted.read(returned)
    except UdsError as error:
        raise Refusal(error.sentence, field="returned") from error
    codes = [record.code for record in found.records]
    known = definitions_for(session.version, codes)
    read = _read(
        actor,
        session,
        module,
        none_stored=not codes,
        raw=returned.strip(),
        availability=found.availability,
    )
    StoredFlag.objects.bulk_create(
        StoredFlag(
            read=read,
            code=record.code.text,
            failure_type=_byte(record.code),
            status=status_of(record),
            status_byte=record.status,
            lamp_requested=record.lamp_requested,
            definition=known.get(record.code),
        )
        for record in found.records
    )
    _say(actor, session, read, codes)
    return read


def status_of(record: Record) -> StoredFlag.Status:
    """The one status that tells most of a flag's byte."""
    telling = record.telling
    return StoredFlag.Status(telling.value) if telling else StoredFlag.Status.QUIET


def _read(
    actor: Actor,
    session: Session,
    module: str,
    *,
    none_stored: bool,
    raw: str = "",
    availability: int | None = None,
) -> FlagRead:
    return FlagRead.objects.create(
        session=session,
        phase=session.phase,
        at=clock.now(),
        by=actor.user,
        module=" ".join(module.split())[:80],
        none_stored=none_stored,
        raw=raw,
        availability=availability,
    )


def _say(actor: Actor, session: Session, read: FlagRead, codes: Sequence[Code]) -> None:
    found = ", ".join(code.full for code in codes) or "none stored"
    of = words.module(read.module)
    sessions.write(actor, session, "flags", f"read the flags of {of}: {found}")


@transaction.atomic
def clear(actor: Actor, session: Session, *, act: UUID | None, module: str) -> FlagClearing:
    """Keep that a module's memory was cleared ("" for every one). Refused before it was read."""
    if act is not None:
        acts.claim(actor, act, "flags clear", about=session)
    sessions.check(actor, session)
    module = " ".join(module.split())[:80]
    reads = FlagRead.objects.filter(session=session)
    if module:
        reads = reads.filter(Q(module__iexact=module) | Q(module=""))
    if not reads.exists():
        raise Refusal(
            f"Read the flags of {words.module(module)} and record them before clearing: "
            "what is cleared unread is lost.",
            field="module",
        )
    clearing = FlagClearing.objects.create(
        session=session, phase=session.phase, at=clock.now(), by=actor.user, module=module
    )
    sessions.write(actor, session, "flags_cleared", f"cleared the flags of {words.module(module)}")
    return clearing


def _codes(flags: Sequence[FlagInput], *, none_stored: bool) -> list[Code]:
    if none_stored and flags:
        raise Refusal(
            "Either codes were stored or none was: take the codes out, or untick “none stored”.",
            field="none_stored",
        )
    if not none_stored and not flags:
        raise Refusal("Type the codes that were stored, or tick “none stored”.", field="flags")
    codes: list[Code] = []
    for given in flags:
        try:
            code = parse_code(given.code)
        except CodeError as error:
            raise Refusal(error.sentence, field="flags") from error
        if code in codes:
            raise Refusal(f"{code.full} is in the list twice; keep one line of it.", field="flags")
        if given.status not in StoredFlag.Status.values:
            raise Refusal(f"Choose a status for {code.full}.", field="flags")
        codes.append(code)
    return codes


def _byte(code: Code) -> str:
    return "" if code.failure_type is None else f"{code.failure_type:02X}"
