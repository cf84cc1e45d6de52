"""Every kind of measurement once from its form to its page: worked out, judged, drawn."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from diagnostics.measurements.kept import outcome_of
from diagnostics.measurements.registry import KINDS, by_group
from diagnostics.models import Measurement
from shop.actor import Actor
from tests.asserts import text_of
from tests.cast import client_of
from tests.diagnostics.samples import FILES, TYPED, place_of
from tests.factories import a_session

# A conversion for the person's own use measures nothing.
REFERENCE = {"wheel_speed_convert"}


def in_a_line(text: str) -> str:
    """As `text_of` gives it: every kind of space is one."""
    return " ".join(text.split())


def test_every_kind_has_a_sample_and_a_group() -> None:
    assert set(TYPED) == set(KINDS)
    assert sum(len(kinds) for _group, kinds in by_group()) == len(KINDS)


@pytest.mark.parametrize("key", sorted(KINDS))
def test_it_is_worked_out_and_shown(ines: Actor, key: str) -> None:
    session, slug = a_session(ines), ines.workshop.slug
    sent: dict[str, Any] = {"act": str(uuid4()), "position": place_of(key), **TYPED[key]}
    if key in FILES:
        sent["file"] = SimpleUploadedFile("signal.csv", FILES[key](), "text/csv")
    answer = client_of(ines).post(reverse("work-out", args=[slug, session.pk, key]), sent)
    assert answer.status_code == 303, text_of(answer)
    made = Measurement.objects.get()
    outcome = outcome_of(made.outcome)
    page = client_of(ines).get(answer.headers["Location"])
    shown = text_of(page)
    assert page.status_code == 200
    assert in_a_line(outcome.says) in shown
    assert outcome.sources, "a result says where it comes from"
    for said in [one.says for one in outcome.findings] + [one.says for one in outcome.charts]:
        assert in_a_line(said) in shown
    for wrong in ("nan", "None", "inf "):
        assert wrong not in outcome.says
    assert shown.count("<figure") == len(outcome.charts)
    assert {reading.quantity.key for reading in made.readings.all()} <= {
        quantity.key for quantity in KINDS[key].quantities
    }
    assert made.readings.exists() or key in REFERENCE, "nothing of it would reach the job"


def test_empty_it_says_what_is_missing_and_keeps_nothing(ines: Actor) -> None:
    session, slug, browser = a_session(ines), ines.workshop.slug, client_of(ines)
    for key in KINDS:
        sent = {"act": str(uuid4()), "position": place_of(key)}
        answer = browser.post(reverse("work-out", args=[slug, session.pk, key]), sent)
        assert answer.status_code == 200, key
        assert "errorlist" in text_of(answer), key
    assert not Measurement.objects.exists()
