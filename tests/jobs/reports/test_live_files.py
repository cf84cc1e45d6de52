"""The tables of the Office as files, from the pages that show them."""

from __future__ import annotations

import csv
import io
import re
from html import unescape

import openpyxl
import pytest
from django.urls import reverse

from diagnostics.models import Component
from jobs.views import failures as failures_page
from shop import clock
from shop.actor import Actor
from tests.cast import client_of
from tests.factories import the_platform
from tests.jobs.reports.bad_batch import BAD, FAILED, KEY, a_bad_batch, ago
from tests.jobs.reports.lives_made import a_life

pytestmark = pytest.mark.django_db
_FILE = re.compile(r'<a href="(\?[^"]*table=([\w-]+)[^"]*)" download')


def _address(who: Actor, name: str, *parts: str) -> str:
    return reverse(name, args=[who.workshop.slug, *parts])


def _csv(who: Actor, path: str) -> list[list[str]]:
    answer = client_of(who).get(path)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/csv; charset=utf-8"
    text = b"".join(answer).decode().removeprefix("\ufeff")
    return list(csv.reader(io.StringIO(text)))


def _files(who: Actor, path: str) -> dict[str, str]:
    """Of each table the page shows, the address of its file."""
    page = client_of(who).get(path).content.decode()
    found = {key: path.partition("?")[0] + unescape(way) for way, key in _FILE.findall(page)}
    assert len(found) == page.count('class="report__table"')
    return found


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        ("office-section", ("watch",)),
        ("failures", ()),
        ("failure-sheet", (KEY,)),
    ],
)
def test_every_table_of_a_page_can_be_had_as_csv(
    vera: Actor, name: str, parts: tuple[str, ...]
) -> None:
    a_bad_batch(vera)
    found = _files(vera, _address(vera, name, *parts))
    assert found
    for path in found.values():
        heads, *rows = _csv(vera, path)
        assert all(len(row) == len(heads) for row in rows)


def test_it_holds_what_the_page_shows(vera: Actor) -> None:
    a_bad_batch(vera)
    rows = _csv(vera, _files(vera, _address(vera, "failure-sheet", KEY))["component-batches"])
    heads = rows[0]
    (bad,) = [row for row in rows if BAD in row[0]]
    assert bad[heads.index("Failures")] == str(FAILED)


def test_the_month_of_the_page_is_that_of_the_file(vera: Actor) -> None:
    a_bad_batch(vera)
    path = _address(vera, "office-section", "months")
    answer = client_of(vera).get(path, {"month": "2024-02", "table": "jobs-by-month"})
    assert answer.status_code == 404  # nothing had come by then, and the page shows no table
    answer = client_of(vera).get(_address(vera, "failures"), {"table": "failure-rates"})
    name = f"{vera.workshop.slug}-{clock.today():%Y-%m-%d}-failure-rates.csv"
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{name}"'


def test_a_file_of_failures_holds_all_kinds_whatever_page_is_shown(
    vera: Actor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two kinds of which one stands on each page: the hub that fails, and another that holds."""
    other = Component.objects.filter(platform=the_platform()).exclude(key=KEY)[0]
    a_life(a_bad_batch(vera)[0].vehicle, other, in_day=ago(800), out_day=ago(100)).save()
    monkeypatch.setattr(failures_page, "KINDS_A_PAGE", 1)
    path = _files(vera, f"{_address(vera, 'failures')}?page=2")["failure-rates"]
    assert "page" not in path
    assert len(_csv(vera, path)) == 1 + 2


def test_a_table_that_is_not_there_is_not_found(vera: Actor) -> None:
    for name, parts in (
        ("office-section", ("watch",)),
        ("failures", ()),
        ("failure-sheet", (KEY,)),
    ):
        assert client_of(vera).get(_address(vera, name, *parts), {"table": "x"}).status_code == 404


def test_what_somebody_typed_is_no_formula_in_it(vera: Actor) -> None:
    for unit in a_bad_batch(vera):
        if unit.batch == BAD:
            unit.batch = '=HYPERLINK("x")'
            unit.save()
    rows = _csv(vera, _files(vera, _address(vera, "office-section", "watch"))["watched-batches"])
    assert [row[0] for row in rows if "HYPERLINK" in row[0]] == ['\'=HYPERLINK("x")']


def test_all_tables_of_the_month_are_one_workbook(vera: Actor) -> None:
    a_bad_batch(vera)
    page = client_of(vera).get(_address(vera, "office")).content.decode()
    path = f"{_address(vera, 'office-book')}?month={clock.today():%Y-%m}"
    assert f'<a href="{path}" download>' in page
    answer = client_of(vera).get(path)
    book = openpyxl.load_workbook(io.BytesIO(b"".join(answer)))
    assert book.sheetnames[:3] == ["Contents", "What it says", "Limits"]
    (bad,) = [row for row in book["Batches under watch"].values if row[0] == BAD]
    assert FAILED in bad
