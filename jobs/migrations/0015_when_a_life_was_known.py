"""When it was written down that a unit left, and in which stretch of the odometer it came.

`manage.py lives` puts right what the day of leaving alone cannot say.
"""

from __future__ import annotations

from typing import Any

from django.db import migrations, models


def date_what_left(apps: Any, _schema: Any) -> None:
    units = apps.get_model("jobs", "FittedUnit").objects.filter(left_on__isnull=False)
    for day in units.order_by().values_list("left_on", flat=True).distinct():
        units.filter(left_on=day).update(known_day=day.toordinal())


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0014_counts_of_lives"),
    ]

    operations = [
        migrations.AddField(
            model_name="fittedunit",
            name="known_day",
            field=models.IntegerField(editable=False, null=True),
        ),
        migrations.AddField(
            model_name="fittedunit",
            name="stretch",
            field=models.IntegerField(default=0, editable=False),
        ),
        migrations.RunPython(date_what_left, migrations.RunPython.noop),
    ]
