"""What another payer is asked for one complaint: its share of the lines, handling and taxes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.models import ClaimLine, ClaimPayer, Complaint, Replacement
from jobs.pricing import Group
from jobs.queries.claim_shares import Part, PayersTax, rows_by_part, shares
from jobs.queries.priced import Row, live_rows, row_key
from shop.money import cents, total

Kind = ClaimLine.Kind
_KINDS = {Group.ASSEMBLIES: Kind.PART, Group.LABOUR: Kind.LABOUR, Group.SUBLET: Kind.SUBLET}
_HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class AskedLine:
    """One line to ask for; `row` names the row of the job, "" for handling and taxes."""

    kind: str
    text: str
    amount: Decimal
    quantity: Decimal = Decimal(1)
    unit_price: Decimal = Decimal(0)
    row: str = ""
    part_number: str = ""


def asked_lines(complaint: Complaint, payer: ClaimPayer) -> tuple[AskedLine, ...]:
    """As the invoice puts it down for the payer, with its taxes, and handling beside it.

    Before there is one, as the job stands today. Taxes of an order with several complaints are
    split, so that its claims make the invoice to the cent. The number of queries does not grow
    with the lines.
    """
    rows = live_rows([complaint.order_id])
    shared = shares(complaint.order, rows)
    parts = [part for part in shared.of(complaint.line) if part.other]
    own = [row for row in rows if row.complaint_id == complaint.pk]
    behind = rows_by_part(parts, own)
    lines = [_line(row, part) for row, part in zip(behind, parts, strict=True)]
    taxes = shared.taxes_of(complaint.line) if payer.pays_tax else ()
    return (*lines, *_handling(lines, payer), *_taxes(taxes))


def sum_of(lines: Iterable[AskedLine]) -> Decimal:
    return total(line.amount for line in lines)


def differs(kept: Sequence[ClaimLine], asked: Sequence[AskedLine]) -> bool:
    """Whether the job says something else today than the lines of the claim."""
    return [(one.kind, one.text, one.amount) for one in kept] != [
        (one.kind, one.text, one.amount) for one in asked
    ]


def _line(row: Row | None, part: Part) -> AskedLine:
    return AskedLine(
        kind=_KINDS[part.group],
        text=part.text,
        amount=part.other,
        quantity=part.quantity,
        unit_price=part.unit_price,
        row=row_key(row) if row is not None else "",
        part_number=row.part_number if isinstance(row, Replacement) else "",
    )


def _handling(lines: Sequence[AskedLine], payer: ClaimPayer) -> tuple[AskedLine, ...]:
    parts = total(line.amount for line in lines if line.kind == Kind.PART)
    amount = cents(parts * payer.handling_percent / _HUNDRED)
    if not amount:
        return ()
    words = f"Handling, {payer.handling_percent.normalize():f} % of {parts} for parts"
    return (AskedLine(Kind.HANDLING, words, amount, unit_price=amount),)


def _taxes(taxes: Iterable[tuple[PayersTax, Decimal]]) -> tuple[AskedLine, ...]:
    return tuple(
        AskedLine(
            Kind.TAX,
            f"{tax.name}, {tax.percent.normalize():f} %",
            amount,
            unit_price=amount,
        )
        for tax, amount in taxes
        if amount
    )
