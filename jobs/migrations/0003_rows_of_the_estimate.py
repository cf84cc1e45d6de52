from decimal import Decimal
from typing import Any

import django.db.models.deletion
from django.db import migrations, models


def name_the_rows(apps: Any, schema_editor: Any) -> None:
    """Lines of estimates given before say which row of the job they were, and who pays them."""
    lines = apps.get_model("jobs", "EstimateLine").objects.filter(row="")
    parts = apps.get_model("jobs", "Replacement")
    labour = apps.get_model("jobs", "LabourLine")
    for line in lines.select_related("complaint").iterator():
        whole = line.complaint.payer == "customer"
        line.customer_amount = line.amount if whole else Decimal(0)
        part = next(
            (
                row
                for row in parts.objects.filter(complaint=line.complaint, price=line.amount)
                if line.text.endswith(row.part_number)
            ),
            None,
        )
        work = next(
            (
                row
                for row in labour.objects.filter(complaint=line.complaint)
                if line.text.startswith(f"{row.code} {row.text}".strip() + ", ")
            ),
            None,
        )
        if part:
            line.row, line.kind = f"part:{part.pk}", "assembly"
        elif work:
            line.row, line.kind = f"labour:{work.pk}", "labour"
        line.save(update_fields=["row", "kind", "customer_amount"])


class Migration(migrations.Migration):
    dependencies = [("jobs", "0002_counter_clock_and_bill")]

    operations = [
        migrations.AddField(
            model_name="authority",
            name="parts_wanted",
            field=models.CharField(
                blank=True,
                choices=[
                    ("wanted", "the customer wants the replaced parts back"),
                    ("not_wanted", "the customer does not want the replaced parts"),
                ],
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="authority",
            name="total_with_tax",
            field=models.DecimalField(decimal_places=2, default=Decimal(0), max_digits=12),
        ),
        migrations.AddField(
            model_name="complaint",
            name="again",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="taken_up",
                to="jobs.complaint",
            ),
        ),
        migrations.AddField(
            model_name="estimateline",
            name="row",
            field=models.CharField(blank=True, max_length=24),
        ),
        migrations.RunPython(name_the_rows, migrations.RunPython.noop),
    ]
