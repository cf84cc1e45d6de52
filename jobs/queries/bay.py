"""The Bay: what do I do next, on which car. My jobs, then nobody's, then the others'."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count
from django.urls import reverse

from diagnostics.models import FlagRead, LampCheck, ProcedureRun
from diagnostics.telltales import Lamp, Shown, Situation
from jobs.models import Complaint, RepairOrder
from jobs.next_step import NextStep, next_step
from jobs.queries.clock import Running, open_entries, running, running_of
from jobs.queries.facts import facts_for
from jobs.queries.hours import to_look_at
from jobs.queries.orders import orders_of
from jobs.stages import Facts, Stage
from jobs.whose_move import Whose, awaited
from shop import clock
from shop.actor import Actor


@dataclass(frozen=True, slots=True)
class LampDrawn:
    lamp: str
    shown: str

    @property
    def words(self) -> str:
        """For those who hear the card: "red brake lamp dark"."""
        return f"{Lamp(self.lamp).label} {Shown(self.shown).label}"


@dataclass(frozen=True, slots=True)
class Progress:
    """The step at which a list stands."""

    number: int
    of: int
    title: str


@dataclass(frozen=True, slots=True)
class Card:
    """One job as a card: what it is, and what its person does next."""

    order: RepairOrder
    words: str
    more: int
    lamps: tuple[LampDrawn, ...]
    codes: tuple[str, ...]
    step: NextStep
    url: str
    progress: Progress | None
    waits_elsewhere: bool
    overdue: bool
    complaints: tuple[Complaint, ...] = ()
    at_it: tuple[Running, ...] = ()


@dataclass(frozen=True, slots=True)
class Bay:
    """`mine` first those that wait for the Bay; `nobodys` and `others` only those that do."""

    mine: tuple[Card, ...]
    nobodys: tuple[Card, ...]
    others: tuple[Card, ...]
    clock: Running | None = None
    caught: int = 0

    @property
    def now(self) -> Card | None:
        """The job whose next action is the page's one rust thing."""
        return next((card for card in self.mine if not card.waits_elsewhere), None)

    @property
    def first_promise(self) -> datetime | None:
        promised = [card.order.promised_at for card in self.mine if card.order.promised_at]
        return min(promised, default=None)


def bay_of(actor: Actor) -> Bay:
    """The open jobs of the workshop as they concern this person; a constant number of queries."""
    orders = list(
        orders_of(actor)
        .filter(closed_at__isnull=True)
        .order_by("promised_at", "serial")
        .prefetch_related("complaints")
    )
    facts = facts_for(orders)
    at_bay = {o.pk for o in orders if awaited(Stage(o.stage), facts[o.pk]).whose is Whose.BAY}
    # One without a technician waits for the Desk to choose; the Bay may begin it all the same.
    shown = [o for o in orders if o.technician_id in (actor.user.pk, None) or o.pk in at_bay]
    cards = _cards(actor, shown, facts, at_bay)
    mine = [card for card in cards if card.order.technician_id == actor.user.pk]
    mine.sort(key=lambda card: (card.waits_elsewhere, card.order.promised_at is None))
    return Bay(
        mine=tuple(mine),
        nobodys=tuple(c for c in cards if c.order.technician_id is None and _open_to_bay(c)),
        others=tuple(c for c in cards if c.order.technician_id not in (actor.user.pk, None)),
        clock=running_of(actor.user),
        caught=to_look_at(actor, only=actor.user).count(),
    )


def _open_to_bay(card: Card) -> bool:
    return not card.waits_elsewhere or card.order.stage == Stage.RECEIVED


def _cards(
    actor: Actor, orders: Sequence[RepairOrder], facts: dict[int, Facts], at_bay: set[int]
) -> list[Card]:
    sessions = [order.session_id for order in orders]
    clocks = _clocks(actor, orders)
    lamps, codes, steps = _lamps(sessions), _codes(sessions), _progress(sessions)
    now = clock.now()
    cards = []
    for order in orders:
        complaints = tuple(order.complaints.all())
        words = [complaint.words for complaint in complaints]
        step = next_step(Stage(order.stage), facts[order.pk], actor.roles)
        cards.append(
            Card(
                order=order,
                words=words[0] if words else "",
                more=max(0, len(words) - 1),
                lamps=lamps.get(order.session_id, ()),
                codes=codes.get(order.session_id, ()),
                step=step,
                url=_way_in(order, step),
                progress=steps.get(order.session_id),
                waits_elsewhere=order.pk not in at_bay,
                overdue=order.promised_at is not None and order.promised_at < now,
                complaints=complaints,
                at_it=tuple(clocks.get(order.pk, ())),
            )
        )
    return cards


def _clocks(actor: Actor, orders: Iterable[RepairOrder]) -> dict[int, list[Running]]:
    """Whose clock runs on each of these orders."""
    by_order: dict[int, list[Running]] = defaultdict(list)
    entries = open_entries().filter(complaint__order__in=list(orders))
    for one in running(entries, actor.workshop):
        by_order[one.entry.complaint.order_id].append(one)
    return by_order


def _way_in(order: RepairOrder, step: NextStep) -> str:
    """Straight to the checklist when that is what is next, else to the job's own sheet."""
    if step.sheet == "session":
        return reverse("session", args=[order.workshop.slug, order.session_id])
    return reverse("order", args=[order.workshop.slug, order.number])


def _progress(sessions: Iterable[int]) -> dict[int, Progress]:
    """The step that is next in each session's last list in hand."""
    runs = (
        ProcedureRun.objects.filter(session__in=sessions, current__isnull=False)
        .select_related("current")
        .annotate(steps=Count("procedure__steps"))
        .order_by("pk")
    )
    return {
        run.session_id: Progress(run.current.number, run.steps, run.current.title)
        for run in runs
        if run.current is not None
    }


def _lamps(sessions: Iterable[int]) -> dict[int, tuple[LampDrawn, ...]]:
    """How each lamp showed at the last look, the engine running or the vehicle driven."""
    found: dict[int, tuple[LampDrawn, ...]] = {}
    checks = LampCheck.objects.filter(session__in=sessions).prefetch_related("observations")
    for check in checks.order_by("pk"):
        shown: dict[str, str] = {}
        for one in check.observations.all():
            if one.situation != Situation.KEY_ON and shown.get(one.lamp) in (None, Shown.DARK):
                shown[one.lamp] = one.shown
        found[check.session_id] = tuple(LampDrawn(lamp, how) for lamp, how in shown.items())
    return found


def _codes(sessions: Iterable[int]) -> dict[int, tuple[str, ...]]:
    """The codes that each session's last reading-out of each module held."""
    held: dict[int, dict[str, tuple[str, ...]]] = defaultdict(dict)
    reads = FlagRead.objects.filter(session__in=sessions).prefetch_related("flags")
    for read in reads.order_by("pk"):
        held[read.session_id][read.module] = tuple(flag.code for flag in read.flags.all())
    return {
        session: tuple(dict.fromkeys(code for codes in modules.values() for code in codes))
        for session, modules in held.items()
    }
