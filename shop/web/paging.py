"""Lists are paged; a page number that does not exist shows the nearest that does."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest

PER_PAGE = 40


def page_of(request: HttpRequest, rows: QuerySet[Any], per_page: int = PER_PAGE) -> Page[Any]:
    return Paginator(rows, per_page).get_page(request.GET.get("page"))
