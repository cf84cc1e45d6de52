"""A claim goes out: once, as it was approved, and its paper never changes afterwards."""

from __future__ import annotations

import io
import json
import re
from decimal import Decimal
from hashlib import sha256
from uuid import UUID, uuid4

import pypdf
import pytest

from jobs.claims.document_text import from_json
from jobs.models import Claim, Complaint, HeldPart, OtherLine, Submission
from jobs.queries.claim_document import claim_for_paper, document_of
from jobs.services import claim_sending, claims
from jobs.services.claim_pdf import pdf_of
from shop.errors import AlreadyDone, Refusal
from shop.roles import Role
from tests.asserts import refused
from tests.jobs.along import Crew
from tests.jobs.claim_sent import a_sent_claim, an_approved_claim, approve, say, send

pytestmark = pytest.mark.django_db


def _pdf(sent: Submission) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(bytes(sent.paper.pdf)))


def _text(reader: pypdf.PdfReader) -> str:
    return "\n".join(page.extract_text() for page in reader.pages)


def test_an_approved_claim_is_sent_and_keeps_its_paper(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    claim = sent.claim
    assert (claim.state, sent.number, sent.total) == ("sent", 1, claim.claimed)
    assert claim.first_sent_at == sent.sent_at
    document = from_json(sent.paper.document)
    assert document.totals.total == claim.claimed
    assert sent.paper.sha256 == sha256(bytes(sent.paper.pdf)).hexdigest()


def test_the_document_tells_what_condemns_and_what_proves(crew: Crew) -> None:
    document = from_json(a_sent_claim(crew, wants_clock=True).paper.document)
    condemning = [one for one in document.readings if one.condemns]
    assert [(one.value, one.verdict, one.position) for one in condemning] == [
        (None, "outside", "left rear")
    ]
    assert condemning[0].limit
    assert condemning[0].limit_source
    assert [one.verdict for one in document.readings if one.phase == "after_repair"] == ["within"]
    assert [(read.phase, [flag.code for flag in read.flags]) for read in document.flags] == [
        ("as_found", ["C0045"]),
        ("after_repair", []),
    ]
    assert document.road_tests
    assert document.parts[0].tag
    assert document.operations
    assert document.authority[0].answer == "authorised"


def test_printed_lines_add_up_to_the_printed_total_and_every_page_is_numbered(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    reader = _pdf(sent)
    text = _text(reader)
    table = text.split("What we ask for")[1].split("Asked for altogether")[0]
    total = Decimal(_amounts(text.split("Asked for altogether")[1])[0])
    printed = [Decimal(one) for one in _amounts(table)]
    rows = 2 * sent.claim.lines.count()  # a price and an amount in each; then the sums by kind
    assert sum(printed[1:rows:2]) == sum(printed[rows:]) == total == sent.total
    pages = len(reader.pages)
    for at, page in enumerate(reader.pages, start=1):
        said = page.extract_text()
        assert f"{at} / {pages}" in said
        assert sent.claim.number in said


def _amounts(text: str) -> list[str]:
    return [one.replace(",", "") for one in re.findall(r"[\d,]+\.\d\d", text)]


def test_the_pdf_is_tagged_and_carries_the_same_claim_as_data(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    reader = _pdf(sent)
    assert "/MarkInfo" in reader.root_object
    inside = {name: files[0] for name, files in reader.attachments.items()}
    assert inside["claim.json"].decode() == sent.paper.document
    assert sent.claim.number.encode() in inside["claim.csv"]


def test_what_was_sent_stays_the_same_when_the_job_changes(crew: Crew) -> None:
    sent = a_sent_claim(crew)
    kept = (sent.paper.document, bytes(sent.paper.pdf))
    Complaint.objects.filter(pk=sent.claim.complaint_id).update(words="Else", correction="Else")
    Claim.objects.filter(pk=sent.claim_id).update(concern="Else")
    again = Submission.objects.select_related("paper").get(pk=sent.pk)
    assert (again.paper.document, bytes(again.paper.pdf)) == kept


def test_the_same_sending_twice_is_recorded_once(crew: Crew) -> None:
    claim, act = an_approved_claim(crew), uuid4()

    def send_it(act: UUID) -> None:
        claim_sending.send(
            crew.manager,
            act=act,
            claim=claim,
            revision=revision,
            by_way_of="post",
            lacking_known=True,
        )

    revision = claim.revision
    send_it(act)
    with pytest.raises(AlreadyDone):
        send_it(act)
    with refused(says="only an approved claim is sent"):
        send_it(uuid4())
    assert claim.submissions.count() == 1


def test_a_claim_that_was_changed_meanwhile_is_looked_at_again_first(crew: Crew) -> None:
    claim = an_approved_claim(crew)
    with refused(says="meanwhile"):
        claim_sending.send(
            crew.manager, act=uuid4(), claim=claim, revision=claim.revision - 1, by_way_of="post"
        )
    assert send(crew.manager, claim).number == 1


def test_a_technician_does_not_send_and_how_it_went_is_said(crew: Crew) -> None:
    claim = an_approved_claim(crew)
    with refused(says="prepares and sends claims"):
        send(crew.technician, claim)
    with refused(says="how it went out"):
        send(crew.counter, claim, way=" ")
    assert Role.COUNTER in crew.counter.roles
    assert send(crew.counter, claim).by_way_of == "portal"


def test_sent_again_it_says_what_changed_and_keeps_the_first_paper(crew: Crew) -> None:
    first = a_sent_claim(crew)
    claim = first.claim
    say(crew.counter, first, "refused", reason="reading", words="No resistance reading")
    claim.refresh_from_db()
    claims.reopen(crew.manager, act=uuid4(), claim=claim, revision=claim.revision)
    approve(crew, claim)
    with refused(says="what changed"):
        send(crew.counter, claim)
    second = send(crew.counter, claim, changed="The reading is shown now")
    assert second.number == 2
    document = from_json(second.paper.document)
    assert document.claim.changed == "The reading is shown now"
    assert [(one.kind, one.words) for one in document.answers] == [
        ("refused", "No resistance reading")
    ]
    assert "No resistance reading" in _text(_pdf(second))
    assert from_json(Submission.objects.get(pk=first.pk).paper.document).claim.submission == 1


def test_a_late_claim_goes_out_only_when_that_is_known(crew: Crew) -> None:
    claim = an_approved_claim(crew)
    Claim.objects.filter(pk=claim.pk).update(due_on="2020-01-01")
    with refused(says="Something is missing", field="lacking_known"):
        send(crew.counter, claim, known=False)
    sent = send(crew.counter, claim)
    assert "1 January 2020" in sent.lacking
    assert from_json(sent.paper.document).lacking == tuple(sent.lacking.splitlines())


def test_parts_stay_as_long_as_the_payer_may_ask_for_them(crew: Crew) -> None:
    sent = a_sent_claim(crew, hold_days=400)
    held = HeldPart.objects.get(replacement__complaint=sent.claim.complaint_id)
    assert (held.hold_until - sent.sent_at.date()).days >= 399


def test_a_draft_says_so_and_carries_no_data(crew: Crew) -> None:
    claim = claim_for_paper(crew.manager, an_approved_claim(crew).number)
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(claim, document_of(claim))))
    assert "A draft. It was not sent" in _text(reader)
    assert not reader.attachments


def test_the_frozen_document_is_what_the_published_schema_says(crew: Crew) -> None:
    data = json.loads(a_sent_claim(crew).paper.document)
    assert data["schema"] == "stubaxle-claim"
    assert data["claim"]["submission"] == 1


def test_figures_that_the_job_says_otherwise_do_not_go_out(crew: Crew) -> None:
    claim = an_approved_claim(crew)
    OtherLine.objects.create(
        complaint=claim.complaint,
        kind="material",
        text="Fluid",
        quantity=Decimal(1),
        unit_price=Decimal("5.00"),
    )
    with pytest.raises(Refusal, match="other figures now"):
        send(crew.counter, claim)
    assert not claim.submissions.exists()


def test_what_is_asked_again_and_was_paid_before_is_over_at_once(crew: Crew) -> None:
    claim = an_approved_claim(crew)
    Claim.objects.filter(pk=claim.pk).update(paid=claim.claimed)
    send(crew.counter, claim)
    assert (claim.state, claim.closed_at is not None) == ("paid", True)
