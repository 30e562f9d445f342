import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('crewlog', '0003_calendar_feeds'),
    ]

    operations = [
        migrations.CreateModel(
            name='Paper',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('sha256', models.CharField(max_length=64)),
                ('length', models.PositiveBigIntegerField()),
                ('of', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='paper_kept', to='crewlog.record')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Hold',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('about', models.CharField(choices=[('item', 'An item of gear'), ('job', 'A job'), ('person', 'A person')], max_length=8)),
                ('subject', models.CharField(max_length=64)),
                ('because', models.CharField(max_length=300)),
                ('placed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.person')),
            ],
            options={
                'ordering': ['-record_id'],
            },
        ),
        migrations.CreateModel(
            name='HoldLift',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('because', models.CharField(max_length=300)),
                ('hold', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='lift', to='crewlog.hold')),
                ('lifted_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.person')),
            ],
        ),
        migrations.CreateModel(
            name='PaperBytes',
            fields=[
                ('paper', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='bytes', serialize=False, to='crewlog.paper')),
                ('content', models.BinaryField()),
            ],
            options={
                'verbose_name_plural': 'paper bytes',
            },
        ),
        migrations.CreateModel(
            name='PaperPurge',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('because', models.CharField(max_length=300)),
                ('paper', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='purge', to='crewlog.paper')),
            ],
        ),
        migrations.CreateModel(
            name='RetentionPeriod',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(blank=True, default='', max_length=48)),
                ('months', models.PositiveSmallIntegerField()),
                ('minimum_months', models.PositiveSmallIntegerField(editable=False)),
                ('while_in_use', models.BooleanField(default=False, editable=False)),
                ('basis', models.CharField(max_length=300)),
                ('how_obtained', models.CharField(max_length=80)),
                ('company', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='retention_periods', to='crewlog.company')),
            ],
            options={
                'ordering': ['kind'],
            },
        ),
        migrations.CreateModel(
            name='Assessment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('assessed_on', models.DateField()),
                ('job', models.CharField(max_length=120)),
                ('points', models.JSONField(default=list)),
                ('assessor', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='assessments_made', to='crewlog.person')),
                ('competence', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='assessment', to='crewlog.competence')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('job', ''), _negated=True), name='crewlog_assessment_names_job', violation_error_message='Say at which job it was seen.')],
            },
        ),
        migrations.AddConstraint(
            model_name='hold',
            constraint=models.CheckConstraint(condition=models.Q(('about__in', ['item', 'job', 'person'])), name='crewlog_hold_known_subject'),
        ),
        migrations.AddConstraint(
            model_name='hold',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('because', ''), _negated=True), models.Q(('subject', ''), _negated=True)), name='crewlog_hold_has_reason', violation_error_message='Say what the hold is for.'),
        ),
        migrations.AddConstraint(
            model_name='holdlift',
            constraint=models.CheckConstraint(condition=models.Q(('because', ''), _negated=True), name='crewlog_hold_lift_has_reason', violation_error_message='Say why the hold ends.'),
        ),
        migrations.AddConstraint(
            model_name='paperpurge',
            constraint=models.CheckConstraint(condition=models.Q(('because', ''), _negated=True), name='crewlog_paper_purge_has_reason', violation_error_message='Say why the paper is let go.'),
        ),
        migrations.AddConstraint(
            model_name='retentionperiod',
            constraint=models.UniqueConstraint(fields=('company', 'kind'), name='crewlog_retention_kind_once'),
        ),
        migrations.AddConstraint(
            model_name='retentionperiod',
            constraint=models.CheckConstraint(condition=models.Q(('months__gte', models.F('minimum_months')), ('months__lte', 1200)), name='crewlog_retention_not_below_minimum', violation_error_message='A period may be longer than the least the default asks for, never shorter.'),
        ),
        migrations.AddConstraint(
            model_name='retentionperiod',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('basis', ''), _negated=True), models.Q(('how_obtained', ''), _negated=True)), name='crewlog_retention_has_basis', violation_error_message='Name the law or the reason, and how you know it.'),
        ),
    ]
