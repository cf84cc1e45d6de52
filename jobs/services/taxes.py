"""The taxes of a workshop. What was given or issued keeps the tax it was written with."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from jobs.models import Tax
from jobs.services.terms import begin_change, finish_change
from shop.actor import Actor
from shop.errors import Refusal
from shop.roles import Permit
from shop.services import acts
from shop.services.rights import must

MOST_TAXES = 6  # that an invoice can show one under the other


@dataclass(frozen=True, slots=True)
class TaxInput:
    name: str
    percent: Decimal
    on_assemblies: bool
    on_labour: bool
    on_sublet: bool
    customer_only: bool


@transaction.atomic
def add_tax(actor: Actor, *, act: UUID, revision: int, tax: TaxInput) -> Tax:
    """Raises Refusal beside the field that cannot be so, and Clash as `change_terms`."""
    acts.claim(actor, act, "add tax", sent=(tax,))
    must(actor, Permit.MANAGE_WORKSHOP)
    terms = begin_change(actor, revision)
    if Tax.objects.of(actor).filter(retired=False).count() >= MOST_TAXES:
        raise Refusal(f"At most {MOST_TAXES} taxes hold at once. Retire one first.")
    row = Tax(workshop=actor.workshop)
    _fill(actor, row, tax)
    finish_change(actor, terms, f"added the tax {_words(row)}")
    return row


@transaction.atomic
def change_tax(actor: Actor, row: Tax, *, act: UUID, revision: int, tax: TaxInput) -> None:
    """From now on; papers that were given keep the old rate. Raises as `add_tax`."""
    acts.claim(actor, act, "change tax", about=row)
    must(actor, Permit.MANAGE_WORKSHOP)
    terms = begin_change(actor, revision)
    row.refresh_from_db()
    if row.retired:
        raise Refusal("This tax was retired. Add it anew if it is to hold again.")
    before = _words(row)
    _fill(actor, row, tax)
    if _words(row) != before:
        finish_change(actor, terms, f"changed the tax {before} to {_words(row)}")


@transaction.atomic
def retire_tax(actor: Actor, row: Tax, *, act: UUID, revision: int) -> None:
    """It is charged no more from now on, and stays on every paper that has it."""
    acts.claim(actor, act, "retire tax", about=row)
    must(actor, Permit.MANAGE_WORKSHOP)
    terms = begin_change(actor, revision)
    if Tax.objects.filter(pk=row.pk, retired=False).update(retired=True):
        finish_change(actor, terms, f"retired the tax {_words(row)}")


def _fill(actor: Actor, row: Tax, tax: TaxInput) -> None:
    name = " ".join(tax.name.split())
    if not name:
        raise Refusal("Type the name as it is to stand on papers.", field="name")
    if tax.percent < 0:
        raise Refusal("A tax cannot be below zero.", field="percent")
    if tax.percent > 100:
        raise Refusal(
            f"A tax of {tax.percent.normalize():f} % would be more than the work itself. "
            "Type a percentage from 0 to 100.",
            field="percent",
        )
    if not (tax.on_assemblies or tax.on_labour or tax.on_sublet):
        raise Refusal(
            "Tick what it is laid on: parts and materials, labour or sublet work.",
            field="on_assemblies",
        )
    same = Tax.objects.of(actor).filter(name__iexact=name, retired=False).exclude(pk=row.pk)
    if same.exists():
        raise Refusal("A tax of this name holds already. Change that one.", field="name")
    row.name, row.percent, row.customer_only = name, tax.percent, tax.customer_only
    row.on_assemblies, row.on_labour, row.on_sublet = (
        tax.on_assemblies,
        tax.on_labour,
        tax.on_sublet,
    )
    row.save()


def _words(row: Tax) -> str:
    laid = (
        (row.on_assemblies, "parts and materials"),
        (row.on_labour, "labour"),
        (row.on_sublet, "sublet work"),
    )
    on = ", ".join(words for holds, words in laid if holds)
    whom = ", only what the customer pays" if row.customer_only else ""
    return f"{row.name} {row.percent.normalize():f} % on {on}{whom}"
