"""Making, revising and mailing the monthly report."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from shop.web.forms import ActForm


class MakeForm(ActForm):
    """`months`: those that can be issued, newest first."""

    look = "close"
    month = forms.ChoiceField(label=_("Month"))

    def __init__(self, *args: Any, months: Sequence[date] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["month"] = forms.ChoiceField(
            label=_("Month"),
            choices=[(f"{month:%Y-%m}", date_format(month, "F Y")) for month in months],
            error_messages={
                "required": _("Choose a month."),
                "invalid_choice": _(
                    "That month cannot be issued: it is not over, was issued already, or lies "
                    "before the first vehicle."
                ),
            },
        )


class ReviseForm(ActForm):
    because = forms.CharField(
        label=_("Why it is revised"),
        widget=forms.Textarea({"rows": 3}),
        help_text=_("It stands on the cover, with what the revision says otherwise."),
        error_messages={"required": _("Say why; it stands on the cover.")},
    )
