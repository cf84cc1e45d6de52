"""Many questions to the database, answered from one and the same state of it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connections, transaction


@contextmanager
def one_state(using: str = "default") -> Iterator[None]:
    """All that is read within is as it was at the first question, whoever writes meanwhile.

    For reading alone, and nobody who writes has to wait. Within a transaction that is under way
    already, that one decides what is seen.
    """
    connection: Any = connections[using]
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic(using):
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield
    else:
        with _deferred(connection, using):
            yield


@contextmanager
def _deferred(connection: Any, using: str) -> Iterator[None]:
    """SQLite: begun as one that reads, which holds its state without holding up a writer."""
    begins, connection.transaction_mode = connection.transaction_mode, "DEFERRED"
    try:
        with transaction.atomic(using):
            yield
    finally:
        connection.transaction_mode = begins
