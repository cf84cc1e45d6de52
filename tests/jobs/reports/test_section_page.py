"""Any section on a page: its sentences, limits, charts, tables, and the ways to the jobs."""

from __future__ import annotations

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from jobs.reports.document import Figure, ReportTable, Section, Shown, Way
from shop.actor import Actor
from shop.charting import Axis, Bars, Chart
from shop.tables import Column, Reads
from tests.asserts import text_of
from tests.cast import client_of

pytestmark = pytest.mark.django_db

CHART = Chart(
    "Failures, by month",
    "There were more in June.",
    Axis("Month"),
    Axis("Failures", zero=True),
    (Bars("Failures", (("May", 1.0), ("June", 3.0))),),
)
TABLE = ReportTable(
    "failures",
    "Failures <by> month",
    (Column("Month", "when"), Column("Failures", "how many", Reads.WHOLE)),
    (
        (Shown("May"), Shown("1", 1, Way("office-jobs", ("released", "2026-05"), "page=1"))),
        (Shown("June"), Shown("–")),
        (Shown("July"), Shown("2", 2, Way("an-address-that-is-gone", (1,)))),
    ),
    note="Counts, not rates.",
)
SECTION = Section(
    "some",
    "Some failures",
    ("Read this first.", "Then this."),
    figures=(Figure(CHART, ("Few vehicles.",)),),
    tables=(TABLE,),
    limits=("What failed elsewhere is not seen.",),
)


def _drawn(actor: Actor, section: Section) -> str:
    return render_to_string("reports/section.html", {"section": section, "actor": actor})


def test_all_of_a_section_is_drawn_sentences_first(vera: Actor) -> None:
    page = _drawn(vera, SECTION)
    order = [
        "Some failures",
        "Read this first.",
        "Then this.",
        "There were more in June.",
        "Few vehicles.",
        "Failures &lt;by&gt; month",
        "Counts, not rates.",
        "What failed elsewhere is not seen.",
    ]
    places = [page.index(words) for words in order]
    assert places == sorted(places)
    assert "<svg" in page


def test_a_figure_leads_to_its_jobs_and_a_blank_or_a_lost_way_nowhere(vera: Actor) -> None:
    page = _drawn(vera, SECTION)
    path = reverse("office-jobs", args=[vera.workshop.slug, "released", "2026-05"])
    assert f'<td class="end"><a href="{path}?page=1">1</a></td>' in page
    assert '<td class="end">–</td>' in page
    assert '<td class="end">2</td>' in page


def test_a_table_without_rows_says_so(vera: Actor) -> None:
    empty = ReportTable("none", "None", TABLE.columns, ())
    page = _drawn(vera, Section("some", "Some", ("Nothing.",), tables=(empty,)))
    assert "Nothing yet." in page
    assert "What these numbers cannot show" not in page


def test_a_row_of_another_length_than_the_columns_is_no_table(vera: Actor) -> None:
    wrong = ReportTable("wrong", "Wrong", TABLE.columns, ((Shown("May"),),))
    with pytest.raises(ValueError, match="zip"):
        _drawn(vera, Section("some", "Some", ("Nothing.",), tables=(wrong,)))


def test_the_office_asks_for_a_picture_apart(vera: Actor) -> None:
    path = reverse("office-section", args=[vera.workshop.slug, "money"])
    part = client_of(vera).get(path, headers={"HX-Request": "true"})
    assert part.status_code == 200
    assert "<h1" not in text_of(part)
