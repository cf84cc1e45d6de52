"""Who brings the vehicle and how to reach them."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from shop.models.base import Owned


class Customer(Owned):
    name = models.CharField(_("name"), max_length=120)
    name_key = models.CharField(max_length=120, editable=False)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    revision = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering: ClassVar = ["name_key", "pk"]
        indexes: ClassVar = [models.Index(fields=["workshop", "name_key"], name="customer_by_name")]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~(models.Q(phone="") & models.Q(email="")),
                name="customer_can_be_reached",
            )
        ]

    def __str__(self) -> str:
        return self.name
