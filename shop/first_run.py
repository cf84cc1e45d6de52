"""The one-time token that opens the first page of an empty installation.

Only its digest is kept, in the state folder, readable by the server's own user alone.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from pathlib import Path

from django.conf import settings


def _kept_in() -> Path:
    return Path(settings.STATE_DIR) / "first-run-token"


def new_token() -> str:
    """Make a token, keep its digest in place of any earlier one, and return it once."""
    token = secrets.token_urlsafe(24)
    path = _kept_in()
    path.parent.mkdir(parents=True, exist_ok=True)
    path.touch(mode=0o600)
    path.write_text(_digest(token), encoding="ascii")
    return token


def token_matches(token: str) -> bool:
    path = _kept_in()
    if not path.exists():
        return False
    return hmac.compare_digest(path.read_text(encoding="ascii"), _digest(token))


def burn_token() -> None:
    _kept_in().unlink(missing_ok=True)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
