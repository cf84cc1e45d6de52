"""Opening the demo's workshops: their settings, bays and people, with passwords made now."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from uuid import uuid4

from jobs.demo.data import Person, Place
from jobs.models import NumberSeries
from shop.actor import Actor
from shop.models import Bay, Membership, User, Workshop
from shop.roles import Role
from shop.services import log, people, workshop

# Letters and digits that cannot be mistaken for one another when copied from a screen.
_LEGIBLE = "abcdefghjkmnpqrstuvwxyz23456789"


@dataclass(frozen=True, slots=True)
class SignIn:
    """What a person needs to come in; shown once and kept nowhere."""

    workshop: str
    role: Role
    name: str
    username: str
    password: str


@dataclass(frozen=True, slots=True)
class House:
    """One workshop at work: its people as actors by sign-in name, and its bays by name."""

    place: Place
    workshop: Workshop
    crew: Mapping[str, Actor]
    bays: Mapping[str, Bay]

    def holder(self, role: Role) -> Actor:
        """The first who holds this role."""
        return next(actor for actor in self.crew.values() if role in actor.roles)


def new_password() -> str:
    """Twelve legible characters in three groups: about 59 bits."""
    drawn = [secrets.choice(_LEGIBLE) for _ in range(12)]
    return "-".join("".join(drawn[start : start + 4]) for start in (0, 4, 8))


class Opening:
    """Opens one workshop after the other; somebody who works in two signs in once."""

    def __init__(self, make_password: Callable[[], str]) -> None:
        self.make_password = make_password
        self.known: dict[str, User] = {}
        self.passwords: dict[str, str] = {}
        self.sign_ins: list[SignIn] = []

    def open(self, place: Place, *, orders: int) -> House:
        """`orders`: how many will be written, so that the newest has the number it should."""
        site = Workshop.objects.create(
            name=place.name,
            slug=place.slug,
            order_prefix=place.order_prefix,
            address=place.address.strip(),
            phone=place.phone,
            labour_rate=place.labour_rate,
        )
        NumberSeries.objects.create(workshop=site, kind="order", last=place.newest_order - orders)
        owner = self._owner(place, site)
        bays = {name: workshop.add_bay(owner, act=uuid4(), name=name) for name in place.bays}
        crew = {name: self._join(owner, site, name, who) for name, who in place.people.items()}
        return House(place, site, crew, bays)

    def _owner(self, place: Place, site: Workshop) -> Actor:
        """The first person of a workshop: nobody is there yet who could add them."""
        name, who = next(pair for pair in place.people.items() if pair[1].role is Role.OWNER)
        user = self.known.get(name)
        if user is None:
            user = User.objects.create_user(name, who.name, self._password(name))
            self.known[name] = user
        Membership.objects.create(workshop=site, user=user, role=Role.OWNER)
        actor = Actor(user, site, frozenset({Role.OWNER}))
        log.write(
            actor,
            kind="workshop",
            subject_kind="workshop",
            subject_id=site.pk,
            words=f"set up the workshop {site.name}",
        )
        return actor

    def _join(self, owner: Actor, site: Workshop, name: str, who: Person) -> Actor:
        if name not in self.known:
            self.known[name] = people.add_person(
                owner,
                act=uuid4(),
                username=name,
                display_name=who.name,
                password=self._password(name),
                roles=[who.role],
            )
        self.sign_ins.append(SignIn(site.name, who.role, who.name, name, self.passwords[name]))
        return Actor(self.known[name], site, frozenset({who.role}))

    def _password(self, name: str) -> str:
        return self.passwords.setdefault(name, self.make_password())
