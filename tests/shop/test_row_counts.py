"""PostgreSQL plans for as many rows as there are, before they are committed too."""

from __future__ import annotations

import pytest
from django.db import connection, transaction

from shop.models import User
from shop.row_counts import count_rows_anew
from tests.asserts import rows_planned_for

MANY = 400


def _many_people() -> None:
    User.objects.bulk_create(
        User(username=f"hand-{n}", display_name=f"Hand {n}") for n in range(MANY)
    )


@pytest.mark.django_db
def test_after_many_were_written_they_are_planned_for() -> None:
    if connection.vendor != "postgresql":
        pytest.skip("SQLite plans without counting; this is about PostgreSQL")
    before = User.objects.count()
    with transaction.atomic():
        _many_people()
        count_rows_anew()
        assert rows_planned_for(User) == before + MANY


@pytest.mark.django_db
def test_it_leaves_the_rows_and_the_transaction_alone() -> None:
    before = User.objects.count()
    _many_people()
    count_rows_anew()
    assert User.objects.count() == before + MANY
