"""Signing in, and the people of a workshop."""

from __future__ import annotations

from django.contrib.auth.forms import AuthenticationForm
from django.utils.translation import gettext_lazy as _


class SignInForm(AuthenticationForm):
    template_name = "form/form.html"
    error_messages = {
        "invalid_login": _(
            "This name and password do not belong together. Both mind capital letters."
        ),
        "inactive": _("This person may no longer sign in. Ask the owner of the workshop."),
    }
