"""How many rows there are: what PostgreSQL plans its queries by.

It counts on its own a while after they were committed. Until then, in a table whose rows were all
deleted before, it plans for one row, and a question that joins several such tables takes for ever.
"""

from __future__ import annotations

from django.db import connection


def count_rows_anew() -> None:
    """To be called where many rows were written at once and are read in the same transaction."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
