"""Photos of a complaint; below the workshop's address."""

from __future__ import annotations

from django.urls import path

from jobs.views import photos

_COMPLAINT = "orders/<str:number>/complaints/<int:line>/photos/"
_PHOTO = "orders/<str:number>/photos/<int:pk>/"

urlpatterns = [
    path(_COMPLAINT, photos.photos, name="photos"),
    path(f"{_COMPLAINT}add/", photos.add, name="photo-add"),
    path(_PHOTO, photos.photo, name="photo"),
    path(f"{_PHOTO}remove/", photos.remove, name="photo-remove"),
    path(f"{_PHOTO}picture.jpg", photos.picture, name="photo-picture"),
    path(f"{_PHOTO}small.jpg", photos.small, name="photo-small"),
]
