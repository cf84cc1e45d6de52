"""An estimate keeps who was to bear what and why, and the terms that it was given on."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import migrations, models
from django.db.models import OuterRef, Subquery

PAYERS = [
    ("customer", "customer"),
    ("vehicle_warranty", "vehicle warranty"),
    ("parts_warranty", "parts warranty"),
    ("service_contract", "service contract"),
    ("goodwill", "goodwill"),
    ("workshop", "workshop"),
]
RETURN_PARTS = [
    ("on_request", "returned if asked for when the work is authorised"),
    ("unless_waived", "returned unless the customer waives it"),
]


def keep_what_was_printed(apps: Any, schema_editor: Any) -> None:
    """Until now a paper took these from the complaint and the terms as they stood that day."""
    lines = apps.get_model("jobs", "EstimateLine").objects
    said = apps.get_model("jobs", "Complaint").objects.filter(pk=OuterRef("complaint"))
    names = ("payer", "payer_percent", "share_because")
    lines.update(**{name: Subquery(said.values(name)[:1]) for name in names})
    given = apps.get_model("jobs", "Estimate").objects
    for terms in apps.get_model("jobs", "Terms").objects.all():
        given.filter(order__workshop=terms.workshop_id).update(
            tolerance_percent=terms.tolerance_percent, return_parts=terms.return_parts
        )
        if not terms.list_condition:
            lines.filter(estimate__order__workshop=terms.workshop_id).update(condition="")


class Migration(migrations.Migration):
    dependencies = [("jobs", "0007_counter_indexes")]

    operations = [
        migrations.AddField(
            model_name="authority",
            name="customer_after",
            field=models.DecimalField(decimal_places=2, max_digits=12, null=True),
        ),
        migrations.AddField(
            model_name="estimate",
            name="tolerance_percent",
            field=models.DecimalField(decimal_places=2, default=Decimal(0), max_digits=5),
        ),
        migrations.AddField(
            model_name="estimate",
            name="return_parts",
            field=models.CharField(choices=RETURN_PARTS, default="on_request", max_length=16),
        ),
        migrations.AddField(
            model_name="estimateline",
            name="payer",
            field=models.CharField(choices=PAYERS, default="customer", max_length=20),
        ),
        migrations.AddField(
            model_name="estimateline",
            name="payer_percent",
            field=models.DecimalField(decimal_places=2, default=Decimal(100), max_digits=5),
        ),
        migrations.AddField(
            model_name="estimateline",
            name="share_because",
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.RunPython(keep_what_was_printed, migrations.RunPython.noop),
    ]
