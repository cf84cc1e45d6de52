"""Addresses below a workshop that belong to the place itself."""

from django.urls import path

from shop.views import checks, customers, log, people, vehicles, workshop

urlpatterns = [
    path("vehicles/", vehicles.listing, name="vehicles"),
    path("vehicles/new/", vehicles.new, name="vehicle-new"),
    path("vehicles/check/vin/", checks.vin, name="vin-check"),
    path("vehicles/check/tyre/", checks.tyre, name="tyre-check"),
    path("vehicles/check/owner/", checks.owner, name="owner-check"),
    path("vehicles/<int:pk>/change/", vehicles.edit, name="vehicle-edit"),
    path("vehicles/<int:pk>/owner/", vehicles.owner, name="vehicle-owner"),
    path("vehicles/<int:pk>/odometer/", vehicles.odometer_note, name="odometer-note"),
    path("customers/<int:pk>/", customers.edit, name="customer-edit"),
    path("office/people/", people.listing, name="people"),
    path("office/people/new/", people.new, name="person-new"),
    path("office/people/<int:pk>/", people.edit, name="person"),
    path("office/people/<int:pk>/password/", people.password, name="person-password"),
    path("office/workshop/", workshop.settings, name="workshop"),
    path("office/workshop/bays/", workshop.bay_new, name="bay-new"),
    path("office/workshop/bays/<int:pk>/", workshop.bay_use, name="bay-use"),
    path("office/log/", log.listing, name="log"),
]
