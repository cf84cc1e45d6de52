"""What the Office page counted is kept for its pictures, until somebody does something."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import translation

from jobs.models import RepairOrder
from jobs.reports import counted as kept
from jobs.reports import office
from jobs.reports.document import Section, Span
from shop import clock
from shop.actor import Actor
from shop.models import Act
from tests.asserts import counted
from tests.cast import client_of
from tests.factories import a_repair_order

pytestmark = pytest.mark.django_db


def _span() -> Span:
    return office.span_of(clock.today())


def _queries(actor: Actor, span: Span | None = None) -> int:
    with counted() as queries:
        kept.sections(actor, span or _span())
    return len(queries)


def test_it_is_what_is_counted_anew(bela: Actor) -> None:
    a_repair_order(bela)
    anew = office.sections(bela, _span())
    assert kept.sections(bela, _span()) == anew
    assert kept.sections(bela, _span()) == anew
    assert tuple(kept.section(bela, _span(), part.key) for part in office.PARTS) == anew


def test_asked_again_it_costs_one_query(bela: Actor) -> None:
    a_repair_order(bela)
    assert _queries(bela) > 20
    assert _queries(bela) == 1
    with counted() as queries:
        kept.section(bela, _span(), "months")
    assert len(queries) == 1


def test_whatever_somebody_does_is_seen_at_once(bela: Actor) -> None:
    def taken_in() -> Section | None:
        return kept.section(bela, _span(), "months")

    a_repair_order(bela)
    one = taken_in()
    a_repair_order(bela)
    assert taken_in() != one
    assert taken_in() == office.sections(bela, _span())[0]


def test_another_day_month_language_and_workshop_are_others(bela: Actor, pim: Actor) -> None:
    for actor in (bela, pim):
        a_repair_order(actor)
        assert _queries(actor) > 20
    before = office.span_of(clock.today().replace(day=1) - timedelta(days=1))
    assert _queries(bela, before) > 20
    with translation.override("de"):
        assert _queries(bela) > 20
    with clock.at(clock.now() + timedelta(days=1)):
        assert _queries(bela) > 20


def test_before_anything_was_done_nothing_is_kept(bela: Actor) -> None:
    assert not Act.objects.exists()
    assert _queries(bela) == _queries(bela) > 20


def test_it_is_not_kept_for_ever(bela: Actor, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept, "KEPT_SECONDS", 0)
    a_repair_order(bela)
    assert _queries(bela) == _queries(bela) > 20


def test_a_file_and_an_issued_report_are_counted_anew(vera: Actor, bela: Actor) -> None:
    """What changes without an act, as nothing does on a page, tells the kept from the new."""
    order, _other = a_repair_order(bela), a_repair_order(bela)
    browser, slug = client_of(vera), vera.workshop.slug
    address = reverse("office-section", args=[slug, "months"])
    before = kept.section(vera, _span(), "months")
    assert before is not None
    table = {"table": before.tables[0].key}
    file = browser.get(address, table).getvalue()
    RepairOrder.objects.filter(pk=order.pk).delete()
    assert kept.section(vera, _span(), "months") == before
    assert browser.get(address, table).getvalue() != file
    assert before not in office.report(vera, _span()).sections


def test_an_act_that_is_seen_late_is_seen(bela: Actor) -> None:
    """Of two at the same moment the one with the smaller number may be committed later."""
    a_repair_order(bela)
    late = Act.objects.order_by("pk").first()
    a_repair_order(bela)
    assert late is not None
    Act.objects.filter(pk=late.pk).delete()
    assert _queries(bela) > 20
    assert _queries(bela) == 1
    late.save(force_insert=True)
    assert _queries(bela) > 20


def test_there_is_no_other_section(bela: Actor) -> None:
    assert kept.section(bela, _span(), "nothing-like-it") is None
