"""What may be done with a claim, from which state, and whose move it is. Pure.

The states are those of jobs.models.Claim by their kept names. Money moves a claim by rules of its
own (jobs.claims.settled).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class State(StrEnum):
    DRAFT = "draft"
    APPROVED = "approved"
    SENT = "sent"
    ASKED = "asked"
    ACCEPTED = "accepted"
    SHORT = "short"
    REFUSED = "refused"
    PAID = "paid"
    WRITTEN_OFF = "written_off"
    VOID = "void"


class Step(StrEnum):
    WORD = "word"
    APPROVE = "approve"
    REOPEN = "reopen"
    SEND = "send"
    ANSWER = "answer"
    WRITE_OFF = "write_off"
    VOID = "void"


UNSENT = frozenset({State.DRAFT, State.APPROVED})
CLOSED = frozenset({State.PAID, State.WRITTEN_OFF, State.VOID})
ANSWERED = frozenset({State.ASKED, State.ACCEPTED, State.SHORT, State.REFUSED})
OUT = frozenset({State.SENT, *ANSWERED})

_FROM: Mapping[Step, frozenset[State]] = MappingProxyType(
    {
        Step.WORD: frozenset({State.DRAFT}),
        Step.APPROVE: frozenset({State.DRAFT}),
        # Sent again it is another paper, so that its words are opened and approved anew.
        Step.REOPEN: frozenset({State.APPROVED, State.ASKED, State.SHORT, State.REFUSED}),
        Step.SEND: frozenset({State.APPROVED}),
        Step.ANSWER: OUT,
        Step.WRITE_OFF: OUT,
        Step.VOID: UNSENT,
    }
)
_DONE: Mapping[Step, str] = MappingProxyType(
    {
        Step.WORD: "its words are changed only while it is being prepared",
        Step.APPROVE: "only what is being prepared is approved",
        Step.REOPEN: "it is not opened again now",
        Step.SEND: "only an approved claim is sent",
        Step.ANSWER: "an answer belongs to a claim that was sent",
        Step.WRITE_OFF: "only what was sent and is still owed is written off",
        Step.VOID: "only a claim that was not sent is struck out",
    }
)
_WORDS: Mapping[State, str] = MappingProxyType(
    {
        State.DRAFT: "being prepared",
        State.APPROVED: "approved and to be sent",
        State.SENT: "sent and not answered",
        State.ASKED: "sent, and the payer wants more",
        State.ACCEPTED: "accepted",
        State.SHORT: "accepted for less",
        State.REFUSED: "refused",
        State.PAID: "paid",
        State.WRITTEN_OFF: "written off",
        State.VOID: "void",
    }
)


class Whose(StrEnum):
    """Who must do something next."""

    DESK = "desk"
    MANAGER = "manager"
    PAYER = "payer"
    NOBODY = "nobody"


@dataclass(frozen=True, slots=True)
class Next:
    """`act` says in a sentence what is to be done."""

    whose: Whose
    act: str


_NEXT: Mapping[State, Next] = MappingProxyType(
    {
        State.DRAFT: Next(Whose.MANAGER, "Read it, add what is missing, and approve it."),
        State.APPROVED: Next(Whose.DESK, "Send it, and say here how it went."),
        State.SENT: Next(Whose.PAYER, "Record the payer’s answer when it comes."),
        State.ASKED: Next(
            Whose.DESK,
            "Do what the payer asks: send the part, or open the claim again, add it, and send it.",
        ),
        State.ACCEPTED: Next(Whose.PAYER, "Book the money when it comes."),
        State.SHORT: Next(
            Whose.MANAGER, "Open it again with what proves the rest, or write the rest off."
        ),
        State.REFUSED: Next(Whose.MANAGER, "Open it again with what was missing, or write it off."),
        State.PAID: Next(Whose.NOBODY, "Nothing is left to do."),
        State.WRITTEN_OFF: Next(Whose.NOBODY, "Nothing is left to do."),
        State.VOID: Next(Whose.NOBODY, "Nothing is left to do."),
    }
)


def may(step: Step, state: State) -> bool:
    """Whether a claim in this state takes this step."""
    return state in _FROM[step]


def why_not(step: Step, state: State, number: str) -> str:
    """The sentence that refuses; "" when the step may be taken."""
    if may(step, state):
        return ""
    return f"{number} is {_WORDS[state]}; {_DONE[step]}."


def steps_from(state: State) -> tuple[Step, ...]:
    """Every step that may be taken from here, in the order in which they come up."""
    return tuple(step for step in Step if may(step, state))


def next_of(state: State) -> Next:
    """Whose move it is and what it is."""
    return _NEXT[state]
