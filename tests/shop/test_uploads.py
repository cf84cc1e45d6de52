"""What declares more than is taken is refused before any of it is read."""

from __future__ import annotations

from django.conf import settings
from django.test import Client, RequestFactory
from django.urls import reverse

from diagnostics.captures import MAX_BYTES


def test_ten_gigabytes_declared_are_answered_unread(rf: RequestFactory) -> None:
    answer = Client().post(reverse("sign-in"), {"username": "ines"}, CONTENT_LENGTH=str(10 * 2**30))
    assert answer.status_code == 413
    assert "At most 33 MB" in answer.content.decode()
    assert "Content-Security-Policy" in answer.headers


def test_a_length_that_is_no_number_is_taken_for_none(db: None) -> None:
    for text in ("-1", "1e9", "²", ""):
        assert Client().get(reverse("sign-in"), CONTENT_LENGTH=text).status_code == 200


def test_a_whole_capture_fits_with_its_form() -> None:
    assert MAX_BYTES < settings.LARGEST_REQUEST
