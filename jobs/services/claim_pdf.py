"""The PDF of a claim's document, with the same claim as data inside it."""

from __future__ import annotations

from jobs.claims.document import ClaimDocument
from jobs.claims.document_text import to_csv, to_json
from jobs.models import Claim
from jobs.queries.claim_paper import paper_of
from shop.web import pdf


def pdf_of(claim: Claim, document: ClaimDocument, *, paper: str = "") -> bytes:
    """On the workshop's paper unless another is asked for. A draft carries no data inside."""
    context = {
        "paper": paper_of(claim, document),
        "order": claim.complaint.order,
        "workshop": claim.workshop,
    }
    attached: tuple[pdf.Attached, ...] = ()
    if not document.claim.draft:
        attached = (
            pdf.Attached("claim.json", "The claim as JSON", to_json(document)),
            pdf.Attached("claim.csv", "The lines of the claim as CSV", to_csv(document)),
        )
    chosen = pdf.chosen_paper(paper, claim.workshop)
    return pdf.make("print/claim.html", context, paper=chosen, attached=attached)
