"""Recording what the tell-tale lamps did, and what follows from it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from uuid import UUID

from django.db import transaction

from diagnostics.models import LampCheck, Session, TelltaleObservation, TelltaleRule
from diagnostics.ports import companion
from diagnostics.rules import telltale_rules
from diagnostics.services import sessions
from diagnostics.telltales import Lamp, Observation, Shown, Situation, Triage, triage
from shop import clock
from shop.actor import Actor
from shop.errors import Refusal
from shop.services import acts


@transaction.atomic
def record(
    actor: Actor, session: Session, *, act: UUID | None, observations: Sequence[Observation]
) -> LampCheck:
    """Keep one look at the lamps with what the session's rules make of it.

    An unsafe finding is told to the floor above in the same transaction. Raises Refusal when
    nothing was looked at or the session is closed.
    """
    if act is not None:
        acts.claim(actor, act, "lamps", about=session)
    sessions.check(actor, session)
    if not observations:
        raise Refusal("Say of at least one lamp what it did, in one situation.")
    seen = {(one.lamp, one.situation): one for one in observations}
    rows = list(TelltaleRule.objects.filter(version=session.version).prefetch_related("patterns"))
    found = triage(observations, telltale_rules(rows))
    check_made = LampCheck.objects.create(
        session=session,
        phase=session.phase,
        at=clock.now(),
        by=actor.user,
        rule=next((row for row in rows if row.key == found.rule_key), None),
        says=" ".join((found.says, *found.findings)),
        first=found.first,
        may_drive=found.may_drive,
        unsafe=found.unsafe,
        normal=is_normal(seen.values(), found),
    )
    TelltaleObservation.objects.bulk_create(
        TelltaleObservation(
            check_made=check_made, lamp=one.lamp, situation=one.situation, shown=one.shown
        )
        for one in seen.values()
    )
    words = "; ".join(in_words(one) for one in seen.values())
    sessions.write(actor, session, "lamps", f"looked at the lamps: {words}")
    if found.unsafe:
        companion().unsafe_seen(actor, session, found.says)
    return check_made


def in_words(seen: Observation) -> str:
    return f"{seen.lamp.label} {seen.shown.label} {seen.situation.label}"


def is_normal(seen: Iterable[Observation], found: Triage) -> bool:
    """Bulb check passed, and every lamp dark with the engine running, amber and red among them."""
    by_look = {(one.lamp, one.situation): one.shown for one in seen}
    running = {lamp for lamp, when in by_look if when is Situation.ENGINE_RUNNING}
    dark = all(
        shown is Shown.DARK for (_, when), shown in by_look.items() if when is not Situation.KEY_ON
    )
    bulb = by_look.get((Lamp.AMBER_ANTILOCK, Situation.KEY_ON)) is Shown.STEADY
    both = {Lamp.AMBER_ANTILOCK, Lamp.RED_BRAKE} <= running
    return bulb and both and dark and not found.unsafe
