"""Who brings the vehicle: adding them and keeping their details right."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.db.models import F

from shop.actor import Actor
from shop.errors import Clash, Refusal
from shop.models import Customer
from shop.roles import Permit
from shop.search_keys import name_key
from shop.services import acts, log
from shop.services.rights import must

FEWEST_DIGITS = 5
# A letter may come apart into several; the key finds by its beginning all the same.
LONGEST_KEY = 120
_WORDS = {"name": "name", "phone": "telephone", "email": "e-mail"}


@dataclass(frozen=True, slots=True)
class CustomerInput:
    """As typed; at least one way to reach them."""

    name: str
    phone: str = ""
    email: str = ""


@transaction.atomic
def add_customer(actor: Actor, *, act: UUID | None, details: CustomerInput) -> Customer:
    """A new customer. `act` is None inside another act, which has claimed its UUID already.

    Raises Refusal for no name, no way to reach them, or an e-mail address that is none.
    """
    if act is not None:
        acts.claim(actor, act, "add customer")
    must(actor, Permit.EDIT_CUSTOMER)
    said = checked(details)
    customer: Customer = Customer.objects.create(
        workshop=actor.workshop,
        name=said.name,
        name_key=name_key(said.name)[:LONGEST_KEY],
        phone=said.phone,
        email=said.email,
    )
    _log(actor, customer, f"added the customer {customer.name}")
    return customer


@transaction.atomic
def change_customer(
    actor: Actor, customer: Customer, *, act: UUID, revision: int, details: CustomerInput
) -> Customer:
    """New details. `revision` is the one the person saw.

    Raises Clash when somebody changed the customer since, Refusal as `add_customer`.
    """
    acts.claim(actor, act, "change customer", about=customer)
    must(actor, Permit.EDIT_CUSTOMER)
    said = checked(details)
    fields = {"name": said.name, "phone": said.phone, "email": said.email}
    changed = [word for field, word in _WORDS.items() if getattr(customer, field) != fields[field]]
    rows = Customer.objects.of(actor).filter(pk=customer.pk, revision=revision)
    if not rows.update(
        revision=F("revision") + 1, name_key=name_key(said.name)[:LONGEST_KEY], **fields
    ):
        raise Clash(
            "Somebody changed this customer meanwhile. What you typed is still here: "
            "compare it with what stands now, then keep it."
        )
    customer.refresh_from_db()
    if changed:
        _log(actor, customer, f"changed {customer.name}’s {' and '.join(changed)}")
    return customer


def checked(details: CustomerInput) -> CustomerInput:
    """The same without stray spaces. Raises Refusal beside the field that is wrong."""
    name = " ".join(details.name.split())
    phone, email = " ".join(details.phone.split()), details.email.strip()
    if not name:
        raise Refusal("Write the customer’s name.", field="name")
    if not phone and not email:
        raise Refusal(
            "Write a telephone number or an e-mail address, so that they can be asked and told.",
            field="phone",
        )
    if phone and sum(letter.isdigit() for letter in phone) < FEWEST_DIGITS:
        raise Refusal("A telephone number has more digits than that.", field="phone")
    if email:
        try:
            validate_email(email)
        except ValidationError as error:
            raise Refusal(
                "This is no e-mail address; one looks like name@example.org.", field="email"
            ) from error
    return CustomerInput(name, phone, email)


def _log(actor: Actor, customer: Customer, words: str) -> None:
    log.write(actor, kind="customer", subject_kind="customer", subject_id=customer.pk, words=words)
