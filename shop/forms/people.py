"""Signing in, and the people of a workshop."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.utils.translation import gettext_lazy as _

from shop.models import User
from shop.roles import Role
from shop.web.forms import ActForm

ROLES = [(role.value, role.label) for role in Role]


class SignInForm(AuthenticationForm):
    template_name = "form/form.html"
    error_messages = {
        "invalid_login": _(
            "This name and password do not belong together. Both mind capital letters."
        ),
        "inactive": _("This person may no longer sign in. Ask the owner of the workshop."),
    }


class RolesMixin(forms.Form):
    roles = forms.TypedMultipleChoiceField(
        label=_("Roles"),
        choices=ROLES,
        coerce=Role,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Choose at least one role.")},
    )


class PersonForm(RolesMixin, ActForm):
    display_name = forms.CharField(
        label=_("Name shown"), max_length=80, help_text=_("First name and an initial are enough.")
    )
    username = forms.CharField(
        label=_("Sign-in name"), max_length=60, widget=forms.TextInput({"autocomplete": "off"})
    )
    password = forms.CharField(
        label=_("First password"),
        widget=forms.PasswordInput({"autocomplete": "new-password"}, render_value=True),
        help_text=_("At least eight characters, not only digits, not a common word."),
    )
    field_order = ["display_name", "username", "password", "roles"]


class PersonChangeForm(RolesMixin, ActForm):
    display_name = forms.CharField(label=_("Name shown"), max_length=80)
    may_sign_in = forms.BooleanField(label=_("May sign in"), required=False)
    field_order = ["display_name", "roles", "may_sign_in"]

    def __init__(self, *args: Any, person: User, roles: frozenset[Role], **kwargs: Any) -> None:
        kwargs["initial"] = {
            "display_name": person.display_name,
            "roles": [role.value for role in roles],
            "may_sign_in": person.is_active,
        }
        super().__init__(*args, **kwargs)


class PasswordForm(ActForm):
    password = forms.CharField(
        label=_("New password"),
        widget=forms.PasswordInput({"autocomplete": "new-password"}),
        help_text=_("At least eight characters, not only digits, not a common word."),
    )
