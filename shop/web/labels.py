"""Labels: one to a page in the size of the roll, or several on a sheet of the workshop's paper."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import get_language
from weasyprint import CSS, HTML

from shop.web.pdf import PAPERS, only_data

STYLE = Path(settings.BASE_DIR) / "shop" / "static" / "shop" / "labels.css"
# From these heights and widths on there is room for more than the number, in mm.
SMALL_HEIGHT, SMALL_WIDTH = 40, 70
LARGE_HEIGHT, LARGE_WIDTH = 90, 90
MARGIN_MM = 9
GAP_MM = 3


def size_word(width_mm: int, height_mm: int) -> str:
    """How much fits: "small" (the number and little else), "middle" or "large"."""
    if height_mm < SMALL_HEIGHT or width_mm < SMALL_WIDTH:
        return "small"
    return "large" if height_mm >= LARGE_HEIGHT and width_mm >= LARGE_WIDTH else "middle"


def make(
    template: str,
    context: dict[str, Any],
    *,
    width_mm: int,
    height_mm: int,
    paper: str = "",
) -> bytes:
    """The PDF: a page for each label, or as many as fit on `paper` ("A4" or "Letter").

    The template gets `size`, see `size_word`. Raises ValueError for another paper.
    """
    if paper and paper not in PAPERS:
        raise ValueError(f"There is no paper called {paper!r}.")
    told = {
        "language": get_language() or "en",
        "size": size_word(width_mm, height_mm),
        "sheet": bool(paper),
    }
    html = render_to_string(template, context | told)
    made: bytes = HTML(string=html, url_fetcher=only_data(), media_type="print").write_pdf(
        stylesheets=[_style(), _page(width_mm, height_mm, paper)],
        pdf_variant="pdf/ua-1",
        font_config=None,
    )
    return made


@cache
def _style() -> CSS:
    return CSS(string=STYLE.read_text(encoding="utf-8"), url_fetcher=only_data())


def _page(width_mm: int, height_mm: int, paper: str) -> CSS:
    label = f".label {{ width: {width_mm}mm; height: {height_mm}mm; }}"
    if paper:
        page = f"@page {{ size: {paper}; margin: {MARGIN_MM}mm; }}"
        gap = f".label {{ margin: 0 {GAP_MM}mm {GAP_MM}mm 0; }}"
        return CSS(string=f"{page} {label} {gap}")
    return CSS(string=f"@page {{ size: {width_mm}mm {height_mm}mm; margin: 0; }} {label}")
