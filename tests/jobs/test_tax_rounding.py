"""Tax on lines and totals against worked examples that a tax authority and others printed."""

from __future__ import annotations

from decimal import Decimal

import pytest

from jobs.bill import Rounding, Share, TaxRule, make_bill, tax_on
from jobs.pricing import Group, LineKind, PriceLine
from tests.reference import named, rows

D = Decimal

ROWS = rows("tax_rounding")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: named(row, "amounts", "rounding", "note"))
def test_tax_is_rounded_as_printed(row: dict[str, str]) -> None:
    amounts = [D(amount) for amount in row["amounts"].split()]
    assert tax_on(amounts, D(row["percent"]), Rounding(row["rounding"])) == D(row["tax"])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: named(row, "amounts", "rounding", "note"))
def test_a_bill_of_these_lines_carries_that_tax(row: dict[str, str]) -> None:
    lines = [
        PriceLine(1, LineKind.ASSEMBLY, "Part", D(amount)) for amount in row["amounts"].split()
    ]
    tax = TaxRule("Tax", D(row["percent"]), frozenset({Group.ASSEMBLIES}))
    bill = make_bill(lines, {1: Share()}, [tax], Rounding(row["rounding"]))
    assert bill.tax == D(row["tax"])
    assert bill.total == bill.before_tax + bill.tax
