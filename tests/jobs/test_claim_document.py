"""The claim document: written, read back, documented, and held to its published schema."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from jobs.claims.document_schema import rows, schema
from jobs.claims.document_text import COLUMNS, DocumentError, from_json, to_csv, to_json
from tests.jobs.claim_papers import a_document

ROOT = Path(settings.BASE_DIR)
KEPT = json.loads((ROOT / "fixtures" / "claim.schema.json").read_text(encoding="utf-8"))
DOCS = (ROOT / "docs" / "claims.md").read_text(encoding="utf-8")


def test_what_is_written_is_read_back_the_same_and_written_the_same_again() -> None:
    document = a_document()
    text = to_json(document)
    assert from_json(text) == document
    assert to_json(from_json(text)) == text


@given(words=st.text(max_size=40), cents=st.integers(0, 10**9))
def test_any_words_and_any_amount_come_back(words: str, cents: int) -> None:
    amount = Decimal(cents) / 100
    line = replace(a_document().lines[0], text=words, amount=amount)
    document = replace(a_document(), concern=words, lines=(line,))
    assert from_json(to_json(document)) == document


def test_an_example_holds_to_the_published_schema() -> None:
    """By the jsonschema package, an implementation that is not ours."""
    Draft202012Validator.check_schema(KEPT)
    checker = Draft202012Validator(KEPT, format_checker=Draft202012Validator.FORMAT_CHECKER)
    data = json.loads(to_json(a_document()))
    assert list(checker.iter_errors(data)) == []
    data["lines"][0]["amount"] = 133.0
    assert [list(error.path) for error in checker.iter_errors(data)] == [["lines", 0, "amount"]]


def test_the_published_schema_is_the_one_that_is_written_by() -> None:
    assert schema() == KEPT


@pytest.mark.parametrize("row", [*rows()], ids=lambda row: row[0])
def test_every_field_is_documented(row: tuple[str, str, str]) -> None:
    place, kind, words = row
    assert f"| `{place}` | {kind} | {words} |" in DOCS


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.name)
def test_every_column_is_documented(column: Any) -> None:
    assert f"| `{column.name}` | {column.reads.value} | {column.words} |" in DOCS


def test_the_table_has_a_row_a_line_that_adds_up_and_no_formula() -> None:
    document = a_document()
    found = list(csv.DictReader(io.StringIO(to_csv(document))))
    assert [row["line"] for row in found] == ["1", "2", "3"]
    assert sum(Decimal(row["amount"]) for row in found) == document.totals.total
    assert found[1]["text"] == "'=cmd|' /C calc'!A0"
    assert {row["sent_on"] for row in found} == {"2026-11-24"}


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ("{", "not JSON"),
        ("[]", "no claim document"),
        ('{"schema": "another"}', "no claim document"),
        ('{"schema": "stubaxle-claim", "version": 2}', "version 2"),
        ('{"schema": "stubaxle-claim", "version": 1}', "has no 'claim'"),
    ],
)
def test_what_is_no_document_is_refused_in_words(wrong: str, says: str) -> None:
    with pytest.raises(DocumentError, match=says):
        from_json(wrong)


@pytest.mark.parametrize(
    ("part", "name", "wrong", "says"),
    [
        ("totals", "total", 5, "a decimal number in quotes"),
        ("totals", "total", "NaN", "cannot be read"),
        ("totals", "total", "much", "cannot be read"),
        ("vehicle", "in_service_on", "2024-02-30", "cannot be read"),
        ("claim", "submission", True, "a whole number"),
        ("claim", "draft", "no", "true or false"),
    ],
)
def test_a_field_of_the_wrong_kind_is_named(part: str, name: str, wrong: Any, says: str) -> None:
    data = json.loads(to_json(a_document()))
    data[part][name] = wrong
    with pytest.raises(DocumentError, match=rf"document\.{part}\.{name}.*{says}"):
        from_json(json.dumps(data))


def test_fields_of_a_later_writer_are_passed_over() -> None:
    data = json.loads(to_json(a_document()))
    data["claim"]["colour"] = "blue"
    assert from_json(json.dumps(data)) == a_document()
