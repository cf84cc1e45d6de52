"""Money added up by the database without losing a cent: as whole cents.

SQLite keeps decimals as binary fractions; each one is rounded to its cents before it is added.
"""

from __future__ import annotations

from decimal import Decimal

from django.db.models import BigIntegerField, DecimalField, ExpressionWrapper, F, Q, Sum, Value
from django.db.models.functions import Cast, Coalesce, Round

_EXACT: DecimalField[Decimal, Decimal] = DecimalField(max_digits=20, decimal_places=4)


def sum_in_cents(field: str, only: Q | None = None) -> Coalesce:
    """The sum of a field with two decimals, in cents, of the rows that are `only`; 0 for none."""
    summed = Sum(_hundredths(field), filter=only)
    return Coalesce(summed, Value(0), output_field=BigIntegerField())


def sum_of_products(one: str, other: str) -> Coalesce:
    """The sum of the products of two fields with two decimals each, in hundredths of a cent."""
    product = ExpressionWrapper(
        _hundredths(one) * _hundredths(other), output_field=BigIntegerField()
    )
    return Coalesce(Sum(product), Value(0), output_field=BigIntegerField())


def _hundredths(field: str) -> Cast:
    hundred = ExpressionWrapper(F(field) * Value(Decimal(100)), output_field=_EXACT)
    return Cast(Round(hundred), BigIntegerField())


def money(cents: int | None) -> Decimal:
    return Decimal(cents or 0).scaleb(-2)
