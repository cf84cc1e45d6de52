"""The content policy is strict on a page, a part, a paper and an error."""

from __future__ import annotations

from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from shop.actor import Actor
from shop.web import htmx
from tests.asserts import text_of
from tests.cast import client_of
from tests.factories import a_repair_order


def _policy(answer: Any) -> dict[str, list[str]]:
    header = answer.headers["Content-Security-Policy"]
    parts = [part.split() for part in header.split(";") if part.strip()]
    return {part[0]: part[1:] for part in parts}


def _is_strict(answer: Any) -> None:
    policy = _policy(answer)
    assert policy["default-src"] == ["'none'"]
    assert policy["script-src"] == ["'self'"]
    assert policy["style-src"] == ["'self'"]
    assert policy["frame-ancestors"] == ["'none'"]
    assert policy["base-uri"] == ["'none'"]
    assert policy["form-action"] == ["'self'"]
    loose = [word for words in policy.values() for word in words if "unsafe" in word or "*" in word]
    assert not loose
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["X-Frame-Options"] == "DENY"
    assert answer.headers["Referrer-Policy"] == "same-origin"


def test_a_page_a_part_a_paper_and_errors_are_strict(bela: Actor, ines: Actor) -> None:
    order = a_repair_order(bela)
    browser, slug = client_of(bela), bela.workshop.slug
    _is_strict(browser.get(reverse("desk", args=[slug])))
    part = browser.get(
        reverse("office-section", args=[slug, "watch"]), headers={"HX-Request": "true"}
    )
    assert "<html" not in part.content.decode()
    _is_strict(part)
    paper = browser.get(reverse("job-card", args=[slug, order.number]))
    assert paper.headers["Content-Type"] == "application/pdf"
    _is_strict(paper)
    missing = browser.get(reverse("order", args=[slug, "Q999999"]))
    assert missing.status_code == 404
    _is_strict(missing)
    forbidden = client_of(ines).get(reverse("people", args=[slug]))
    assert forbidden.status_code == 403
    _is_strict(forbidden)


def test_a_failure_shows_a_reference_that_is_also_in_the_log(
    bela: Actor, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_given: object, **_named: object) -> None:
        raise RuntimeError("a wire came off")

    monkeypatch.setattr(htmx, "render", broken)
    browser = Client(raise_request_exception=False)
    browser.force_login(bela.user)
    answer = browser.get(reverse("desk", args=[bela.workshop.slug]))
    assert answer.status_code == 500
    _is_strict(answer)
    line = next(record for record in caplog.records if record.name == "stubaxle.errors")
    reference = str(line.args[0]) if isinstance(line.args, tuple) else ""
    assert len(reference) == 8
    assert reference in text_of(answer)
    assert "a wire came off" in (line.exc_text or caplog.text)
    assert "a wire came off" not in text_of(answer)


def test_nothing_is_fetched_from_elsewhere() -> None:
    assert settings.CONTENT_SECURITY_POLICY["DIRECTIVES"]["connect-src"] == ["'self'"]
    assert settings.SESSION_COOKIE_HTTPONLY
    assert settings.SESSION_COOKIE_SAMESITE == "Lax"
