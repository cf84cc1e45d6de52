"""When something that waited on its tablet for the network was really done."""

from __future__ import annotations

from datetime import datetime

from django.http import HttpRequest


def done_at(request: HttpRequest) -> datetime | None:
    """The moment the tablet kept it, by the tablet's own clock; None for what came at once.

    The tablet may be wrong or lie: whoever uses it has to bound it.
    """
    said = request.headers.get("X-Waited", "")[:40]
    try:
        moment = datetime.fromisoformat(said)
    except ValueError:
        return None
    return moment if moment.tzinfo else None
