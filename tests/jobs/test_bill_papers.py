"""What an invoice and a credit note print adds up, read back by pypdf and added up here by hand.

Nothing is taken from the rows they were made from: only what a customer could check with a pencil.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from jobs.models import Complaint, Invoice, OtherLine
from shop.actor import Actor
from shop.money import format_amount
from tests.cast import client_of
from tests.jobs.along import Crew
from tests.jobs.bills import a_job, a_tax, credit, issue, set_terms

D = Decimal
MONEY = r"−?\$([\d,]+\.\d\d)"
# How much of a line at which price, or of what it is a part; then its amount, and the customer's.
LINE = re.compile(rf"(?:([\d.]+)(?: h)? × {MONEY}|in part, of {MONEY}) {MONEY}(?: {MONEY})?")
TAX = re.compile(rf"Sales tax, ([\d.]+) % of {MONEY}(?:, rounded for each payer)? {MONEY}")


@dataclass(frozen=True, slots=True)
class Printed:
    text: str
    pages: int

    def after(self, words: str) -> Decimal:
        found = re.search(rf"{re.escape(words)} {MONEY}", self.text)
        assert found, (words, self.text)
        return money(found[1])

    @property
    def lines(self) -> list[tuple[Decimal, Decimal]]:
        """Amount and customer's part of each line; a line that is sold by count is checked."""
        found = LINE.findall(self.text)
        for count, price, _whole, amount, _customer in found:
            if count:
                right = (D(count) * money(price)).quantize(D("0.01"), ROUND_HALF_UP)
                assert money(amount) == right, (count, price, amount)
        return [(money(one[3]), money(one[4] or one[3])) for one in found]

    @property
    def taxes(self) -> list[Decimal]:
        return [money(amount) for _percent, _base, amount in TAX.findall(self.text)]


def money(text: str) -> Decimal:
    return D(text.replace(",", ""))


def printed(actor: Actor, invoice: Invoice, paper: str = "A4") -> Printed:
    url = reverse("invoice-pdf", args=[invoice.workshop.slug, invoice.number])
    answer = client_of(actor).get(url, {"paper": paper})
    assert answer.status_code == 200
    reader = PdfReader(BytesIO(answer.content))
    text = " ".join(page.extract_text() for page in reader.pages)
    return Printed(" ".join(text.split()), len(reader.pages))


def adds_up(paper: Printed, lines: int, last: str) -> None:
    """Lines make the sum before tax, taxes the total, and both payers make it too."""
    amounts = [amount for amount, _customer in paper.lines]
    assert len(amounts) == lines
    before_tax = paper.after("Total before tax")
    assert sum(amounts) == before_tax
    groups = ("Labour and diagnosis", "Parts and materials, without tax")
    assert sum(paper.after(words) for words in groups) == before_tax
    total = before_tax + sum(paper.taxes)
    others = paper.after("Of that borne by other payers, with their tax")
    assert others + paper.after(last) == total
    customers = sum(customer for _amount, customer in paper.lines)
    assert customers <= paper.after(last) <= customers + sum(paper.taxes)
    assert paper.text.count(f"Total {format_amount(total, '$')}") == 1


def a_long_invoice(crew: Crew, lines: int, rounding: str) -> Invoice:
    """Of a third goodwill, with odd quantities at odd prices, so that most lines need rounding."""
    workshop = crew.manager.workshop
    a_tax(workshop, on_assemblies=True)
    set_terms(workshop, tolerance_percent=D(900), tax_rounding=rounding)
    order = a_job(crew)
    complaint: Complaint = order.complaints.get()
    Complaint.objects.filter(pk=complaint.pk).update(payer="goodwill", payer_percent=D("33.33"))
    OtherLine.objects.bulk_create(
        OtherLine(
            complaint=complaint,
            kind="material",
            text=f"Material {number:02}",
            quantity=D("0.25") + D("0.35") * (number % 7),
            unit_price=D("1.07") + D("0.19") * (number % 11),
        )
        for number in range(lines - 2)
    )
    return issue(crew.manager, order)


@pytest.mark.parametrize(
    ("lines", "rounding", "paper"), [(5, "line", "A4"), (60, "total", "Letter"), (60, "line", "A4")]
)
def test_the_printed_lines_of_an_invoice_make_its_printed_totals(
    crew: Crew, lines: int, rounding: str, paper: str
) -> None:
    invoice = a_long_invoice(crew, lines, rounding)
    read = printed(crew.manager, invoice, paper)
    adds_up(read, lines, "To be paid by the customer")
    assert (read.pages > 1) is (lines > 50)


def test_the_printed_lines_of_credit_notes_make_theirs_and_the_invoice(crew: Crew) -> None:
    invoice = a_long_invoice(crew, 60, "line")
    keys = list(invoice.lines.values_list("pk", "amount"))
    parts = {key: (amount / 3).quantize(D("0.01")) for key, amount in keys[:20]}
    whole = dict(keys[20:30])
    notes = [credit(crew.manager, invoice, parts | whole), credit(crew.manager, invoice)]
    read = [printed(crew.manager, note) for note in notes]
    adds_up(read[0], 30, "Credited to the customer")
    adds_up(read[1], 50, "Credited to the customer")
    billed = printed(crew.manager, invoice)
    assert taken(read, "Total before tax") == billed.after("Total before tax")
    assert sum(sum(one.taxes) for one in read) == sum(billed.taxes)
    back = taken(read, "Credited to the customer")
    assert back == billed.after("To be paid by the customer")


def taken(papers: Sequence[Printed], words: str) -> Decimal:
    return sum((one.after(words) for one in papers), D(0))
