"""What the bookkeeper takes out, read back with other readers: csv, and openpyxl."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import uuid4

import openpyxl
import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from jobs.models import Invoice, InvoiceLine, InvoiceTax, Payment, RepairOrder, StockMovement
from jobs.models.stock import StockItem
from jobs.queries.accounts import TABLES, Span
from jobs.services import claim_payments
from shop import clock
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.factories import a_repair_order
from tests.jobs.claim_rows import a_claim_row, a_line, a_payment_file

D = Decimal
BAD = '=HYPERLINK("x.example","Pay here")'
ZERO = D("0.00")


def an_invoice(
    actor: Actor,
    order: RepairOrder,
    serial: int,
    *,
    kind: str = "invoice",
    corrects: Invoice | None = None,
    at: datetime | None = None,
    customer: str = "Ada W.",
) -> Invoice:
    """Two lines and a tax; the customer pays all but thirty of the labour."""
    made = Invoice.objects.create(
        workshop=actor.workshop,
        kind=kind,
        serial=serial,
        number=f"Q{kind[0].upper()}{serial}",
        order=order,
        corrects=corrects,
        because="wrong part" if corrects else "",
        issued_at=at or clock.now(),
        issued_by=actor.user,
        to_name=customer,
        vehicle_words="Corvane Pell",
        vin=order.vehicle.vin,
        odometer_words="84,120 km",
        assemblies=D("184.10"),
        labour=D("135.20"),
        tax=D("13.35"),
        total=D("332.65"),
        customer_total=D("302.65"),
        payer_total=D("30.00"),
        owed=ZERO if corrects else D("302.65"),
        standing=False,
    )
    for kind_of, text, amount, payer in (
        ("assembly", "Hub, left rear", "184.10", ZERO),
        ("labour", "+ wheel off, @ both sides", "135.20", D("30.00")),
    ):
        InvoiceLine.objects.create(
            invoice=made,
            complaint_line=1,
            complaint_words="-yellow light",
            kind=kind_of,
            text=text,
            condition="new" if kind_of == "assembly" else "",
            quantity=D("1.30") if kind_of == "labour" else D(1),
            unit_price=D("104.00") if kind_of == "labour" else D(amount),
            amount=D(amount),
            payer="vehicle_warranty" if payer else "customer",
            customer_amount=D(amount) - payer,
            payer_amount=payer,
        )
    InvoiceTax.objects.create(
        invoice=made,
        name="Sales tax",
        percent=D("7.25"),
        base=D("184.10"),
        amount=D("13.35"),
        customer_amount=D("13.35"),
    )
    return made


def a_payment(actor: Actor, invoice: Invoice, serial: int, amount: str) -> Payment:
    return Payment.objects.create(
        workshop=actor.workshop,
        serial=serial,
        number=f"QR{serial}",
        invoice=invoice,
        how="cash",
        amount=D(amount),
        at=clock.now(),
        by=actor.user,
        note="-10 for the delay",
    )


def a_movement(actor: Actor, item: StockItem, quantity: int, at: datetime | None = None) -> None:
    StockMovement.objects.create(
        workshop=actor.workshop,
        item=item,
        kind="counted",
        quantity=quantity,
        balance=9,
        unit_cost=D("104.15"),
        at=at or clock.now(),
        by=actor.user,
        because="@shelf",
    )


@pytest.fixture
def books(bela: Actor) -> Actor:
    """Two invoices, a credit note, three payments and two movements, all of today."""
    order = a_repair_order(bela)
    first = an_invoice(bela, order, 1001, customer=BAD)
    an_invoice(bela, order, 1002)
    an_invoice(bela, order, 1001, kind="credit", corrects=first)
    for serial, amount in enumerate(("200.00", "102.65", "-0.05"), 1001):
        a_payment(bela, first, serial, amount)
    item = StockItem.objects.create(
        workshop=bela.workshop, part_number="PL2-20-210", part_key="PL220210", text="Hub", on_hand=9
    )
    a_movement(bela, item, 10)
    a_movement(bela, item, -1)
    claim = a_claim_row(bela, order=order, days=0)
    file = a_payment_file(bela, a_line(claim, "52.40", "-1+R"))
    claim_payments.book_matched(bela, act=uuid4(), file=file)
    return bela


def today() -> dict[str, str]:
    return {"first": clock.today().isoformat(), "last": clock.today().isoformat()}


def read_csv(actor: Actor, key: str, **span: str) -> list[dict[str, str]]:
    url = reverse("accounts-csv", args=[actor.workshop.slug, key])
    answer: Any = client_of(actor).get(url, span or today())
    assert answer.streaming
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    text = b"".join(answer).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def read_book(actor: Actor, **span: str) -> dict[str, list[dict[str, Any]]]:
    url = reverse("accounts-book", args=[actor.workshop.slug])
    answer: Any = client_of(actor).get(url, span or today())
    book = openpyxl.load_workbook(io.BytesIO(b"".join(answer)))
    found = {}
    for sheet in book.worksheets:
        heads, *rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
        found[sheet.title] = [dict(zip(map(str, heads), row, strict=True)) for row in rows]
    return found


def total(rows: list[dict[str, Any]], column: str) -> Decimal:
    return sum((D(str(row[column] or 0)) for row in rows), ZERO)


def test_csv_and_workbook_add_up_to_what_the_books_hold(books: Actor) -> None:
    book = read_book(books)
    assert list(book) == [table.title for table in TABLES]
    signed = {"invoice": 1, "credit": -1}
    sums = {
        ("invoices", "Total"): sum(signed[one.kind] * one.total for one in Invoice.objects.all()),
        ("invoices", "Tax"): sum(signed[one.kind] * one.tax for one in Invoice.objects.all()),
        ("invoices", "Owed"): sum(one.owed for one in Invoice.objects.all()),
        ("invoice-lines", "Amount"): sum(
            signed[one.invoice.kind] * one.amount for one in InvoiceLine.objects.all()
        ),
        ("taxes", "Amount"): sum(
            signed[one.invoice.kind] * one.amount for one in InvoiceTax.objects.all()
        ),
        ("payments", "Amount"): sum(one.amount for one in Payment.objects.all()),
        ("claims", "Owed"): D("299.60"),
        ("claims", "Paid"): D("52.40"),
        ("claim-payments", "Amount"): D("52.40"),
        ("claim-payments", "Labour"): D("14.89"),  # 52.40 x 100 / 352, by hand
        ("stock-movements", "Pieces"): sum(one.quantity for one in StockMovement.objects.all()),
        ("stock-movements", "Value"): D("9") * D("104.15"),
    }
    titles = {table.key: table.title for table in TABLES}
    for (key, column), expected in sums.items():
        assert total(read_csv(books, key), column) == expected, (key, column)
        assert round(total(book[titles[key]], column), 2) == expected, (key, column)


def test_totals_of_invoices_are_their_lines_and_taxes(books: Actor) -> None:
    invoices, lines = read_csv(books, "invoices"), read_csv(books, "invoice-lines")
    for invoice in invoices:
        own = [line for line in lines if line["Number"] == invoice["Number"]]
        assert total(own, "Amount") + D(invoice["Tax"]) == D(invoice["Total"])


def test_a_credit_note_is_below_zero_and_names_what_it_corrects(books: Actor) -> None:
    [note] = [row for row in read_csv(books, "invoices") if row["Kind"] == "credit note"]
    assert (note["Corrects"], note["Total"], note["Because"]) == (
        "QI1001",
        "-332.65",
        "wrong part",
    )


def test_dates_are_iso_and_amounts_have_two_decimals(books: Actor) -> None:
    [first, *_] = read_csv(books, "invoices")
    assert first["Date"] == clock.today().isoformat()
    assert (first["Total"], first["Sublet"]) == ("332.65", "0.00")
    [row, *_] = read_book(books)["Invoices"]
    assert row["Date"].date() == clock.today()
    assert row["Total"] == 332.65
    [line, *_] = read_csv(books, "stock-movements")
    assert (line["Pieces"], line["Unit cost"], line["Value"]) == ("10", "104.15", "1041.50")


def test_nothing_typed_becomes_a_formula(books: Actor) -> None:
    [first, *_] = read_csv(books, "invoices")
    assert first["Customer"] == "'" + BAD
    assert read_csv(books, "payments")[0]["Note"] == "'-10 for the delay"
    assert read_csv(books, "payments")[2]["Amount"] == "-0.05"
    assert read_csv(books, "claim-payments")[0]["Reference"] == "'-1+R"
    assert "'+ wheel off, @ both sides" in {r["Text"] for r in read_csv(books, "invoice-lines")}
    assert {row["Because"] for row in read_csv(books, "stock-movements")} == {"'@shelf"}
    url = reverse("accounts-book", args=[books.workshop.slug])
    answer: Any = client_of(books).get(url, today())
    book = openpyxl.load_workbook(io.BytesIO(b"".join(answer)))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert [cell for cell in cells if cell.data_type == "f" or cell.hyperlink] == []
    assert BAD in {cell.value for cell in cells}


def test_a_day_ends_at_the_workshops_midnight(bela: Actor) -> None:
    order = a_repair_order(bela)
    midnight = timezone.make_aware(datetime.combine(date(2026, 3, 2), time.min))
    an_invoice(bela, order, 1, at=midnight - timedelta(seconds=1))
    an_invoice(bela, order, 2, at=midnight)
    for day, number in (("2026-03-01", "QI1"), ("2026-03-02", "QI2")):
        rows = read_csv(bela, "invoices", first=day, last=day)
        assert [(row["Number"], row["Date"]) for row in rows] == [(number, day)]
    span = Span(date(2026, 3, 1), date(2026, 3, 1))
    assert span.ends.astimezone(UTC) == midnight.astimezone(UTC)


def test_another_workshops_books_are_its_own(books: Actor, pim: Actor) -> None:
    assert all(read_csv(pim, table.key) == [] for table in TABLES)
    assert all(rows == [] for rows in read_book(pim).values())


def test_a_long_span_costs_the_same_queries(books: Actor) -> None:
    def cost() -> list[int]:
        found = []
        for table in TABLES:
            with counted() as queries:
                read_csv(books, table.key)
            found.append(len(queries))
        with counted() as queries:
            read_book(books)
        return [*found, len(queries)]

    few = cost()
    order, item = RepairOrder.objects.get(), StockItem.objects.get()
    for serial in range(2000, 2020):
        a_payment(books, an_invoice(books, order, serial), serial, "1.00")
        a_movement(books, item, 1)
    assert cost() == few


def test_too_many_rows_for_a_workbook_come_as_csv(
    books: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("jobs.views.accounts.MOST_IN_A_BOOK", 5)
    for name in ("accounts", "accounts-book"):
        url = reverse(name, args=[books.workshop.slug])
        page = text_of(client_of(books).get(url, today()))
        assert "more rows than the 5 that go into one workbook" in page
        assert "Take all as a workbook" not in page
    assert len(read_csv(books, "invoice-lines")) == 6


def test_rows_flow_and_are_never_held(books: Actor) -> None:
    """The table hands out its first row before the second is worked out."""
    rows = TABLES[0].table(books, Span(clock.today(), clock.today())).rows
    assert isinstance(rows, Iterator)
    assert next(rows)[0] == "QI1001"


def test_the_page_counts_what_there_is_and_says_what_columns_mean(books: Actor) -> None:
    url = reverse("accounts", args=[books.workshop.slug])
    page = text_of(client_of(books).get(url))
    assert "Stock movements" in page
    for table in TABLES:
        for column in table.columns:
            assert column.name in page


@pytest.mark.parametrize(
    ("first", "last", "says"),
    [
        ("2026-03-02", "2026-03-01", "The last day is before the first."),
        ("soon", "2026-03-01", "Write a date such as 2026-11-25."),
        ("", "2026-03-01", "Fill this in."),
        ("0001-01-01", "2026-03-01", "Check the year."),
        ("2026-03-01", "9999-12-31", "Check the year."),
    ],
)
def test_a_span_that_is_none_is_said_on_the_page(
    bela: Actor, first: str, last: str, says: str
) -> None:
    slug = bela.workshop.slug
    for url in (
        reverse("accounts", args=[slug]),
        reverse("accounts-book", args=[slug]),
        reverse("accounts-csv", args=[slug, "invoices"]),
    ):
        answer = client_of(bela).get(url, {"first": first, "last": last})
        assert says in text_of(answer)


def test_a_table_that_is_none_is_not_there_and_only_some_may_take_any(
    bela: Actor, ines: Actor
) -> None:
    unknown = reverse("accounts-csv", args=[bela.workshop.slug, "secrets"])
    assert client_of(bela).get(unknown).status_code == 404
    for name in ("accounts", "accounts-book"):
        answer = client_of(ines).get(reverse(name, args=[ines.workshop.slug]))
        assert answer.status_code == 403


def test_every_column_stands_in_the_documentation() -> None:
    page = (Path(settings.BASE_DIR) / "docs" / "accounts.md").read_text(encoding="utf-8")
    for table in TABLES:
        part = page.partition(f"## {table.title}\n")[2].partition("\n## ")[0]
        documented = [line.split(" | ") for line in part.splitlines() if line.startswith("| **")]
        assert [
            (name.strip("| *"), reads, words.rstrip(" |")) for name, reads, words in documented
        ] == [(column.name, column.reads.value, column.words) for column in table.columns]
