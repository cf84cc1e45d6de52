"""Deciding on a return where the network comes and goes: nothing typed is lost or sent twice."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from jobs.models import Comeback
from shop.models import LogEntry
from tests.browser.conftest import Opener
from tests.browser.tablet import Tablet
from tests.jobs.along import Crew
from tests.jobs.returned import a_return, the_comeback

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

GONE: Final = "The server cannot be reached. What you typed is still here"


def send_twice(one: Tablet, page: Page, button: str, done: Callable[[], None]) -> None:
    """Without network first, then with it."""
    one.forgiving = True
    page.context.set_offline(True)
    page.get_by_role("button", name=button).click()
    expect(page.get_by_text(GONE)).to_be_visible()
    page.context.set_offline(False)
    page.get_by_role("button", name=button).click()
    done()
    one.forgiving = False


def test_a_decision_sent_without_network_stays_typed_and_is_sent_once(
    tablet: Opener, crew: Crew
) -> None:
    found = the_comeback(a_return(crew))
    assert found is not None
    one = tablet(crew.manager)
    page = one.go(f"/quay-street/returns/{found.pk}/")
    page.get_by_label("Intermittent, not found.").check()
    page.get_by_label("What that rests on").fill("It came and went on the road")
    decided = page.get_by_text("It is decided. The figures count it so from now on.")
    send_twice(one, page, "Put the decision down", lambda: expect(decided).to_be_visible())
    found.refresh_from_db()
    assert (found.cause, found.reason) == ("not_found", "It came and went on the road")
    assert LogEntry.objects.filter(words__contains="decided on the return").count() == 1


def test_what_is_wrong_with_a_decision_is_said_in_its_place(tablet: Opener, crew: Crew) -> None:
    found = the_comeback(a_return(crew))
    assert found is not None
    page = tablet(crew.manager).go(f"/quay-street/returns/{found.pk}/")
    page.get_by_label("What that rests on").fill("The lamp was on")
    # As what remembers passwords does; the policy lets no part of a page carry a style over.
    page.evaluate("document.querySelectorAll('[id]').forEach((one) => { one.style.outline = '0' })")
    page.get_by_role("button", name="Put the decision down").click()
    expect(page.get_by_text("Choose what kind of return it is.")).to_be_visible()
    expect(page.get_by_label("What that rests on")).to_have_value("The lamp was on")
    expect(page.get_by_role("heading", level=1)).to_have_count(1)


def test_a_return_put_in_without_network_stays_typed_and_is_put_in_once(
    tablet: Opener, crew: Crew
) -> None:
    order = a_return(crew, system="power_steering")
    assert the_comeback(order) is None
    one = tablet(crew.manager)
    page = one.go(f"/quay-street/orders/{order.number}/complaints/1/return/")
    page.get_by_role("radio").first.check()
    page.get_by_label("What that rests on").fill("The customer says it never went away")
    put_in = page.get_by_text("It is among the returns, and waits for its decision.")
    send_twice(one, page, "Put it in as a return", lambda: expect(put_in).to_be_visible())
    assert Comeback.objects.get().because == Comeback.Because.BY_HAND
