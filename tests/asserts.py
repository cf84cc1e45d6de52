"""What several tests want to know of an answer."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from html import unescape
from typing import Any

import pytest
from django.db import connection
from django.db.models import Model
from django.test.utils import CaptureQueriesContext

from shop.errors import Refusal


@contextmanager
def refused(*, field: str | None = None, says: str = "") -> Iterator[Any]:
    """The block must be refused, beside `field`, in a sentence that contains `says`."""
    with pytest.raises(Refusal) as caught:
        yield caught
    refusal = caught.value
    assert says.casefold() in refusal.sentence.casefold(), refusal.sentence
    assert refusal.sentence.rstrip().endswith((".", "?", ")")), refusal.sentence
    if field is not None:
        assert refusal.field == field, (refusal.field, refusal.sentence)


def text_of(response: Any) -> str:
    """The answer as one line of text with entities undone, so that sentences can be found in it."""
    return " ".join(unescape(response.content.decode()).split())


@contextmanager
def counted() -> Iterator[CaptureQueriesContext]:
    """Collects the queries of the block: `with counted() as queries: ...; len(queries)`."""
    with CaptureQueriesContext(connection) as queries:
        yield queries


def rows_planned_for(model: type[Model]) -> int:
    """How many rows PostgreSQL plans its queries for; -1 before it has counted at all."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT reltuples FROM pg_class WHERE oid = %s::regclass", [model._meta.db_table]
        )
        (rows,) = cursor.fetchone()
    return int(rows)
