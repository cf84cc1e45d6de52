"""The sections of a month kept for a minute, for the Office page and the pictures it then asks for.

Each picture is asked for on its own, and counting its section again would take as long as before.
What is issued, or written to a file, is always counted anew.
"""

from __future__ import annotations

from hashlib import sha256

from django.core.cache import cache
from django.utils.translation import get_language

from jobs.reports.document import Section, Span
from jobs.reports.office import PARTS, Part
from shop import clock
from shop.actor import Actor
from shop.models import Act
from shop.one_state import one_state

KEPT_SECONDS = 60
_AT_ONCE = 50  # acts that may be under way beside each other, and more


def sections(actor: Actor, span: Span) -> tuple[Section, ...]:
    """All sections in their order, of one state of the books."""
    with one_state():
        state = _state(actor)
        return tuple(_section(actor, span, part, state) for part in PARTS)


def section(actor: Actor, span: Span, key: str, *, anew: bool = False) -> Section | None:
    """One section by its key, `anew` whatever was kept of it; None when there is none such."""
    part = next((one for one in PARTS if one.key == key), None)
    if part is None:
        return None
    with one_state():
        return _section(actor, span, part, "" if anew else _state(actor))


def _state(actor: Actor) -> str:
    """The last things that were done in the workshop, and the day; "" before anything was.

    Whatever somebody does afterwards makes another state of it, so that their own next look shows
    what they did. Not the last one alone: of two at the same moment the earlier may be seen later.
    """
    last = Act.objects.of(actor).order_by("-pk").values_list("act", flat=True)[:_AT_ONCE]
    done = " ".join(map(str, last))
    return f"{sha256(done.encode()).hexdigest()}:{clock.today()}" if done else ""


def _section(actor: Actor, span: Span, part: Part, state: str) -> Section:
    if not state:
        return part.build(actor, span)
    of = (part.key, actor.workshop.pk, span.month, span.until, state, get_language())
    key = ":".join(("section", *map(str, of)))
    found: Section | None = cache.get(key)
    if found is None:
        found = part.build(actor, span)
        cache.set(key, found, KEPT_SECONDS)
    return found
