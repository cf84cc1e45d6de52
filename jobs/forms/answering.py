"""What every recorded answer asks: who, how, when, the parts that come off, a signature."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from jobs.forms.own_ids import OwnIds
from jobs.forms.signature import SignatureField
from jobs.models import How, RepairOrder
from shop import clock
from shop.web.forms import MoveForm

AT = "%Y-%m-%dT%H:%M"
ANSWER_FIELDS = (
    "who",
    "how",
    "contact",
    "answered_at",
    "parts_wanted",
    "note",
    "signature",
)


class AnsweringForm(OwnIds, MoveForm):
    who = forms.CharField(
        label=_("Who answered"),
        max_length=120,
        help_text=_("The customer, or somebody the customer named to answer."),
    )
    how = forms.ChoiceField(label=_("How"), choices=How.choices)
    contact = forms.CharField(label=_("Number or address used"), max_length=120, required=False)
    answered_at = forms.DateTimeField(
        label=_("When"),
        widget=forms.DateTimeInput({"type": "datetime-local"}, format=AT),
        input_formats=[AT, "%Y-%m-%d %H:%M"],
        error_messages={"invalid": _("Write a date and a time, such as 2026-05-04 16:30.")},
    )
    parts_wanted = forms.ChoiceField(
        label=_("Replaced parts"),
        choices=[
            ("", _("not asked yet")),
            (RepairOrder.PartsWanted.WANTED.value, _("wants them back")),
            (RepairOrder.PartsWanted.NOT_WANTED.value, _("does not want them")),
        ],
        required=False,
        help_text=_("Whoever wants them back says so now, when the work is authorised."),
    )
    note = forms.CharField(
        label=_("What else was said"),
        max_length=1000,
        required=False,
        widget=forms.Textarea({"rows": 2}),
    )
    signature = SignatureField()

    def __init__(
        self, *args: Any, order: RepairOrder, initial: dict[str, Any] | None = None, **kwargs: Any
    ) -> None:
        kwargs["initial"] = {
            "revision": order.revision,
            "who": order.customer.name,
            "how": How.PHONE,
            "contact": order.customer.phone,
            "answered_at": timezone.localtime(clock.now()).strftime(AT),
            "parts_wanted": order.parts_wanted,
        } | (initial or {})
        super().__init__(*args, **kwargs)
        self.fields["note"].look = "wide"  # type: ignore[attr-defined]

    @property
    def answer_data(self) -> dict[str, Any]:
        names = ("act", "revision", *ANSWER_FIELDS)
        return {name: self.cleaned_data[name] for name in names}
