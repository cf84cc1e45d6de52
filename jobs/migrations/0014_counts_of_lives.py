"""One index that holds all that rates and ages of units are counted from."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0013_lives_comebacks_and_reports"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="fittedunit",
            index=models.Index(
                fields=[
                    "workshop",
                    "component",
                    "position",
                    "supplier",
                    "batch",
                    "exit",
                    "in_day",
                    "out_day",
                    "born_day",
                    "in_m",
                    "out_m",
                    "m_a_day",
                ],
                name="unit_counts",
            ),
        ),
    ]
