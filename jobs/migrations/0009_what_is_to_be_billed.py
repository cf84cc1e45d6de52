"""Which jobs are billed stands on the job itself, and what is not billed or not asked for is found."""

from typing import Any

from django.db import migrations, models


def mark(apps: Any, schema_editor: Any) -> None:
    alias = schema_editor.connection.alias
    standing = (
        apps.get_model("jobs", "Invoice").objects.using(alias).filter(kind="invoice", standing=True)
    )
    orders = apps.get_model("jobs", "RepairOrder").objects.using(alias)
    orders.filter(pk__in=standing.values("order")).update(invoiced=True)


def nothing(apps: Any, schema_editor: Any) -> None:
    """The column goes, and its marks with it."""


class Migration(migrations.Migration):
    dependencies = [("jobs", "0008_estimate_as_it_was_given")]

    operations = [
        migrations.AddField(
            model_name="repairorder",
            name="invoiced",
            field=models.BooleanField(default=False),
        ),
        migrations.AddIndex(
            model_name="repairorder",
            index=models.Index(
                condition=models.Q(("invoiced", False)),
                fields=["workshop", "closed_at"],
                name="order_to_invoice",
            ),
        ),
        migrations.AddIndex(
            model_name="invoice",
            index=models.Index(
                condition=models.Q(("kind", "invoice"), ("payer_total__gt", 0), ("standing", True)),
                fields=["workshop", "issued_at"],
                name="invoice_borne",
            ),
        ),
        # Last: PostgreSQL builds no index on rows that were changed in the same transaction.
        migrations.RunPython(mark, nothing, elidable=True),
    ]
