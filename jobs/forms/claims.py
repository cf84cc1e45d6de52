"""Claims and who is asked."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import mono
from jobs.forms.own_ids import OwnIds
from jobs.forms.percent import PercentField
from jobs.models import ClaimPayer
from jobs.services.claim_payers import COLUMNS
from shop.web.forms import ActForm, MoveForm

_LONG = forms.Textarea({"rows": 4})
MOST_DAYS = 3650


def _days(label: Any, help_text: Any) -> forms.IntegerField:
    return forms.IntegerField(
        label=label, help_text=help_text, required=False, min_value=1, max_value=MOST_DAYS
    )


class PayerForm(ActForm):
    """`revision` is the one seen; a new payer has none."""

    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)
    name = forms.CharField(label=_("Name"), max_length=80)
    kind = forms.ChoiceField(
        label=_("Pays as"), choices=ClaimPayer._meta.get_field("kind").choices or ()
    )
    make = forms.CharField(
        label=_("Only for vehicles made by"),
        max_length=40,
        required=False,
        help_text=_("Left empty: any make."),
    )
    supplier = forms.CharField(
        label=_("Only for units supplied by"),
        max_length=80,
        required=False,
        help_text=_("Left empty: any supplier."),
    )
    account = forms.CharField(
        label=_("Our number there"), max_length=40, required=False, widget=mono()
    )
    address = forms.CharField(
        label=_("Where claims go"), required=False, widget=forms.Textarea({"rows": 3})
    )
    days_are = forms.ChoiceField(
        label=_("Days are counted as"),
        choices=ClaimPayer.Days.choices,
        initial=ClaimPayer.Days.CALENDAR,
    )
    file_days = _days(
        _("Days to send a claim"), _("After the day the vehicle left. Left empty: no limit.")
    )
    again_days = _days(
        _("Days to send it again"), _("After the day of the answer. Left empty: no limit.")
    )
    hold_days = _days(
        _("Days to keep the part"), _("After the claim was sent. Left empty: as the terms say.")
    )
    handling_percent = PercentField(
        label=_("Handling paid on parts, percent of their price"), required=False
    )
    pays_tax = forms.BooleanField(label=_("Pays tax"), required=False, initial=True)
    wants_photos = forms.BooleanField(label=_("Wants photos"), required=False)
    wants_clock = forms.BooleanField(label=_("Wants the clocked time"), required=False)
    wants_serials = forms.BooleanField(
        label=_("Wants the serial numbers of the units"), required=False, initial=True
    )
    wants_part = forms.BooleanField(label=_("May ask for the part"), required=False, initial=True)

    @property
    def given(self) -> dict[str, Any]:
        found = {name: self.cleaned_data[name] for name in COLUMNS}
        found["handling_percent"] = found["handling_percent"] or 0
        return found


class RetireForm(OwnIds, MoveForm):
    retired = forms.BooleanField(widget=forms.HiddenInput, required=False)


class DraftForm(OwnIds, ActForm):
    payer = forms.ModelChoiceField(
        label=_("Who is asked"),
        queryset=ClaimPayer.objects.none(),
        error_messages={"invalid_choice": _("Choose one of the payers in the list.")},
    )

    def __init__(
        self,
        *args: Any,
        payers: Collection[ClaimPayer],
        chosen: ClaimPayer | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["payer"]
        field.queryset = ClaimPayer.objects.filter(pk__in=[one.pk for one in payers])
        if chosen is not None:
            field.initial = chosen.pk


class WordsForm(OwnIds, MoveForm):
    concern = forms.CharField(label=_("Concern"), widget=_LONG)
    cause = forms.CharField(label=_("Cause"), widget=forms.Textarea({"rows": 6}), required=False)
    correction = forms.CharField(label=_("Correction"), widget=_LONG, required=False)


class ReadAgainForm(OwnIds, MoveForm):
    """Nothing to type."""


class ApproveForm(OwnIds, MoveForm):
    known = forms.BooleanField(
        label=_("I know what is missing and approve it all the same"), required=False
    )

    def __init__(self, *args: Any, lacking: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not lacking:
            del self.fields["known"]


class ReopenForm(OwnIds, MoveForm):
    """Nothing to type."""


class ReasonForm(OwnIds, MoveForm):
    because = forms.CharField(label=_("Why"), max_length=200)
