"""Adding and changing a vehicle, its owner, its odometer."""

from __future__ import annotations

from typing import Any

from django import forms

from shop.actor import Actor
from shop.models import Customer, Vehicle
from shop.queries.vehicles import customers_of
from shop.services.customers import CustomerInput
from shop.services.odometer import OdometerInput
from shop.services.vehicles import VehicleInput
from shop.vehicle_questions import ask_about_service_date
from shop.web.forms import ActForm, MoveForm
from shop.web.vehicle_fields import (
    CUSTOMER,
    VEHICLE,
    CustomerFields,
    OdometerFields,
    VehicleFields,
)


class OwnerFields(CustomerFields):
    """A new customer, or the known one that was chosen among those of a like name."""

    known_customer = forms.ModelChoiceField(Customer.objects.none(), required=False)

    def __init__(self, *args: Any, actor: Actor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["known_customer"].queryset = customers_of(actor)
        if self.data.get("known_customer"):
            fields["name"].required = False

    def owner(self) -> Customer | CustomerInput:
        known: Customer | None = self.cleaned_data["known_customer"]
        return known or CustomerInput(**self.customer_data())


class VehicleForm(VehicleFields, OwnerFields, ActForm):
    def details(self) -> VehicleInput:
        return VehicleInput(**self.vehicle_data())


class VehicleChangeForm(VehicleFields, MoveForm):
    def __init__(self, *args: Any, vehicle: Vehicle, **kwargs: Any) -> None:
        day = vehicle.in_service_on
        strange = bool(day and ask_about_service_date(day, vehicle.model_year))
        kwargs["initial"] = {
            name: getattr(vehicle, name) for name in VEHICLE if name != "in_service_sure"
        } | {"revision": vehicle.revision, "in_service_sure": strange}
        super().__init__(*args, **kwargs)

    def details(self) -> VehicleInput:
        return VehicleInput(**self.vehicle_data())


class OwnerForm(OwnerFields, MoveForm):
    """The vehicle has another owner."""


class CustomerForm(CustomerFields, MoveForm):
    look = "one"

    def __init__(self, *args: Any, customer: Customer, **kwargs: Any) -> None:
        kwargs["initial"] = {name: getattr(customer, name) for name in (*CUSTOMER, "revision")}
        super().__init__(*args, **kwargs)

    def details(self) -> CustomerInput:
        return CustomerInput(**self.customer_data())


class OdometerForm(OdometerFields, ActForm):
    def seen(self) -> OdometerInput:
        return OdometerInput(**self.odometer_data())
