"""The head of a paper as it was issued: whose it is, its number and its plate, whatever came since.

The papers' frame asks a workshop for its name and address and an order for its number and plate;
these answer the same from the invoice's own words.
"""

from __future__ import annotations

from dataclasses import dataclass

from jobs.models import Invoice


@dataclass(frozen=True, slots=True)
class Sender:
    name: str
    address: str
    phone: str
    currency: str


@dataclass(frozen=True, slots=True)
class Heading:
    number: str
    plate: str

    @property
    def vehicle(self) -> Heading:
        return self


def sender_of(invoice: Invoice) -> Sender:
    name, _line, rest = invoice.from_words.partition("\n")
    currency = invoice.currency or invoice.workshop.currency
    return Sender(name or invoice.workshop.name, rest, "", currency)
