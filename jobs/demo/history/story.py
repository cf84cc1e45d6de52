"""The history of one workshop from its laws to its rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from uuid import uuid4

from jobs.demo.data import DemoProblem, EarlierVisit, World
from jobs.demo.history.draw import Drawer, Drawn, Work
from jobs.demo.history.laws import Truth
from jobs.demo.history.numbers import KeptFree
from jobs.demo.history.patterns import Pattern, pattern_of
from jobs.demo.history.plan import Done, Hands, Planner
from jobs.demo.history.writing import Writer
from jobs.demo.people import House
from jobs.models import ClockEntry, Comeback, RepairOrder
from jobs.services import comebacks, repairs
from jobs.services.kept_later import later
from shop import clock
from shop.roles import Role

Say = Callable[[str], None]
_DECIDED_AFTER = timedelta(hours=2)
_REASONS = {
    "workmanship": "A clip had been left unseated at the first repair.",
    "wrong_diagnosis": "The first repair left the true cause in place.",
    "not_found": "It comes and goes and was not there when the vehicle was.",
    "unrelated": "Something else; it only came soon after.",
}


@dataclass(slots=True)
class Past:
    """What is drawn for a workshop before its told jobs are lived through."""

    drawn: list[Drawn]
    free: KeptFree

    @property
    def orders(self) -> int:
        return self.free.orders


@dataclass(frozen=True, slots=True)
class Written:
    """The jobs of the history, and by their place the key of each order."""

    done: list[Done]
    orders: dict[int, int]


class History:
    """Draws before the told jobs, writes after them. `share` of the vehicles that the laws name."""

    def __init__(self, truth: Truth, world: World, share: float = 1.0) -> None:
        self.truth, self.world, self.share = truth, world, share

    def draw(self, slug: str) -> list[Drawn]:
        """The vehicles of a workshop with their contacts."""
        drawer = Drawer(self.truth, slug, self._works(slug))
        return drawer.vehicles(round(self.truth.vehicles[slug] * self.share))

    def keep_free(self, house: House, drawn: list[Drawn]) -> KeptFree:
        faults = self.world.faults.items()
        billed = {key for key, fault in faults if fault.cause or fault.assembly}
        return KeptFree(house.workshop, drawn, billed)

    def write(
        self,
        house: House,
        past: Past,
        told: Mapping[int, RepairOrder],
        *,
        now: datetime,
        say: Say,
    ) -> Written:
        """Everything that was drawn, as jobs like the told ones. `told`: by place among the earlier
        visits of the workshop."""
        slug, name = house.place.slug, house.place.name
        rng = Random(f"{self.truth.seed} {slug} written")  # noqa: S311  (alike in every load)
        patterns = self._patterns(slug, told)
        planner = Planner(self.truth, patterns, self._hands(house), now, rng)
        done = _so_many(planner.plan(past.drawn), past.orders, past.drawn, rng)
        say(f"{name}: {len(past.drawn)} vehicles and {len(done)} jobs of eighteen months planned")
        writer = Writer(house, self.world, now, rng)
        known = writer.vehicles(past.drawn)
        writer.glances(known)
        orders = writer.jobs(done, known)
        say(f"{name}: their jobs written")
        return Written(done, orders)

    def decide(self, house: House, written: Written, now: datetime) -> None:
        """What the manager said of the returns that the rule proposed, but of the youngest."""
        with later():
            self._decide(house, written.done, written.orders, now)
        repairs.rebuild(house.workshop)

    def _works(self, slug: str) -> dict[Work, int]:
        """What can be done again, and the place of the visit that told it."""
        platforms = {row.plate: row.platform for row in self.world.vehicles[slug]}
        return {
            Work(platforms[visit.plate], visit.fault, visit.at): place
            for place, visit in enumerate(self.world.earlier[slug])
            if visit.again
        }

    def _patterns(self, slug: str, told: Mapping[int, RepairOrder]) -> dict[Work, Pattern]:
        found = {}
        for work, place in self._works(slug).items():
            pattern = pattern_of(RepairOrder.objects.get(pk=told[place].pk))
            _check(self.world.earlier[slug][place], pattern, self.world)
            found[work] = pattern
        return found

    def _hands(self, house: House) -> Hands:
        people = house.place.people
        technicians = {
            actor.user.pk: people[name].manner
            for name, actor in house.crew.items()
            if Role.TECHNICIAN in actor.roles
        }
        hands = Hands(technicians)
        rows = ClockEntry.objects.filter(workshop=house.workshop, ended_at__isnull=False)
        for who, begin, end in rows.values_list("user", "started_at", "ended_at"):
            hands.book(who, [(begin, end)])
        return hands

    def _decide(
        self, house: House, done: Sequence[Done], orders: Mapping[int, int], now: datetime
    ) -> None:
        manager = house.holder(Role.MANAGER)
        found = {row.complaint.order_id: row for row in _proposed(house)}
        for place, job in enumerate(done):
            row = found.get(orders[place])
            at = job.ends + _DECIDED_AFTER
            young = now - at < timedelta(days=self.truth.returns.undecided_days)
            if row is None or young:
                continue
            cause = job.returned or "unrelated"
            with clock.at(at):
                comebacks.decide(
                    manager,
                    act=uuid4(),
                    comeback=row,
                    revision=row.revision,
                    cause=cause,
                    reason=_REASONS[cause],
                )


def _proposed(house: House) -> list[Comeback]:
    rows = Comeback.objects.filter(workshop=house.workshop, cause="")
    return list(rows.select_related("complaint"))


def _so_many(done: list[Done], many: int, drawn: Sequence[Drawn], rng: Random) -> list[Done]:
    """Exactly as many as numbers were kept for; those left out replaced no watched unit."""
    over = len(done) - many
    roots = {id(job.back_of) for job in done if job.back_of is not None}
    spare = [
        job
        for job in done
        if not job.contact.component and not job.returned and id(job) not in roots
    ]
    if not 0 <= over <= len(spare):
        raise DemoProblem(f"{len(done)} jobs of the history came about where {many} were expected.")
    out = {id(job) for job in rng.sample(spare, over)}
    for job in done:
        if id(job) in out:
            drawn[job.of].contacts.remove(job.contact)
    return [job for job in done if id(job) not in out]


def _check(visit: EarlierVisit, pattern: Pattern, world: World) -> None:
    """A pattern is a job that is over: one complaint, paid by the customer in full."""
    fault = world.faults[visit.fault]
    billed = 1 if fault.cause or fault.assembly else 0
    complaints = pattern.order.complaints.all()
    sound = (pattern.invoices, pattern.payments, len(complaints)) == (billed, billed, 1)
    if not sound or complaints[0].payer != "customer":
        raise DemoProblem(
            f"fixtures/demo/visits.yaml, {visit.ago} days ago, {visit.plate}: cannot be done "
            "again; it is not one complaint that the customer paid in full."
        )
