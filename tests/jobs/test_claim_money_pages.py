"""The pages of payers' money: taking a file, settling its lines, booking by hand, the ledger."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.models import Claim, ClaimPayment, PaymentFile
from jobs.services import claim_payments
from shop import clock
from shop.actor import Actor
from tests.asserts import counted, text_of
from tests.cast import client_of
from tests.jobs.bills import set_terms
from tests.jobs.claim_rows import (
    HEAD,
    a_claim_payer,
    a_claim_row,
    a_line,
    a_payment_file,
    an_answer,
)


def at(actor: Actor, name: str, *args: object) -> str:
    return reverse(name, args=[actor.workshop.slug, *args])


def post(actor: Actor, name: str, *args: object, **sent: Any) -> Any:
    url = at(actor, name, *args)
    return client_of(actor).post(url, {"act": uuid4(), **sent}, follow=True)


def send_file(actor: Actor, raw: bytes, **more: Any) -> Any:
    file = SimpleUploadedFile("november.csv", raw, content_type="text/csv")
    return post(actor, "payment-file-take", file=file, payer=a_claim_payer(actor).pk, **more)


def a_table(*lines: str) -> bytes:
    return "\n".join((HEAD, *lines)).encode()


def test_a_file_is_taken_looked_through_and_its_sure_lines_booked(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    said = text_of(send_file(nuri, a_table(a_line(claim, "352.00", "R1"), a_line("QC9999"))))
    assert "Nothing is booked yet." in said
    assert "Book the matched line, $352.00" in said
    assert "This payer has no claim QC9999" in said
    file = PaymentFile.objects.get()
    said = text_of(post(nuri, "payment-file-book", file.pk))
    assert "1 line is booked." in said
    assert f'Booked for <a class="order-number" href="{at(nuri, "claim", claim.number)}">' in said
    assert Claim.objects.get(pk=claim.pk).paid == 352
    assert "november.csv" in text_of(client_of(nuri).get(at(nuri, "payment-files")))


def test_each_problem_of_a_file_is_said_beside_it_and_nothing_is_kept(nuri: Actor) -> None:
    raw = a_table(a_line("QC1", "-4.00"), a_line("QC2", "x"), a_line("QC3", "3.00"))
    said = text_of(send_file(nuri, raw))
    assert "Line 2, column “amount”: -4.00 is below zero." in said
    assert "Line 3, column “amount”: “x” is not an amount." in said
    assert not PaymentFile.objects.exists()
    assert "The file is empty." in text_of(send_file(nuri, b""))
    send_file(nuri, a_table(a_line("QC3", "3.00")))
    assert PaymentFile.objects.count() == 1


def test_what_the_file_does_not_show_is_asked_and_then_taken_as_told(nuri: Actor) -> None:
    raw = b"claim;paid on;amount\nQC1;2026-01-25;1.234"
    assert "can be read in two ways" in text_of(send_file(nuri, raw))
    send_file(nuri, raw, decimal=",")
    assert PaymentFile.objects.get().rows.get().amount == 1234


def test_the_same_file_again_says_who_took_it(nuri: Actor, bela: Actor) -> None:
    raw = a_table(a_line("QC1"))
    send_file(nuri, raw)
    assert f"{nuri.user} took this very file on" in text_of(send_file(bela, raw))
    assert PaymentFile.objects.count() == 1


def test_one_form_sent_twice_takes_one_file(nuri: Actor) -> None:
    raw, act = a_table(a_line("QC1")), uuid4()
    for _ in range(2):
        answer = send_file(nuri, raw, act=act)
        assert "took this very file" not in text_of(answer)
    assert PaymentFile.objects.count() == 1


def test_a_line_is_settled_and_asked_when_it_is_more_than_is_owed(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    row = a_payment_file(nuri, a_line(claim, "400.00")).rows.get()
    page = text_of(client_of(nuri).get(at(nuri, "payment-row", row.pk)))
    assert "only 352.00 is owed on it" in page
    assert "really paid this" not in page
    assert "no claim of this number" in text_of(post(nuri, "payment-row", row.pk, claim="QC0"))
    said = text_of(post(nuri, "payment-row", row.pk, claim=claim.number))
    assert "is more." in said
    assert "Yes, the payer really paid this" in said
    act = uuid4()
    for _ in range(2):
        said = text_of(
            post(nuri, "payment-row", row.pk, claim=claim.number.lower(), sure="on", act=act)
        )
        assert "The line is booked." in said
    assert Claim.objects.get(pk=claim.pk).paid == 400
    assert "booked this line for" in text_of(client_of(nuri).get(at(nuri, "payment-row", row.pk)))


def test_a_line_is_set_aside_with_its_reason(nuri: Actor) -> None:
    row = a_payment_file(nuri, a_line("QC9999")).rows.get()
    assert "Fill this in." in text_of(post(nuri, "payment-row-aside", row.pk))
    said = text_of(post(nuri, "payment-row-aside", row.pk, because="paid to us by mistake"))
    assert "paid to us by mistake" in said
    for shown, there in (("aside", True), ("ask", False), ("matched", False), ("x", True)):
        url = at(nuri, "payment-file", row.file_id)
        page = text_of(client_of(nuri).get(url, {"show": shown}))
        assert ("QC9999" in page) == there, shown


def test_a_payment_is_booked_by_hand_and_stays_typed_when_it_is_asked(nuri: Actor) -> None:
    claim = a_claim_row(nuri)
    day = f"{clock.today():%Y-%m-%d}"
    said = text_of(
        post(nuri, "claim-pay", claim.number, paid_on=day, labour="400", reference="REM")
    )
    assert "Only $352.00 is owed" in said
    assert 'value="REM"' in said
    act = uuid4()
    for _ in range(2):
        said = text_of(
            post(nuri, "claim-pay", claim.number, paid_on=day, labour="100.00", tax="32", act=act)
        )
        assert "The payment is booked." in said
    assert "$220.00</b> is owed of $352.00 claimed." in said
    back = {"paid_on": day, "labour": "10", "taken_back": "on"}
    assert "why the payer took it back" in text_of(post(nuri, "claim-pay", claim.number, **back))
    post(nuri, "claim-pay", claim.number, **back, because="audit")
    assert Claim.objects.get(pk=claim.pk).paid == Decimal("122.00")
    assert ClaimPayment.objects.count() == 2


def test_a_claim_that_was_not_sent_shows_no_form(nuri: Actor) -> None:
    claim = a_claim_row(nuri, state="draft")
    page = text_of(client_of(nuri).get(at(nuri, "claim-money", claim.number)))
    assert "Money is booked once the claim was sent." in page
    assert "Book it" not in page
    sent = a_claim_row(nuri)
    assert "Book it" in text_of(client_of(nuri).get(at(nuri, "claim-money", sent.number)))


def test_who_sees_claims_and_books_nothing_finds_no_button(nuri: Actor, vera: Actor) -> None:
    file = a_payment_file(nuri, a_line(a_claim_row(nuri)))
    page = text_of(client_of(vera).get(at(vera, "payment-file", file.pk)))
    assert "Book the matched line" not in page
    assert "Look at it" not in page
    assert "Book the matched line" in text_of(
        client_of(nuri).get(at(nuri, "payment-file", file.pk))
    )


def test_the_ledger_answers_on_one_page_and_says_when_labour_is_not_known(vera: Actor) -> None:
    empty = text_of(client_of(vera).get(at(vera, "claim-ledger")))
    assert "No payer owes anything" in empty
    claim = a_claim_row(vera, days=40)
    an_answer(vera, claim, "refused", "reading")
    page = text_of(client_of(vera).get(at(vera, "claim-ledger")))
    assert "$352.00" in page
    assert "What an hour of work costs this workshop is not set" in page
    assert "?of=refused-reading" in page
    set_terms(vera.workshop, labour_cost_rate=Decimal("44.00"))
    page = text_of(client_of(vera).get(at(vera, "claim-ledger")))
    assert "is not set" not in page
    assert "<svg" in page


@pytest.mark.parametrize("query", ["?of=x", "?payer=0", "?payer=x", "?of=month-0001-13"])
def test_an_address_that_names_no_figure_is_not_there(vera: Actor, query: str) -> None:
    url = at(vera, "claim-ledger-claims")
    assert client_of(vera).get(url + query).status_code == 404
    assert client_of(vera).get(url + "?of=owed").status_code == 200


def test_every_link_of_the_ledger_leads_to_claims(nuri: Actor, vera: Actor) -> None:
    for days in (5, 40, 70, 200):
        claim = a_claim_row(nuri, days=days)
        an_answer(nuri, claim, "short", "hours")
        claim_payments.pay(
            nuri,
            act=uuid4(),
            claim=claim,
            paid_on=clock.today(),
            amounts={"labour": Decimal("352.00" if days == 200 else "10.00")},
        )
    browser, behind = client_of(vera), at(vera, "claim-ledger-claims")
    page = browser.get(at(vera, "claim-ledger")).content.decode()
    links = {one.split('"')[0] for one in page.split(f'href="{behind}')[1:]}
    assert len(links) > 15
    for link in links:
        answer = browser.get(behind + link.replace("&amp;", "&"))
        assert answer.status_code == 200, link


def test_a_long_file_costs_no_more_queries_than_a_short_one(nuri: Actor) -> None:
    claims = [a_claim_row(nuri) for _ in range(6)]
    short = a_payment_file(nuri, a_line(claims[0]))
    long = a_payment_file(nuri, *(a_line(claim, "11.00") for claim in claims))

    def cost(file: PaymentFile) -> int:
        browser, url = client_of(nuri), at(nuri, "payment-file", file.pk)
        browser.get(url)
        with counted() as queries:
            browser.get(url)
        return len(queries)

    assert cost(short) == cost(long)
