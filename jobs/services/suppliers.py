"""Suppliers: a name of the catalogue becomes a row when it is first used."""

from __future__ import annotations

from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import IntegrityError, transaction
from django.db.models import F

from jobs.models import Supplier
from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Workshop
from shop.roles import Permit
from shop.services import acts, log
from shop.services.rights import must

LONGEST_NAME = 80


def supplier_for(workshop: Workshop, name: str) -> Supplier:
    """The supplier of this name, made when there is none; capitals do not make another."""
    name = " ".join(name.split())
    if not name:
        raise Refusal("Type the supplier.", field="supplier")
    if len(name) > LONGEST_NAME:
        raise Refusal(f"A supplier’s name has at most {LONGEST_NAME} characters.", field="supplier")
    rows = Supplier.objects.filter(workshop=workshop)
    found = rows.filter(name=name).first() or rows.filter(name__iexact=name).first()
    if found is None:
        try:
            with transaction.atomic():
                found = Supplier.objects.create(workshop=workshop, name=name)
        except IntegrityError:  # another clerk made it in the same moment
            found = rows.get(name=name)
    supplier: Supplier = found
    return supplier


@transaction.atomic
def add(actor: Actor, *, act: UUID, name: str, **said: str) -> Supplier:
    """A supplier that no order names yet. Raises Refusal for a name that is there already."""
    acts.claim(actor, act, "add supplier", sent=(name, *sorted(said.items())))
    must(actor, Permit.MANAGE_STOCK)
    if Supplier.objects.of(actor).filter(name__iexact=" ".join(name.split())).exists():
        raise Refusal("A supplier of this name is in the list already.", field="name")
    supplier = supplier_for(actor.workshop, name)
    _write(supplier, said)
    _log(actor, supplier, f"added the supplier {supplier.name}")
    return supplier


@transaction.atomic
def edit(
    actor: Actor, *, act: UUID, supplier: Supplier, revision: int, name: str, **said: str
) -> Supplier:
    """Change what is kept of a supplier; `said` holds account, email, phone, address.

    Papers and jobs keep the name under which they were ordered.
    """
    acts.claim(actor, act, "edit supplier", about=supplier)
    must(actor, Permit.MANAGE_STOCK)
    name = " ".join(name.split())
    if not name:
        raise Refusal("Type the supplier’s name.", field="name")
    twin = Supplier.objects.of(actor).filter(name__iexact=name).exclude(pk=supplier.pk)
    if twin.exists():
        raise Refusal("Another supplier has this name already.", field="name")
    taken = Supplier.objects.of(actor).filter(pk=supplier.pk, revision=revision)
    if not taken.update(revision=F("revision") + 1):
        raise Clash("Somebody changed this supplier meanwhile. The page shows how it stands now.")
    supplier.refresh_from_db()
    supplier.name = name[:LONGEST_NAME]
    _write(supplier, said)
    _log(actor, supplier, f"changed the supplier {supplier.name}")
    return supplier


def _write(supplier: Supplier, said: dict[str, str]) -> None:
    email = said.get("email", "").strip()
    if email:
        try:
            validate_email(email)
        except ValidationError:
            raise Refusal("That is no e-mail address.", field="email") from None
    supplier.account = said.get("account", "").strip()[:40]
    supplier.email = email
    supplier.phone = said.get("phone", "").strip()[:40]
    supplier.address = said.get("address", "").strip()
    supplier.save()


def _log(actor: Actor, supplier: Supplier, words: str) -> None:
    log.write(actor, kind="parts", subject_kind="supplier", subject_id=supplier.pk, words=words)
