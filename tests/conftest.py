"""What every test has: the cast, and cheap passwords."""

from __future__ import annotations

import pytest
from pytest_django.fixtures import Settings

pytest_plugins = ["tests.cast"]


@pytest.fixture(autouse=True)
def cheap_passwords(settings: Settings) -> None:
    """Hashing a password well takes longer than most tests."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
