import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial")]

    operations = [
        migrations.CreateModel(
            name='EfficiencyMeasurement',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('measured_on', models.DateField()),
                ('parts', models.PositiveSmallIntegerField()),
                ('rove', models.CharField(choices=[('to_advantage', 'Hauling part leaves the moving block'), ('to_disadvantage', 'Hauling part leaves the fixed block')], max_length=16)),
                ('load_cell_words', models.CharField(blank=True, default='', max_length=120)),
                ('conditions', models.CharField(blank=True, default='', max_length=200)),
                ('because', models.CharField(blank=True, default='', max_length=200)),
                ('pairs', models.JSONField()),
                ('readings_used', models.PositiveSmallIntegerField()),
                ('advantage', models.FloatField()),
                ('sheave_efficiency', models.FloatField()),
                ('sheave_efficiency_low', models.FloatField()),
                ('sheave_efficiency_high', models.FloatField()),
                ('log_sd', models.FloatField()),
                ('high_is_capped', models.BooleanField()),
                ('confidence', models.FloatField()),
                ('mechanics_version', models.CharField(max_length=20)),
                ('item', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='efficiency_measurements', to='gear.gearitem')),
                ('load_cell', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='gear.gearitem')),
            ],
            options={
                'ordering': ['-measured_on', '-record_id'],
                'indexes': [models.Index(fields=['item', '-measured_on'], name='jobs_efficiency_by_item')],
                'constraints': [models.CheckConstraint(condition=models.Q(('parts__gte', 2), ('parts__lte', 8)), name='jobs_efficiency_parts_2_to_8', violation_error_message='A tackle has 2 to 8 parts.'), models.CheckConstraint(condition=models.Q(('sheave_efficiency_high__lte', 1), ('sheave_efficiency_low__gte', 0), ('sheave_efficiency_low__lte', models.F('sheave_efficiency')), ('sheave_efficiency__lte', models.F('sheave_efficiency_high'))), name='jobs_efficiency_in_order', violation_error_message='The efficiency lies inside its interval, from 0 to 1.'), models.CheckConstraint(condition=models.Q(('load_cell__isnull', False), models.Q(('load_cell_words', ''), _negated=True), _connector='OR'), name='jobs_efficiency_names_load_cell', violation_error_message='Say which load cell was read.')],
            },
        ),
    ]
