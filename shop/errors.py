"""What a service says when it will not do something. Pure: no Django."""

from __future__ import annotations

from uuid import UUID


class Refusal(Exception):
    """A refusal that a person can act on.

    `sentence` says what is wrong and, where it helps, what would be right;
    `field` names the form field it belongs to, or None for the whole act.
    """

    def __init__(self, sentence: str, *, field: str | None = None) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class Clash(Refusal):
    """Somebody else changed the same thing first."""


class AlreadyDone(Exception):
    """The act with this UUID was recorded before; answer as if it had just succeeded.

    `kind` is what was to be done now and `subject` to what: the same UUID under another kind, for
    another thing, or from another person, is no second sending of the same act.
    """

    def __init__(self, act: UUID, kind: str, subject: str = "") -> None:
        super().__init__(f"{kind} {act}")
        self.act = act
        self.kind = kind
        self.subject = subject
