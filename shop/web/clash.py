"""Going on after somebody else changed the same thing first."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict


def after_clash(form: forms.Form, row: Any) -> Any | None:
    """The row as it stands now when the form was made from an older state, else None.

    The form then carries the newer revision with everything that was typed, so that sending it
    again is a decision and not a trap.
    """
    sent = form.data.get("revision")
    if not sent:
        return None
    row.refresh_from_db()
    if str(row.revision) == str(sent):
        return None
    data = {**form.data.dict()} if isinstance(form.data, QueryDict) else {**form.data}
    data["revision"] = str(row.revision)
    form.data = data
    return row
