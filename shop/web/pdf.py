"""Papers: a template becomes a tagged PDF (PDF/UA-1) on the workshop's paper, in our own look."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.http import HttpResponse
from django.template.loader import render_to_string
from django.utils.translation import get_language
from weasyprint import CSS, HTML, Attachment
from weasyprint.urls import URLFetcher

from shop.models import Workshop

STATIC = Path(settings.BASE_DIR) / "shop" / "static" / "shop"
STYLES = ("papers.css", "papers-body.css", "papers-report.css")
PAPERS = tuple(Workshop.Paper.values)

# Its warnings name CSS that PDF/UA leaves out; nobody at a counter can act on them.
logging.getLogger("weasyprint").setLevel(logging.ERROR)


@dataclass(frozen=True, slots=True)
class Attached:
    """A file that goes inside the PDF; `words` say what it is."""

    name: str
    words: str
    contents: str


def make(
    template: str, context: dict[str, Any], *, paper: str, attached: tuple[Attached, ...] = ()
) -> bytes:
    """The PDF of a template on "A4" or "Letter". Nothing but data: addresses is ever loaded.

    Raises ValueError for another paper.
    """
    html = render_to_string(template, context | {"language": get_language() or "en"})
    return set_paper(html, paper=paper, attached=attached)


def set_paper(html: str, *, paper: str, attached: tuple[Attached, ...] = ()) -> bytes:
    """The PDF of HTML that is ready. Raises ValueError for a paper that there is not."""
    if paper not in PAPERS:
        raise ValueError(f"There is no paper called {paper!r}.")
    document = HTML(string=html, url_fetcher=only_data(), media_type="print")
    made: bytes = document.write_pdf(
        stylesheets=[*_styles(), _size(paper)],
        pdf_variant="pdf/ua-1",
        font_config=None,
        attachments=[_attachment(one) for one in attached],
    )
    return made


def _attachment(one: Attached) -> Attachment:
    return Attachment(
        string=one.contents,
        name=one.name,
        description=one.words,
        relationship="Data",
        url_fetcher=only_data(),
    )


def chosen_paper(asked: str | None, workshop: Workshop) -> str:
    """The paper asked for in the address, or the workshop's own."""
    return asked if asked in PAPERS else workshop.paper


def answer(pdf: bytes, filename: str) -> HttpResponse:
    """Shown in the browser, and called `filename` when it is kept."""
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{filename}"'
    response["Cache-Control"] = "no-store"
    return response


def only_data() -> URLFetcher:
    """Refuses files, the network and everything else that is not in the page itself."""
    return URLFetcher(allowed_protocols={"data"}, allow_redirects=False)


@cache
def _styles() -> tuple[CSS, ...]:
    sheets = (STATIC / name for name in STYLES)
    return tuple(
        CSS(string=one.read_text(encoding="utf-8"), url_fetcher=only_data()) for one in sheets
    )


@cache
def _size(paper: str) -> CSS:
    return CSS(string=f"@page {{ size: {paper}; }}")
