"""Every published value, each as a test of its own with its source in its name."""

from __future__ import annotations

import pytest

from tests.jobs.reports.stats.checked import CheckRow, check_rows, load_claims

ROWS = check_rows()
CLAIMS = load_claims()


@pytest.mark.parametrize("row", ROWS, ids=[row.named for row in ROWS])
def test_the_published_value_comes_out(row: CheckRow) -> None:
    claims = [(claim, parts) for claim in CLAIMS if (parts := claim.reads(row)) is not None]
    assert len(claims) == 1, f"claimed by {[claim.work.__name__ for claim, _ in claims]}"
    claim, parts = claims[0]
    found = claim.work(**parts)
    assert row.met_by(found), f"{found!r} instead of {row.value!r} within {row.tolerance}"


def test_no_claim_is_left_without_a_row() -> None:
    idle = [
        claim.work.__name__ for claim in CLAIMS if all(claim.reads(row) is None for row in ROWS)
    ]
    assert idle == []


def test_every_row_says_how_sure_it_is() -> None:
    assert len(ROWS) == 275
    assert {row.mark for row in ROWS} == {"R", "M", "C"}
    assert all(row.source and row.status for row in ROWS)
