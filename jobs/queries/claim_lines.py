"""What another payer is asked for one complaint: its share of the lines, handling and taxes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.bill import Bill, SharedLine
from jobs.models import ClaimLine, ClaimPayer, Complaint, Replacement
from jobs.pricing import Group
from jobs.queries.priced import Row, bill_of_rows, in_order, live_rows, row_key
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

    The number of queries does not grow with the lines.
    """
    rows = [row for row in live_rows([complaint.order_id]) if row.complaint_id == complaint.pk]
    bill = bill_of_rows(complaint.order, rows)
    lines = [
        _line(row, one) for row, one in zip(in_order(rows), bill.lines, strict=True) if one.other
    ]
    return (*lines, *_handling(lines, payer), *(_taxes(bill) if payer.pays_tax else ()))


def sum_of(lines: Iterable[AskedLine]) -> Decimal:
    return total(line.amount for line in lines)


def differs(kept: Sequence[ClaimLine], asked: Sequence[AskedLine]) -> bool:
    """Whether the job says something else today than the lines of the claim."""
    return [(one.kind, one.text, one.amount) for one in kept] != [
        (one.kind, one.text, one.amount) for one in asked
    ]


def _line(row: Row, one: SharedLine) -> AskedLine:
    line = one.line
    return AskedLine(
        kind=_KINDS[line.kind.group],
        text=line.text,
        amount=one.other,
        quantity=line.quantity,
        unit_price=line.unit_price,
        row=row_key(row),
        part_number=row.part_number if isinstance(row, Replacement) else "",
    )


def _handling(lines: Sequence[AskedLine], payer: ClaimPayer) -> tuple[AskedLine, ...]:
    parts = total(line.amount for line in lines if line.kind == Kind.PART)
    amount = cents(parts * payer.handling_percent / _HUNDRED)
    if not amount:
        return ()
    words = f"Handling, {payer.handling_percent.normalize():f} % of {parts} for parts"
    return (AskedLine(Kind.HANDLING, words, amount, unit_price=amount),)


def _taxes(bill: Bill) -> tuple[AskedLine, ...]:
    found = []
    for tax in bill.taxes:
        amount = total((tax.amount, -tax.customer))
        if amount:
            words = f"{tax.name}, {tax.percent.normalize():f} %"
            found.append(AskedLine(Kind.TAX, words, amount, unit_price=amount))
    return tuple(found)
