"""The right to an act, asked once more where it is done."""

from __future__ import annotations

from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Denied, Permit


def must(actor: Actor, permit: Permit) -> None:
    """Raises Refusal with the sentence of shop.roles when the person may not."""
    answer = actor.answer(permit)
    if isinstance(answer, Denied):
        raise Refusal(answer.reason)
