"""Addresses below a workshop that belong to the place itself."""

from django.urls import path

from shop.views import log, people, workshop

urlpatterns = [
    path("office/people/", people.listing, name="people"),
    path("office/people/new/", people.new, name="person-new"),
    path("office/people/<int:pk>/", people.edit, name="person"),
    path("office/people/<int:pk>/password/", people.password, name="person-password"),
    path("office/workshop/", workshop.settings, name="workshop"),
    path("office/workshop/bays/", workshop.bay_new, name="bay-new"),
    path("office/workshop/bays/<int:pk>/", workshop.bay_use, name="bay-use"),
    path("office/log/", log.listing, name="log"),
]
