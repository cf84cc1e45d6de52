"""Making the first workshop and its owner on an empty database, with the token of the console."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from shop import first_run
from shop.actor import Actor
from shop.errors import Refusal
from shop.models import Bay, Membership, User, Workshop
from shop.roles import Role
from shop.services import log

# Words that stand first in an address of their own and so cannot name a workshop there.
TAKEN = frozenset({"sign-in", "sign-out", "theme", "alive", "first", "static"})

LONGEST_SLUG = 40


@dataclass(frozen=True, slots=True)
class Beginning:
    """What the first page asks."""

    workshop: str
    order_prefix: str
    bays: int
    owner: str
    username: str
    password: str


@transaction.atomic
def begin(token: str, beginning: Beginning) -> Actor:
    """Make the workshop, its bays and its owner, who is service manager too; burn the token.

    Raises Refusal when the token is not the console's, when a workshop exists already, or when
    a name or the password will not do.
    """
    if Workshop.objects.exists():
        raise Refusal("The workshop is set up already. Sign in instead.")
    if not first_run.token_matches(token):
        raise Refusal("This address was printed by another start. Use the newest one.")
    slug = slugify(beginning.workshop)[:LONGEST_SLUG].rstrip("-")
    if not slug or slug in TAKEN:
        raise Refusal("This name cannot stand in an address; add a word.", field="workshop")
    owner = User(username=beginning.username, display_name=beginning.owner)
    try:
        validate_password(beginning.password, owner)
    except ValidationError as error:
        raise Refusal(" ".join(error.messages), field="password") from error
    owner.set_password(beginning.password)
    owner.save()
    workshop = Workshop.objects.create(
        name=beginning.workshop, slug=slug, order_prefix=beginning.order_prefix.upper()
    )
    Bay.objects.bulk_create(
        Bay(workshop=workshop, name=f"Bay {number + 1}") for number in range(beginning.bays)
    )
    roles = frozenset({Role.OWNER, Role.MANAGER})
    Membership.objects.bulk_create(
        Membership(workshop=workshop, user=owner, role=role) for role in roles
    )
    actor = Actor(owner, workshop, roles)
    log.write(
        actor,
        kind="workshop",
        subject_kind="workshop",
        subject_id=workshop.pk,
        words=f"set up the workshop {workshop.name}",
    )
    transaction.on_commit(first_run.burn_token)
    return actor
