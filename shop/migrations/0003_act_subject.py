"""What an act was done to, so that its UUID sent again for something else is no second sending."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shop", "0002_brake_rule")]

    operations = [
        migrations.AddField("act", "subject", models.CharField(blank=True, max_length=40)),
    ]
