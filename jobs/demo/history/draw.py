"""A workshop's past drawn from stated laws: vehicles, what fails on them, and when they come.

Days count from the day of loading, which is 0; all lie before it. A vehicle is drawn from its first
contact on, and its units are those that lasted until then. The same seed gives the same past.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import TypeVar

from jobs.demo.history.laws import KindLaw, Law, Truth

Draw = TypeVar("Draw")
_MONTH = 30.44


@dataclass(frozen=True, slots=True)
class Work:
    """A job that can be done again: a told fault on a platform, at a corner ("" for none)."""

    platform: str
    fault: str
    corner: str


@dataclass(slots=True)
class Contact:
    """A day on which a vehicle was seen; `work` None: only looked at. `component`: the watched unit
    that failed; `batch`: of the unit fitted, "" for the usual ones. `came_back`: days after the
    repair that this is the return of, 0 where it is none."""

    day: int
    work: Work | None = None
    component: str = ""
    batch: str = ""
    came_back: int = 0


@dataclass(slots=True)
class Drawn:
    platform: str
    in_service: int  # days before the load, below nought
    km_a_day: float
    contacts: list[Contact] = field(default_factory=list)

    def km_on(self, day: int) -> int:
        return max(1, round((day - self.in_service) * self.km_a_day))


@dataclass(frozen=True, slots=True)
class _Place:
    component: str
    corner: str


class Drawer:
    """Draws the vehicles of one workshop, of which only work in `known` can be done again."""

    def __init__(self, truth: Truth, slug: str, known: Collection[Work]) -> None:
        self.truth = truth
        self.rng = Random(f"{truth.seed} {slug}")  # noqa: S311  (the same past in every load)
        self.known = sorted(known, key=lambda work: (work.platform, work.fault, work.corner))
        self.laws = {law.component: law for law in truth.kinds}
        self.corners = self._corners()

    def vehicles(self, many: int) -> list[Drawn]:
        weights = self.truth.platforms
        platforms = [code for code in weights if any(w.platform == code for w in self.known)]
        chosen = self.rng.choices(platforms, [weights[code] for code in platforms], k=many)
        return [self._vehicle(platform) for platform in chosen]

    def _corners(self) -> dict[str, list[_Place]]:
        """By platform the places whose failure can be told: a kind at a corner."""
        found: dict[str, list[_Place]] = {}
        for law in self.truth.kinds:
            for work in self.known:
                place = _Place(law.component, work.corner)
                places = found.setdefault(work.platform, [])
                if work.fault in law.faults and place not in places:
                    places.append(place)
        return found

    def _vehicle(self, platform: str) -> Drawn:
        rng, habits = self.rng, self.truth.habits
        first = -rng.randrange(2, self.truth.opened)
        age = max(30.0, rng.lognormvariate(math.log(habits.age_median), habits.age_sigma))
        km = rng.lognormvariate(math.log(habits.km_median), habits.km_sigma)
        drawn = Drawn(platform, round(first - age), km / _MONTH)
        lost = first + rng.expovariate(habits.lost_a_year / 365.25)
        places = self.corners.get(platform, [])
        begun = first - drawn.in_service
        fails = {
            place: drawn.in_service
            + self.laws[place.component].age_after(rng.expovariate(1), begun)
            for place in places
        }
        if places and rng.random() < habits.first_by_failure:
            # Brought here by a failure: the likelier, the higher the hazard at that age.
            laws = [self.laws[place.component] for place in places]
            near = [law.hazard_to(age + 30) - law.hazard_to(age) for law in laws]
            fails[rng.choices(places, near)[0]] = first
        else:
            drawn.contacts.append(Contact(first))
        self._live(drawn, fails, first, min(lost, -1.0))
        return drawn

    def _live(self, drawn: Drawn, fails: dict[_Place, float], day: int, until: float) -> None:
        """From the first contact until the customer is lost or the day of loading is near."""
        routine, other = float(day) + self._gap(), day + self._wait(self.truth.others.a_year)
        while True:
            failed = min(fails, key=lambda place: fails[place], default=None)
            failure = fails[failed] if failed is not None else math.inf
            day = math.ceil(min(routine, other, failure))
            if day > until:
                return
            if failed is not None and failure <= min(routine, other):
                drawn.contacts.append(self._repair(drawn.platform, failed, fails, day))
            elif other <= routine:
                work = self._pick(drawn.platform, self.truth.others.faults)
                drawn.contacts.append(Contact(day, work))
                other = day + self._wait(self.truth.others.a_year)
            else:
                drawn.contacts.append(Contact(day))
            routine = day + self._gap()

    def _repair(
        self, platform: str, place: _Place, fails: dict[_Place, float], day: int
    ) -> Contact:
        own = self.laws[place.component]
        batch, law = self._fitted(own, day)
        fails[place] = day + max(0.5, law.age_after(self.rng.expovariate(1)))
        work = self._pick(platform, own.faults, place.corner)
        assert work is not None  # a place is one of which a job was told
        return Contact(day, work, place.component, batch)

    def _fitted(self, law: KindLaw, day: int) -> tuple[str, Law]:
        early = self.truth.early
        at_the_time = -early.from_day <= day <= -early.to_day
        if law.component == early.component and at_the_time and self.rng.random() < early.share:
            return early.batch, early
        return "", law

    def _pick(
        self, platform: str, faults: Mapping[str, float], corner: str | None = None
    ) -> Work | None:
        fit = [
            work
            for work in self.known
            if work.platform == platform and work.fault in faults and corner in (None, work.corner)
        ]
        return self.rng.choices(fit, [faults[work.fault] for work in fit])[0] if fit else None

    def _gap(self) -> float:
        habits = self.truth.habits
        return self.rng.gammavariate(habits.gap_shape, habits.gap_mean / habits.gap_shape)

    def _wait(self, a_year: float) -> float:
        return self.rng.expovariate(a_year / 365.25)


def weighted(rng: Random, shares: Mapping[Draw, float]) -> Draw:
    """One of them, by its share."""
    names: Sequence[Draw] = list(shares)
    return rng.choices(names, [shares[name] for name in names])[0]
