"""Taking a vehicle in: one form with everything that is said and seen at the kerb."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from diagnostics.lamp_fields import LampFields, LampRow
from diagnostics.models import ChassisSystem
from diagnostics.telltales import Lamp
from jobs.forms.fields import PromiseField
from jobs.models import Payer
from jobs.services.taking_in import ComplaintInput, NewVehicle, OdometerInput
from shop.actor import Actor
from shop.models import Bay, Customer, User, Vehicle
from shop.queries.people import bays_of, technicians_of
from shop.queries.vehicles import customers_of
from shop.roles import Permit
from shop.services.customers import CustomerInput
from shop.services.vehicles import VehicleInput
from shop.web.forms import ActForm
from shop.web.numbers import whole_number
from shop.web.vehicle_fields import CustomerFields, OdometerFields, VehicleFields

MOST_LINES = 20
BRAKE_LAMPS = frozenset({Lamp.AMBER_ANTILOCK, Lamp.RED_BRAKE})


class TakeInForm(OdometerFields, LampFields, ActForm):
    """What is asked of a vehicle that is known."""

    although_open = forms.BooleanField(label=_("A second order is meant"), required=False)
    promised_at = PromiseField()
    technician = forms.ModelChoiceField(
        User.objects.none(), label=_("Technician"), required=False, empty_label=_("Nobody yet")
    )
    bay = forms.ModelChoiceField(
        Bay.objects.none(), label=_("Bay"), required=False, empty_label=_("No bay yet")
    )

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, unit=actor.workshop.distance_unit, **kwargs)
        fields: dict[str, Any] = self.fields
        if actor.may(Permit.ASSIGN):
            fields["technician"].queryset = technicians_of(actor)
            fields["bay"].queryset = bays_of(actor).filter(in_use=True)
        else:
            del fields["technician"], fields["bay"]

    def brake_lamps(self) -> list[LampRow]:
        return [row for row in self.rows() if row.lamp in BRAKE_LAMPS]

    def other_lamps(self) -> list[LampRow]:
        return [row for row in self.rows() if row.lamp not in BRAKE_LAMPS]

    def other_seen(self) -> bool:
        return any(cell.chosen for row in self.other_lamps() for cell in row.cells)

    def taken(self) -> dict[str, Any]:
        """What `take_in` takes, but for the vehicle and the complaints."""
        data = self.cleaned_data
        return {
            "act": self.act_id,
            "odometer": OdometerInput(**self.odometer_data()),
            "lamps": self.observations(),
            "although_open": data["although_open"],
            "promised_at": data["promised_at"],
            "technician": data.get("technician"),
            "bay": data.get("bay"),
        }


class TakeInKnown(TakeInForm):
    def __init__(self, *args: Any, vehicle: Vehicle, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.vehicle = vehicle
        if not self.is_bound and "act" not in self.initial:
            self.fields["odometer"].widget.attrs["autofocus"] = True

    def which(self) -> Vehicle:
        return self.vehicle


class TakeInNew(VehicleFields, CustomerFields, TakeInForm):
    """The same with a vehicle that is not known yet, of a new customer or a known one."""

    known_customer = forms.ModelChoiceField(Customer.objects.none(), required=False)

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, actor=actor, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["known_customer"].queryset = customers_of(actor)
        if self.data.get("known_customer"):
            fields["name"].required = False

    def which(self) -> NewVehicle:
        known: Customer | None = self.cleaned_data["known_customer"]
        return NewVehicle(
            VehicleInput(**self.vehicle_data()), known or CustomerInput(**self.customer_data())
        )


class ComplaintLine(forms.Form):
    system = forms.ModelChoiceField(
        ChassisSystem.objects.all(),
        label=_("System"),
        required=False,
        empty_label=_("Not known yet"),
    )
    payer = forms.ChoiceField(label=_("Payer"), choices=Payer.choices, initial=Payer.CUSTOMER)
    words = forms.CharField(
        label=_("In the customer’s words"),
        max_length=2000,
        required=False,
        widget=forms.Textarea({"rows": 2}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["label_suffix"] = ""
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["words"].quiet = fields["system"].quiet = True

    def line(self) -> ComplaintInput:
        data = self.cleaned_data
        return ComplaintInput(data["words"], data["system"], data["payer"])


class Lines(
    forms.formset_factory(  # type: ignore[misc]
        ComplaintLine, extra=0, min_num=1, max_num=MOST_LINES, absolute_max=MOST_LINES
    )
):
    """The complaint lines of one sheet; those without words are left out."""

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        super().__init__(data, prefix="line", **kwargs)

    @classmethod
    def again(
        cls, data: QueryDict, asked: str, declined: Mapping[str, Mapping[str, Any]] | None = None
    ) -> Lines:
        """The same lines laid out anew: one "more", without the one named by "off-2", or with
        what was `declined` before, named by "again-17"."""
        names = list(ComplaintLine.base_fields)
        sent = cls(data)
        rows = [
            {name: data.get(f"{sent.prefix}-{number}-{name}", "") for name in names}
            for number in range(sent.total_form_count())
        ]
        if asked == "more":
            return cls(initial=[*rows, {"payer": Payer.CUSTOMER}][:MOST_LINES]).from_the_last()
        if asked in (declined or {}):
            # An untouched line gives its place away.
            rows = [row for row in rows if row["words"].strip()]
            return cls(initial=[*rows, (declined or {})[asked]][:MOST_LINES])
        off = whole_number(asked.removeprefix("off-")) if asked.startswith("off-") else None
        if off is not None and len(rows) > 1:
            rows = [row for number, row in enumerate(rows) if number != off]
        return cls(initial=rows[:MOST_LINES])

    def from_the_last(self) -> Lines:
        """The same, with the cursor in the last line."""
        self.forms[-1].fields["words"].widget.attrs["autofocus"] = True
        return self

    @property
    def is_single(self) -> bool:
        return len(self.forms) == 1

    def lines(self) -> list[ComplaintInput]:
        return [form.line() for form in self.forms if form.cleaned_data.get("words", "").strip()]
