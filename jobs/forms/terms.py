"""The terms of a workshop: what local law asks, papers, shelf and clock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from jobs.forms.fields import AmountField
from jobs.forms.percent import PercentField
from jobs.jurisdictions import PROFILES, profile
from jobs.models import Terms
from jobs.services.terms import RANGES
from shop.web.forms import MoveForm, ask_plainly

_UNITS = {"days": _("days"), "years": _("years"), "mm": "mm", "minutes": _("minutes")}
GROUPS: tuple[tuple[str, Any, tuple[str, ...]], ...] = (
    ("law", _("Authority and what an invoice lists"), (
        "tolerance_percent", "record_years", "list_condition", "list_unpaid_work",
    )),
    ("parts", _("Replaced parts"), ("return_parts", "keep_replaced_days", "hold_days")),
    ("papers", _("Papers"), ("tax_number", "tag_width_mm", "tag_height_mm", "invoice_note")),
    ("inside", _("Shelf and clock"), ("service_level", "grace_minutes", "labour_cost_rate")),
    ("safety", _("Safety-defect complaints"), (
        "safety_office", "safety_place", "safety_failures",
    )),
)  # fmt: skip
# P(demand while a delivery is awaited <= what is kept) is the chance of lasting, not the share of
# demands served, which is smaller.
LABELS = {
    "service_level": _("The shelf lasts until the next delivery"),
    "safety_office": _("The office of this country that takes them"),
    "safety_place": _("Where they are made: address or telephone"),
    "safety_failures": _("Offer the text after so many like failures in twelve months"),
}
HELP = {
    "tolerance_percent": _("Above that, work is stopped until the customer’s word is recorded."),
    "record_years": _("As long as local law asks. Nothing is ever deleted here by itself."),
    "hold_days": _("Parts taken off under a warranty or contract, until their payer has looked."),
    "keep_replaced_days": _("0: they may go when the vehicle goes."),
    "tax_number": _("Printed on invoices."),
    "invoice_note": _("Printed under every invoice: how to pay, opening hours, your own terms."),
    "service_level": _("Of the deliveries waited for, in how many nothing runs out. 50 to 99.9."),
    "labour_cost_rate": _(
        "Wages and what comes with them: what warranty work costs is told by it."
    ),
    "safety_office": _("Named above the text. Nothing is ever sent from here."),
    "safety_failures": _(
        "Of one component of one model. A vehicle not to be driven is offered it at once."
    ),
    "grace_minutes": _("Then the evening’s check ends it where the shift ended."),
}


class TermsForm(MoveForm):
    profile = forms.ChoiceField(
        label=_("Begin from the rules of"), choices=[(one.key, one.name) for one in PROFILES]
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in (name for _key, _title, names in GROUPS for name in names):
            self.fields[name] = _field(name)
        ask_plainly(self)

    @classmethod
    def of(cls, terms: Terms) -> TermsForm:
        """The form as the terms stand."""
        names = ("profile", "revision", *(name for group in GROUPS for name in group[2]))
        return cls(initial={name: getattr(terms, name) for name in names})

    @classmethod
    def filled_from(cls, sent: QueryDict) -> TermsForm:
        """What was typed, with the figures of the chosen set in place of its own; not kept yet."""
        typed: dict[str, Any] = {name: sent[name] for name in sent}
        for name in ("list_condition", "list_unpaid_work"):
            typed[name] = name in sent
        chosen = profile(typed.get("profile", ""))
        return cls(initial=typed | {"profile": chosen.key} | chosen.figures.named())

    def groups(self) -> Iterator[tuple[str, Any, list[forms.BoundField]]]:
        """The fields as the page shows them: a key, a title, and the fields under it."""
        for key, title, names in GROUPS:
            yield key, title, [self[name] for name in names]

    def changes(self) -> Mapping[str, object]:
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name not in ("act", "revision")
        }


def _field(name: str) -> forms.Field:
    """The model's own field, with its unit beside it and its range said beforehand."""
    model_field = Terms._meta.get_field(name)
    label = str(model_field.verbose_name).rpartition(", ")  # type: ignore[union-attr]
    words = label[0] if label[2] in {*_UNITS, "percent"} else str(model_field.verbose_name)  # type: ignore[union-attr]
    field: forms.Field
    if name in ("tolerance_percent", "service_level"):
        field = PercentField(places=1 if name == "service_level" else 2)
    elif name == "labour_cost_rate":
        field = AmountField(required=False)
        field.unit = _("/ h")  # type: ignore[attr-defined]
    elif name in RANGES:
        least, most = RANGES[name]
        field = forms.IntegerField(min_value=least, max_value=most)
        field.unit = _UNITS.get(label[2], "")  # type: ignore[attr-defined]
    else:
        made = model_field.formfield()  # type: ignore[union-attr]
        assert made is not None
        field = made
    field.label = LABELS.get(name, words[:1].upper() + words[1:])
    field.help_text = HELP.get(name, "")
    if name in ("safety_office", "safety_place"):
        field.look = "wide"  # type: ignore[attr-defined]
    if name == "invoice_note":
        field.widget = forms.Textarea({"rows": 3})
    if name == "return_parts":
        field = forms.ChoiceField(
            label=_("They are"), choices=Terms.ReturnParts.choices, widget=forms.RadioSelect
        )
    return field
