"""A vehicle that will not be seen again."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.models import Vehicle
from shop.web.forms import MoveForm


class GoneForm(MoveForm):
    gone = forms.ChoiceField(
        label=_("What became of it"), choices=Vehicle.Gone.choices, widget=forms.RadioSelect
    )
    gone_on = forms.DateField(
        label=_("Since"),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        help_text=_("The day, or as near as you know; not before it was last seen here."),
        error_messages={"invalid": _("Write a day, such as 2025-03-04.")},
    )

    def __init__(self, *args: Any, vehicle: Vehicle, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "gone": vehicle.gone,
            "gone_on": vehicle.gone_on,
            "revision": vehicle.revision,
        }
        super().__init__(*args, **kwargs)


class NotGoneForm(MoveForm):
    """It was a mistake."""
