"""Who is who: workshops, people and their roles, bays. Nothing here writes."""

from __future__ import annotations

from django.db.models import Prefetch, QuerySet

from shop.actor import Actor
from shop.models import Bay, Membership, User, Workshop
from shop.roles import Role


def own_workshop(user: User) -> Workshop | None:
    """That which the person joined first, where they work in several. One query."""
    first = Membership.objects.filter(user=user).select_related("workshop").order_by("pk").first()
    return first.workshop if first else None


def actor_in(user: User, slug: str) -> Actor | None:
    """The person acting in that workshop, or None when they do not belong to it."""
    here = Membership.objects.filter(user=user, workshop__slug=slug).order_by("pk")
    rows = list(here.select_related("workshop"))
    if not rows:
        return None
    return Actor(user, rows[0].workshop, frozenset(Role(row.role) for row in rows))


def people_of(actor: Actor) -> QuerySet[User]:
    """Everybody of the workshop, with their roles there as `memberships_here`."""
    here = Membership.objects.of(actor)
    return (
        User.objects.filter(pk__in=here.values("user"))
        .prefetch_related(Prefetch("memberships", queryset=here, to_attr="memberships_here"))
        .order_by("display_name", "pk")
    )


def roles_of(actor: Actor, person: User) -> frozenset[Role]:
    """The person's roles in the actor's workshop."""
    rows = Membership.objects.of(actor).filter(user=person)
    return frozenset(Role(role) for role in rows.values_list("role", flat=True))


def technicians_of(actor: Actor) -> QuerySet[User]:
    """Those who may be given a job: the active technicians of the workshop."""
    here = Membership.objects.of(actor).filter(role=Role.TECHNICIAN)
    return User.objects.filter(pk__in=here.values("user"), is_active=True)


def bays_of(actor: Actor) -> QuerySet[Bay]:
    return Bay.objects.of(actor)
