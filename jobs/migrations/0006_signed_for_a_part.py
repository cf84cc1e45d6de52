"""Whoever takes a replaced part back may sign for it."""

from __future__ import annotations

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0005_bill_as_it_was_issued")]

    operations = [
        migrations.AddField(
            model_name="heldpart",
            name="signature",
            field=models.TextField(blank=True),
        )
    ]
