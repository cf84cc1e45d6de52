"""The page of a claim on its way out: the forms, what is refused beside its field, and papers."""

from __future__ import annotations

import io
from uuid import uuid4

import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from jobs.claims.document_text import from_json
from jobs.models import Claim, HeldPart
from shop import clock
from shop.actor import Actor
from tests.asserts import text_of
from tests.cast import client_of
from tests.jobs.along import Crew
from tests.jobs.claim_sent import a_sent_claim, an_approved_claim, send

pytestmark = pytest.mark.django_db


def _url(name: str, claim: Claim, *more: int) -> str:
    return reverse(name, args=[claim.workshop.slug, claim.number, *more])


def _sent_form(client: Client, claim: Claim, **typed: object) -> str:
    given: dict[str, object] = {"act": uuid4(), "revision": claim.revision}
    given |= {"by_way_of": "portal", "lacking_known": "on"}
    return text_of(client.post(_url("claim-send", claim), given | typed, follow=True))


def test_a_claim_is_sent_from_its_page_and_its_papers_are_handed_out(crew: Crew) -> None:
    claim, client = an_approved_claim(crew), client_of(crew.counter)
    assert "It went out" in text_of(client.get(_url("claim", claim)))
    assert "Say how it went out" not in _sent_form(client, claim)
    claim.refresh_from_db()
    assert claim.state == "sent"
    page = text_of(client.get(_url("claim", claim)))
    assert f"{claim.number}/1" in page
    assert "It went out" not in page
    data = client.get(_url("claim-json", claim, 1))
    assert from_json(data.content.decode()).claim.number == claim.number
    lines = client.get(_url("claim-csv", claim, 1)).content.decode("utf-8-sig").splitlines()
    assert len(lines) == 1 + claim.lines.count()
    assert client.get(_url("claim-pdf", claim, 1)).content.startswith(b"%PDF")
    assert client.get(_url("claim-pdf", claim, 2)).status_code == 404


def test_what_was_typed_stays_when_the_claim_changed_meanwhile(crew: Crew) -> None:
    claim, client = an_approved_claim(crew), client_of(crew.counter)
    said = _sent_form(client, claim, revision=claim.revision - 1, by_way_of="by pigeon")
    assert "meanwhile" in said
    answer = client.post(
        _url("claim-send", claim),
        {"act": uuid4(), "revision": claim.revision - 1, "by_way_of": "by pigeon"},
    )
    assert b'value="by pigeon"' in answer.content
    assert not claim.submissions.exists()
    assert "meanwhile" not in _sent_form(client, claim)


def test_sent_twice_by_one_tablet_is_one_sending(crew: Crew) -> None:
    claim, client, act = an_approved_claim(crew), client_of(crew.counter), uuid4()
    _sent_form(client, claim, act=act)
    assert "once already" not in _sent_form(client, claim, act=act)
    assert claim.submissions.count() == 1


def test_the_draft_is_seen_before_it_goes_out(crew: Crew) -> None:
    claim = an_approved_claim(crew)
    answer = client_of(crew.counter).get(_url("claim-draft-pdf", claim))
    reader = pypdf.PdfReader(io.BytesIO(answer.content))
    assert "A draft" in reader.pages[0].extract_text()
    letter = client_of(crew.counter).get(_url("claim-draft-pdf", claim), {"paper": "Letter"})
    box = pypdf.PdfReader(io.BytesIO(letter.content)).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (612, 792)


def test_an_answer_for_less_is_typed_line_by_line_and_a_wrong_one_is_said(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    claim, client = sent.claim, client_of(crew.counter)
    line = claim.lines.get(kind="labour")
    typed = {"act": uuid4(), "kind": "short", "answered_on": f"{clock.today():%Y-%m-%d}"}
    url = _url("claim-answer", claim, 1)
    wrong = text_of(client.post(url, typed | {f"line-{line.pk}": "9999"}))
    assert "between nothing and" in wrong
    client.post(url, typed | {f"line-{line.pk}": "100.00"})
    claim.refresh_from_db()
    assert claim.agreed == sent.total - 8
    assert "Accepted for less" in text_of(client.get(_url("claim", claim)))


def test_who_answers_second_is_told_of_the_first_answer_and_may_still_record_theirs(
    crew: Crew,
) -> None:
    """Two clerks with the same claim open: nobody's answer takes another's place unseen."""
    sent = a_sent_claim(crew)
    claim, url = sent.claim, _url("claim-answer", sent.claim, 1)
    today = f"{clock.today():%Y-%m-%d}"
    seen = {"answered_on": today, "revision": claim.revision}
    client_of(crew.manager).post(url, seen | {"act": uuid4(), "kind": "accepted"})
    late = seen | {"act": uuid4(), "kind": "refused", "words": "By telephone: no"}
    said = client_of(crew.counter).post(url, late).content.decode()
    claim.refresh_from_db()
    assert "Somebody recorded an answer or a payment of this claim meanwhile." in said
    assert "By telephone: no</textarea>" in said
    assert claim.state == "accepted"
    client_of(crew.counter).post(url, late | {"act": uuid4(), "revision": claim.revision})
    assert f'name="revision" value="{claim.revision}"' in said
    claim.refresh_from_db()
    assert claim.state == "refused"


def test_the_part_that_is_wanted_is_one_tap_from_its_tag(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    claim, client = sent.claim, client_of(crew.counter)
    today = f"{clock.today():%Y-%m-%d}"
    typed = {"act": uuid4(), "kind": "part", "answered_on": today, "wanted_by": today}
    said = text_of(client.post(_url("claim-answer", claim, 1), typed, follow=True))
    held = HeldPart.objects.get(replacement__complaint=claim.complaint_id)
    assert "The payer waits for the part." in said
    assert held.number in said
    page = client.get(_url("claim", claim)).content.decode()
    assert reverse("held-label", args=[claim.workshop.slug, held.number]) in page


def test_a_stranger_sees_no_paper_of_it(crew: Crew, pim: Actor) -> None:
    sent = a_sent_claim(crew)
    for name in ("claim-pdf", "claim-json", "claim-csv"):
        url = reverse(name, args=[pim.workshop.slug, sent.claim.number, 1])
        assert client_of(pim).get(url).status_code in (403, 404)
        assert client_of(crew.counter).get(_url(name, sent.claim, 1)).status_code == 200


def test_a_technician_does_not_send_from_the_page_either(crew: Crew) -> None:
    claim = an_approved_claim(crew)
    answer = client_of(crew.technician).post(_url("claim-send", claim), {"act": uuid4()})
    assert answer.status_code == 403
    assert send(crew.counter, claim).number == 1
