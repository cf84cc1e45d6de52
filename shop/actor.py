"""Who acts, where, and what they may do there."""

from __future__ import annotations

from dataclasses import dataclass

from shop.models import User, Workshop
from shop.roles import Allowed, Denied, Permit, Role, decide


@dataclass(frozen=True, slots=True)
class Actor:
    """A signed-in person acting in one workshop."""

    user: User
    workshop: Workshop
    roles: frozenset[Role]

    def answer(self, permit: Permit) -> Allowed | Denied:
        return decide(self.roles, permit)

    def may(self, permit: Permit) -> bool:
        return isinstance(self.answer(permit), Allowed)
