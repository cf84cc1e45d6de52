"""Addresses outside any workshop."""

from django.urls import path

from shop.views import first_run, front

urlpatterns = [
    path("", front.home, name="home"),
    path("sign-in/", front.sign_in, name="sign-in"),
    path("sign-out/", front.sign_out, name="sign-out"),
    path("theme/", front.theme, name="theme"),
    path("first/<str:token>/", first_run.first, name="first-run"),
    path("alive/", front.alive, name="alive"),
]
