"""Workshops, bays, and the people who work in them."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.models.base import Owned
from shop.roles import Role


class Workshop(models.Model):
    """One site. Every repair order, user, bay and stock row belongs to one."""

    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", _("US Letter")

    class BrakeRule(models.TextChoices):
        """Which published rule brake-tester forces are held against, where one is."""

        NONE = "", _("none chosen")
        GB = (
            "gb",
            _(
                "in-service inspection rule with efficiency classes "
                "(Directive 2014/45/EU as Great Britain applies it)"
            ),
        )
        US = "us", _("vehicle-in-use rule, 49 CFR 570")

    class Distance(models.TextChoices):
        KM = "km", _("kilometres")
        MI = "mi", _("miles")

    name = models.CharField(_("name"), max_length=80, unique=True)
    slug = models.SlugField(_("short name in addresses"), max_length=40, unique=True)
    order_prefix = models.CharField(_("letter before order numbers"), max_length=3, unique=True)
    address = models.TextField(_("address on papers"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    distance_unit = models.CharField(
        _("odometers read in"), max_length=2, choices=Distance, default=Distance.KM
    )
    paper = models.CharField(_("paper"), max_length=8, choices=Paper, default=Paper.A4)
    currency = models.CharField(_("currency sign"), max_length=4, default="$")
    labour_rate = models.DecimalField(
        _("labour rate per hour"),
        max_digits=9,
        decimal_places=2,
        default=Decimal("0.00"),
        validators=[MinValueValidator(Decimal(0))],
    )
    comeback_days = models.PositiveSmallIntegerField(_("comeback window, days"), default=90)
    comeback_km = models.PositiveIntegerField(_("comeback window, km"), default=5000)
    brake_rule = models.CharField(
        _("rule for brake forces"), max_length=2, choices=BrakeRule, blank=True
    )

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class Bay(Owned):
    name = models.CharField(_("name"), max_length=40)
    in_use = models.BooleanField(_("in use"), default=True)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["workshop", "name"], name="bay_name_once_per_workshop")
        ]

    def __str__(self) -> str:
        return self.name


class UserManager(BaseUserManager["User"]):
    def create_user(self, username: str, display_name: str, password: str | None) -> User:
        user = self.model(username=self.model.normalize_username(username))
        user.display_name = display_name
        user.set_password(password)
        user.save()
        return user


class User(AbstractBaseUser):
    """A person who signs in. What they may do comes from Membership, never from here."""

    username = models.CharField(_("sign-in name"), max_length=60, unique=True)
    display_name = models.CharField(_("name shown"), max_length=80)
    is_active = models.BooleanField(_("may sign in"), default=True)
    date_joined = models.DateTimeField(_("since"), auto_now_add=True)

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS: ClassVar = ["display_name"]

    objects = UserManager()

    class Meta:
        ordering: ClassVar = ["display_name"]

    def __str__(self) -> str:
        return self.display_name


class Membership(Owned):
    """One role of one person in one workshop; several roles are several rows."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(
        _("role"), max_length=12, choices=[(role.value, role.label) for role in Role]
    )

    class Meta:
        ordering: ClassVar = ["user", "role"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["workshop", "user", "role"], name="membership_role_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.user} · {self.role}"
