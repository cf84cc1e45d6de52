"""Who pays: the pages with several terms, objections and decisions can be used by everybody."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from shop.models import Workshop
from shop.roles import Role
from tests.browser.conftest import Opener
from tests.browser.test_looks import look_at
from tests.cast import person
from tests.factories import a_complaint_line, a_repair_order
from tests.jobs.along import Crew
from tests.jobs.covering import (
    a_contract,
    a_term,
    an_objection,
    bare_pages,
    came_in,
    decided,
    in_service,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_who_pays_can_be_used_by_everybody(
    tablet: Opener, crew: Crew, quay_street: Workshop
) -> None:
    lines = [
        a_complaint_line(),
        a_complaint_line(words="It pulls to the left since the tyre was changed"),
    ]
    order = a_repair_order(crew.manager, technician=crew.technician, complaints=lines)
    bare_pages(order)
    in_service(order, came_in(order) - timedelta(days=3 * 365 - 20))
    a_term(order, distance_m=200_000_000)
    a_term(order, "short", name="First-year adjustments", months=12, distance_m=20_000_000)
    a_contract(order, starts_on=came_in(order) - timedelta(days=90), deductible="80", percent="75")
    complaint = order.complaints.get(line=1)
    decision = decided(crew.manager, complaint, "vehicle_warranty")
    an_objection(crew.manager, complaint)
    one = tablet(person(quay_street, "Vera S.", *Role), reduced_motion="reduce")
    slug = quay_street.slug
    troubles = look_at(one, reverse("order", args=[slug, order.number]))
    troubles += look_at(one, reverse("who-pays", args=[slug, order.number, 1]))
    troubles += look_at(
        one, reverse("who-pays-decision", args=[slug, order.number, 1, decision.pk])
    )
    troubles += look_at(one, reverse("desk", args=[slug]))
    assert not troubles, "\n".join(troubles)
