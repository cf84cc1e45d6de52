"""Setting the terms of a workshop: what local law asks, papers, shelf and clock.

One revision stands for everything on the pages of prices and terms, so that two people who set
them at once see each other's figures instead of undoing them.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.jurisdictions import PROFILES
from jobs.models import Terms
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

_FIXED = frozenset({"id", "workshop", "revision"})
# The least and the most of what is a whole number, as in days, years, millimetres and minutes.
RANGES: Mapping[str, tuple[int, int]] = MappingProxyType(
    {
        "keep_replaced_days": (0, 365),
        "hold_days": (0, 3650),
        "record_years": (1, 50),
        "tag_width_mm": (40, 210),
        "tag_height_mm": (25, 297),
        "grace_minutes": (0, 720),
        "safety_failures": (2, 99),
    }
)
FIELDS = {field.name: field for field in Terms._meta.fields if field.name not in _FIXED}


@transaction.atomic
def change_terms(actor: Actor, *, act: UUID, revision: int, changes: Mapping[str, object]) -> Terms:
    """Set some of the terms, by the names of their fields.

    Raises Refusal beside the field that cannot be so, Clash when somebody set prices or terms
    since `revision` was seen.
    """
    acts.claim(actor, act, "change terms", sent=sorted(changes.items(), key=str))
    must(actor, Permit.MANAGE_WORKSHOP)
    terms = begin_change(actor, revision)
    if changes.get("profile", terms.profile) not in {one.key for one in PROFILES}:
        raise Refusal("Choose one of the sets that are listed.", field="profile")
    _check(changes)
    changed = []
    for name, value in changes.items():
        if getattr(terms, name) != value:
            setattr(terms, name, value)
            changed.append(f"{FIELDS[name].verbose_name}: {_said(terms, name)}")
    if not changed:
        return terms
    try:
        terms.clean_fields(exclude=["workshop"])
    except ValidationError as error:
        name, sentences = next(iter(error.message_dict.items()))
        raise Refusal(sentences[0], field=name) from error
    finish_change(actor, terms, "set the terms: " + ", ".join(changed))
    return terms


def _check(changes: Mapping[str, object]) -> None:
    for name, (least, most) in RANGES.items():
        number = changes.get(name, least)
        if not isinstance(number, int) or not least <= number <= most:
            raise Refusal(f"Type a whole number from {least} to {most}.", field=name)
    tolerance = changes.get("tolerance_percent", Decimal(0))
    if not isinstance(tolerance, Decimal) or not 0 <= tolerance <= 100:
        raise Refusal("Type a percentage from 0 to 100.", field="tolerance_percent")
    level = changes.get("service_level", Decimal(95))
    if not isinstance(level, Decimal) or not 50 <= level <= Decimal("99.9"):
        raise Refusal(
            "Type a percentage from 50 to 99.9. A hundred would need an endless shelf.",
            field="service_level",
        )


def begin_change(actor: Actor, revision: int) -> Terms:
    """The workshop's terms, locked for a change of prices or terms. Call in a transaction."""
    Terms.objects.get_or_create(workshop=actor.workshop)
    terms: Terms = Terms.objects.select_for_update().get(workshop=actor.workshop)
    if terms.revision != revision:
        raise Clash(
            "Somebody set prices or terms meanwhile, and nothing of yours was kept. "
            "Load the page again to see what holds now."
        )
    return terms


def finish_change(actor: Actor, terms: Terms, words: str) -> None:
    """Count the change and write its line in the log."""
    terms.revision += 1
    terms.save()
    log.write(
        actor, kind="terms", subject_kind="workshop", subject_id=actor.workshop.pk, words=words
    )


def _said(terms: Terms, name: str) -> str:
    """A value as the log says it: the words of a choice, yes or no, and no long text."""
    value = getattr(terms, name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return "none"
    display = getattr(terms, f"get_{name}_display", None)
    words = str(display()) if display else str(value)
    return f"{words[:60]}…" if len(words) > 60 else words or "none"
