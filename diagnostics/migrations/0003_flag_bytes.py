"""Status bytes of pasted flags, the tool's own uncertainty, and pressure as a condition."""

from django.db import migrations, models

STATUSES = [
    ("present_now", "present now"),
    ("this_drive", "happened this drive"),
    ("pending", "pending"),
    ("stored", "stored"),
    ("since_clear", "failed since clear"),
    ("not_tested", "not tested since clear"),
    ("quiet", "not failing"),
]


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0002_figures_and_curves")]

    operations = [
        migrations.AddField("flagread", "raw", models.TextField(blank=True)),
        migrations.AddField(
            "flagread", "availability", models.PositiveSmallIntegerField(null=True)
        ),
        migrations.AddField(
            "storedflag", "status_byte", models.PositiveSmallIntegerField(null=True)
        ),
        migrations.AddField("storedflag", "symptom", models.BooleanField(default=False)),
        migrations.AlterField(
            "storedflag", "status", models.CharField(choices=STATUSES, max_length=12)
        ),
        migrations.AddField("reading", "uncertainty", models.FloatField(blank=True, null=True)),
        migrations.AddField("reading", "unit_confirmed", models.BooleanField(default=False)),
        migrations.AddField("reading", "pressure_pa", models.FloatField(blank=True, null=True)),
        migrations.AddField("limit", "pressure_low", models.FloatField(blank=True, null=True)),
        migrations.AddField("limit", "pressure_high", models.FloatField(blank=True, null=True)),
        migrations.AddField("limit", "pressure_unit", models.CharField(blank=True, max_length=12)),
    ]
