import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('crewlog', '0001_initial'),
        ('gear', '0001_initial'),
        ('jobs', '0002_measured_efficiency'),
    ]

    operations = [
        migrations.CreateModel(
            name='DayRecord',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('result', models.CharField(choices=[('fell', 'Fell as planned'), ('hung_up', 'Hung up'), ('sat_back', 'Sat back'), ('split', 'Split'), ('rolled', 'Rolled'), ('stopped', 'Stopped, stem still stands')], max_length=10)),
                ('used', models.TextField()),
                ('tension_n', models.FloatField(null=True)),
                ('tension_basis', models.CharField(blank=True, default='', max_length=200)),
                ('mechanics_version', models.CharField(max_length=20)),
                ('note', models.TextField(blank=True, default='')),
                ('recorded_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.person')),
                ('sheet', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='day_records', to='jobs.sheet')),
            ],
            options={
                'ordering': ['record_id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('result__in', ['fell', 'hung_up', 'sat_back', 'split', 'rolled', 'stopped'])), name='jobs_day_known_result'), models.CheckConstraint(condition=models.Q(models.Q(('tension_basis', ''), ('tension_n__isnull', True)), models.Q(('tension_n__gt', 0), ('tension_n__isnull', False), models.Q(('tension_basis', ''), _negated=True)), _connector='OR'), name='jobs_day_tension_has_basis')],
            },
        ),
        migrations.CreateModel(
            name='Reading',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('kind', models.CharField(choices=[('line', 'Tension in the main line'), ('hand', 'Pull on the tail')], max_length=8)),
                ('moment', models.CharField(choices=[('proof', 'Proof pull'), ('pre_tension', 'Pre-tension'), ('full_pull', 'Full pull'), ('other', 'At another time')], max_length=12)),
                ('force_n', models.FloatField()),
                ('gauge_unfit', models.CharField(blank=True, default='', max_length=200)),
                ('read_at', models.DateTimeField()),
                ('note', models.CharField(blank=True, default='', max_length=200)),
                ('gauge', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='gear.gearitem')),
                ('sheet', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='readings', to='jobs.sheet')),
            ],
            options={
                'ordering': ['read_at', 'record_id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__in', ['line', 'hand'])), name='jobs_reading_known_kind'), models.CheckConstraint(condition=models.Q(('moment__in', ['proof', 'pre_tension', 'full_pull', 'other'])), name='jobs_reading_known_moment'), models.CheckConstraint(condition=models.Q(('force_n__gt', 0)), name='jobs_reading_above_nought', violation_error_message='A reading is above zero.')],
            },
        ),
    ]
