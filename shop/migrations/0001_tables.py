import django.core.validators
import django.db.models.deletion
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    # Whoever has some of these goes on with the others; from nothing this one makes all at once.
    replaces = [
        ('shop', '0001_foundation'),
        ('shop', '0002_brake_rule'),
        ('shop', '0003_act_subject'),
        ('shop', '0004_gone_and_comeback_window'),
    ]

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='User',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('username', models.CharField(max_length=60, unique=True, verbose_name='sign-in name')),
                ('display_name', models.CharField(max_length=80, verbose_name='name shown')),
                ('is_active', models.BooleanField(default=True, verbose_name='may sign in')),
                ('date_joined', models.DateTimeField(auto_now_add=True, verbose_name='since')),
            ],
            options={
                'ordering': ['display_name'],
            },
        ),
        migrations.CreateModel(
            name='Platform',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.CharField(max_length=12, unique=True)),
                ('make', models.CharField(max_length=40)),
                ('model', models.CharField(max_length=40)),
                ('body', models.CharField(blank=True, max_length=40)),
                ('notice', models.CharField(blank=True, max_length=200)),
                ('first_year', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('last_year', models.PositiveSmallIntegerField(blank=True, null=True)),
            ],
            options={
                'ordering': ['make', 'model', 'code'],
            },
        ),
        migrations.CreateModel(
            name='Workshop',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True, verbose_name='name')),
                ('slug', models.SlugField(max_length=40, unique=True, verbose_name='short name in addresses')),
                ('order_prefix', models.CharField(max_length=3, unique=True, verbose_name='letter before order numbers')),
                ('address', models.TextField(blank=True, verbose_name='address on papers')),
                ('phone', models.CharField(blank=True, max_length=40, verbose_name='telephone')),
                ('distance_unit', models.CharField(choices=[('km', 'kilometres'), ('mi', 'miles')], default='km', max_length=2, verbose_name='odometers read in')),
                ('paper', models.CharField(choices=[('A4', 'A4'), ('Letter', 'US Letter')], default='A4', max_length=8, verbose_name='paper')),
                ('currency', models.CharField(default='$', max_length=4, verbose_name='currency sign')),
                ('labour_rate', models.DecimalField(decimal_places=2, default=Decimal('0.00'), max_digits=9, validators=[django.core.validators.MinValueValidator(Decimal('0'))], verbose_name='labour rate per hour')),
                ('comeback_days', models.PositiveSmallIntegerField(default=90, verbose_name='comeback window, days')),
                ('comeback_km', models.PositiveIntegerField(default=5000, verbose_name='comeback window, km')),
                ('brake_rule', models.CharField(blank=True, choices=[('', 'none chosen'), ('gb', 'in-service inspection rule with efficiency classes (Directive 2014/45/EU as Great Britain applies it)'), ('us', 'vehicle-in-use rule, 49 CFR 570')], max_length=2, verbose_name='rule for brake forces')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Customer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('workshop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='shop.workshop')),
                ('name', models.CharField(max_length=120, verbose_name='name')),
                ('name_key', models.CharField(editable=False, max_length=120)),
                ('phone', models.CharField(blank=True, max_length=40, verbose_name='telephone')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='e-mail')),
                ('revision', models.PositiveIntegerField(default=1, editable=False)),
            ],
            options={
                'ordering': ['name_key', 'pk'],
                'indexes': [models.Index(fields=['workshop', 'name_key'], name='customer_by_name')],
                'constraints': [models.CheckConstraint(condition=models.Q(('phone', ''), ('email', ''), _negated=True), name='customer_can_be_reached')],
            },
        ),
        migrations.CreateModel(
            name='Vehicle',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('workshop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='shop.workshop')),
                ('vin', models.CharField(max_length=17, verbose_name='VIN')),
                ('vin_overrule_reason', models.CharField(blank=True, max_length=200, verbose_name='why the check digit is overruled')),
                ('plate', models.CharField(blank=True, max_length=16, verbose_name='plate')),
                ('plate_key', models.CharField(blank=True, editable=False, max_length=16)),
                ('platform', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='shop.platform', verbose_name='platform')),
                ('model_year', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='model year')),
                ('tyre_size', models.CharField(blank=True, max_length=24, verbose_name='tyre size')),
                ('tyre_width_mm', models.PositiveSmallIntegerField(editable=False, null=True)),
                ('tyre_aspect', models.PositiveSmallIntegerField(editable=False, null=True)),
                ('tyre_rim_in', models.FloatField(editable=False, null=True)),
                ('in_service_on', models.DateField(blank=True, null=True, verbose_name='in service since')),
                ('customer', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='vehicles', to='shop.customer', verbose_name='owner')),
                ('gone', models.CharField(blank=True, choices=[('scrapped', 'scrapped'), ('sold_away', 'sold to somewhere else')], max_length=10, verbose_name='gone')),
                ('gone_on', models.DateField(blank=True, null=True, verbose_name='gone since')),
                ('revision', models.PositiveIntegerField(default=1, editable=False)),
            ],
            options={
                'ordering': ['-pk'],
                'indexes': [models.Index(fields=['workshop', 'plate_key'], name='vehicle_by_plate')],
                'constraints': [models.UniqueConstraint(fields=('workshop', 'vin'), name='vehicle_vin_once_per_workshop'), models.CheckConstraint(condition=models.Q(models.Q(('gone', ''), ('gone_on__isnull', True)), models.Q(models.Q(('gone', ''), _negated=True), ('gone_on__isnull', False)), _connector='OR'), name='vehicle_gone_has_a_day')],
            },
        ),
        migrations.CreateModel(
            name='OdometerReading',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('workshop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='shop.workshop')),
                ('vehicle', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='odometer_readings', to='shop.vehicle')),
                ('read_at', models.DateTimeField()),
                ('distance_m', models.BigIntegerField()),
                ('typed_value', models.CharField(max_length=16)),
                ('typed_unit', models.CharField(choices=[('km', 'km'), ('mi', 'mi')], max_length=2)),
                ('seen', models.CharField(choices=[('take_in', 'taking in'), ('road_test', 'road test'), ('release', 'release'), ('noted', 'noted')], max_length=10)),
                ('lower_than_before', models.BooleanField(default=False)),
                ('lower_reason', models.CharField(blank=True, max_length=200)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-read_at', '-pk'],
                'indexes': [models.Index(fields=['vehicle', '-read_at'], name='odometer_latest')],
                'constraints': [models.CheckConstraint(condition=models.Q(('distance_m__gte', 0)), name='odometer_not_negative')],
            },
        ),
        migrations.CreateModel(
            name='Membership',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('workshop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='shop.workshop')),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='memberships', to=settings.AUTH_USER_MODEL)),
                ('role', models.CharField(choices=[('technician', 'technician'), ('manager', 'service manager'), ('counter', 'parts counter'), ('owner', 'owner')], max_length=12, verbose_name='role')),
            ],
            options={
                'ordering': ['user', 'role'],
                'constraints': [models.UniqueConstraint(fields=('workshop', 'user', 'role'), name='membership_role_once')],
            },
        ),
        migrations.CreateModel(
            name='LogEntry',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('workshop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='shop.workshop')),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('kind', models.CharField(max_length=40)),
                ('subject_kind', models.CharField(max_length=12)),
                ('subject_id', models.BigIntegerField()),
                ('words', models.TextField()),
                ('reason', models.TextField(blank=True)),
            ],
            options={
                'ordering': ['-at', '-pk'],
                'indexes': [models.Index(fields=['subject_kind', 'subject_id', 'at'], name='log_by_subject'), models.Index(fields=['workshop', 'kind', '-at'], name='log_by_kind')],
            },
        ),
        migrations.CreateModel(
            name='Bay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('workshop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='shop.workshop')),
                ('name', models.CharField(max_length=40, verbose_name='name')),
                ('in_use', models.BooleanField(default=True, verbose_name='in use')),
            ],
            options={
                'ordering': ['name'],
                'constraints': [models.UniqueConstraint(fields=('workshop', 'name'), name='bay_name_once_per_workshop')],
            },
        ),
        migrations.CreateModel(
            name='Act',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('workshop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='shop.workshop')),
                ('act', models.UUIDField(unique=True)),
                ('kind', models.CharField(max_length=40)),
                ('subject', models.CharField(blank=True, max_length=40)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('at', models.DateTimeField(auto_now_add=True)),
            ],
            options={
                'abstract': False,
            },
        ),
    ]
