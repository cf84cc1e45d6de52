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
LOW_HEIGHT = 56
LARGE_HEIGHT, LARGE_WIDTH = 90, 90
# What office printers leave white, and between labels at most, in mm.
MARGIN_MM = 5
GAP_MM = 3
_SHEETS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


def size_word(width_mm: int, height_mm: int) -> str:
    """How much fits: "small" (the number and little else), "narrow", "low", "middle", "large"."""
    if height_mm < SMALL_HEIGHT:
        return "small"
    if width_mm < SMALL_WIDTH:
        return "narrow" if height_mm >= LARGE_HEIGHT else "small"
    if height_mm < LOW_HEIGHT:
        return "low"
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
        width, height = _SHEETS_MM[paper]
        across, down = _gap(width, width_mm), _gap(height, height_mm)
        page = f"@page {{ size: {paper}; margin: {MARGIN_MM}mm; }}"
        gap = f".label {{ margin: 0 {across:.2f}mm {down:.2f}mm 0; }}"
        return CSS(string=f"{page} {label} {gap}")
    return CSS(string=f"@page {{ size: {width_mm}mm {height_mm}mm; margin: 0; }} {label}")


def _gap(sheet_mm: float, label_mm: int) -> float:
    """What lies between labels so that as many as possible stand on the sheet."""
    room = sheet_mm - 2 * MARGIN_MM
    many = int(room // label_mm)
    return min(GAP_MM, max(0.0, (room - many * label_mm) / many - 0.01)) if many else 0.0
