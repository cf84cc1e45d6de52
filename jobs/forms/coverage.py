"""Deciding who pays for a complaint, and what is objected to a payer."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.percent import PercentField
from jobs.models import Objection, Payer
from shop.web.forms import ActForm


class DecideForm(ActForm):
    """Who pays; `seen` is what the rules were held against when the page was made."""

    seen = forms.CharField(widget=forms.HiddenInput, max_length=64)
    payer = forms.ChoiceField(label=_("Who pays"), choices=Payer.choices)
    percent = PercentField(
        label=_("How much of it that payer bears"),
        required=False,
        help_text=_("The customer pays the rest. Left empty: all of it."),
    )
    because = forms.CharField(
        label=_("Why"),
        max_length=200,
        required=False,
        help_text=_("For goodwill, wherever it is shared, and when the rules say otherwise."),
    )

    @property
    def given(self) -> dict[str, Any]:
        """What the service is called with."""
        data = self.cleaned_data
        percent: Decimal | None = data["percent"]
        return {
            "act": self.act_id,
            "payer": data["payer"],
            "percent": Decimal(100) if percent is None else percent,
            "because": data["because"],
            "seen": data["seen"],
        }


class ObjectionForm(ActForm):
    """What speaks against a payer, and what proves it."""

    reason = forms.ChoiceField(label=_("What is objected"), choices=Objection.Reason.choices)
    words = forms.CharField(label=_("What was seen"), max_length=200)
    shown = forms.CharField(
        label=_("What shows that it caused the failure"),
        max_length=200,
        required=False,
        help_text=_("A reading, a look, a report. Empty while nothing shows it."),
    )


class WithdrawForm(ActForm):
    because = forms.CharField(label=_("Why it no longer stands"), max_length=200)
