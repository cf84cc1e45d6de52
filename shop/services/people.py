"""Who works here and as what. Every change is logged; nobody is ever deleted."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Membership, User
from shop.queries.people import roles_of
from shop.roles import Permit, Role
from shop.services import acts, log
from shop.services.rights import must


@transaction.atomic
def add_person(
    actor: Actor,
    *,
    act: UUID,
    username: str,
    display_name: str,
    password: str,
    roles: Iterable[Role],
) -> User:
    """A new person with roles in the actor's workshop.

    Raises Refusal when the sign-in name is taken, no role is chosen, or the password is weak.
    """
    acts.claim(actor, act, "add person")
    must(actor, Permit.MANAGE_PEOPLE)
    chosen = _at_least_one(roles)
    name = User.normalize_username(username.strip())
    if User.objects.filter(username__iexact=name).exists():
        raise Refusal(
            "Somebody signs in by this name already. Add a letter or a number to it.",
            field="username",
        )
    user = User(username=name, display_name=display_name.strip())
    _check_password(password, user)
    user.set_password(password)
    user.save()
    _give_roles(actor, user, chosen)
    _log(actor, user, f"added {user.display_name} as {_words(chosen)}")
    return user


@transaction.atomic
def change_person(
    actor: Actor,
    person: User,
    *,
    act: UUID,
    display_name: str,
    roles: Iterable[Role],
    may_sign_in: bool,
) -> None:
    """Name, roles in this workshop, and whether they may sign in.

    Raises Refusal when the workshop would be left without an owner who can sign in, and when
    the door of another workshop would be opened or shut with this one's.
    """
    acts.claim(actor, act, "change person", about=person)
    must(actor, Permit.MANAGE_PEOPLE)
    chosen = _at_least_one(roles)
    before = roles_of(actor, person)
    if Role.OWNER in before and (Role.OWNER not in chosen or not may_sign_in):
        _keep_an_owner(actor, person)
    if may_sign_in != person.is_active:
        _must_answer_for(actor, person, field="may_sign_in")
    person.display_name = display_name.strip()
    person.is_active = may_sign_in
    person.save(update_fields=["display_name", "is_active"])
    Membership.objects.of(actor).filter(user=person).exclude(role__in=chosen).delete()
    _give_roles(actor, person, chosen - before)
    says = f"set {person.display_name} to {_words(chosen)}"
    _log(actor, person, says if may_sign_in else f"{says}; may no longer sign in")


@transaction.atomic
def set_password(actor: Actor, person: User, *, act: UUID, password: str) -> None:
    """A new password for somebody who forgot theirs.

    Raises Refusal when it is weak, or would open a workshop that is not the actor's.
    """
    acts.claim(actor, act, "set password", about=person)
    must(actor, Permit.MANAGE_PEOPLE)
    _must_answer_for(actor, person, field="password")
    _check_password(password, person)
    person.set_password(password)
    person.save(update_fields=["password"])
    _log(actor, person, f"gave {person.display_name} a new password")


def _at_least_one(roles: Iterable[Role]) -> frozenset[Role]:
    chosen = frozenset(roles)
    if not chosen:
        raise Refusal("Choose at least one role; without one nothing can be opened.", field="roles")
    return chosen


def _give_roles(actor: Actor, user: User, roles: Iterable[Role]) -> None:
    Membership.objects.bulk_create(
        Membership(workshop=actor.workshop, user=user, role=role) for role in sorted(roles)
    )


def _keep_an_owner(actor: Actor, leaving: User) -> None:
    others = (
        Membership.objects.of(actor)
        .filter(role=Role.OWNER, user__is_active=True)
        .exclude(user=leaving)
    )
    if not others.exists():
        raise Refusal(
            f"{leaving.display_name} is the only owner. Make somebody else an owner first.",
            field="roles",
        )


def _must_answer_for(actor: Actor, person: User, *, field: str) -> None:
    """Signing in opens every workshop of a person: only an owner of all of them decides on it."""
    owned = Membership.objects.filter(user=actor.user, role=Role.OWNER).values("workshop")
    if Membership.objects.filter(user=person).exclude(workshop__in=owned).exists():
        raise Refusal(
            f"{person.display_name} works in another workshop too. Only somebody who owns all of "
            "their workshops may change how they sign in.",
            field=field,
        )


def _check_password(password: str, user: User) -> None:
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise Refusal(" ".join(error.messages), field="password") from error


def _words(roles: Iterable[Role]) -> str:
    return " and ".join(sorted(role.label for role in roles))


def _log(actor: Actor, person: User, words: str) -> None:
    log.write(actor, kind="people", subject_kind="person", subject_id=person.pk, words=words)
