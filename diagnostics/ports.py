"""How this floor speaks of what stands above it without knowing it.

A session may belong to a repair order. The class named by settings.SESSION_COMPANION tells what
to show beside the session and hears when the lamps say that the vehicle is not to be driven.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Protocol

from django.conf import settings
from django.utils.module_loading import import_string

from diagnostics.models import Session
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class SheetLink:
    """One sheet of a job: what it is called, where it is, and by which name a page marks itself."""

    label: str
    url: str
    name: str


@dataclass(frozen=True, slots=True)
class Stub:
    """The left stub of a sheet: what paper the person is working on."""

    number: str
    url: str
    plate: str
    vehicle: str
    distance: str
    stage: str = ""
    bay: str = ""
    technician: str = ""
    promised_at: datetime | None = None
    overdue: bool = False
    whose: str = ""
    awaited: str = ""
    waiting_since: datetime | None = None
    unsafe_because: tuple[str, ...] = ()
    complaints: tuple[str, ...] = ()
    systems: tuple[str, ...] = ()  # names of the chassis systems that the complaints are about
    notice: str = ""
    sheets: tuple[SheetLink, ...] = ()


class Companion(Protocol):
    """What the floor above answers for a session."""

    def stub(self, actor: Actor, session: Session) -> Stub | None: ...

    def unsafe_seen(self, actor: Actor, session: Session, because: str) -> None: ...


@cache
def companion() -> Companion:
    made: Companion = import_string(settings.SESSION_COMPANION)()
    return made
