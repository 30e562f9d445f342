import crewlog.models.company
import crewlog.models.people
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='User',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('email', models.EmailField(max_length=254, unique=True)),
                ('is_active', models.BooleanField(default=True)),
                ('date_joined', models.DateTimeField(default=django.utils.timezone.now)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Company',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('time_zone', models.CharField(default='Europe/London', max_length=64, validators=[crewlog.models.company.check_time_zone])),
                ('unit_system', models.CharField(choices=[('metric', 'Metric (kN, m, kg)'), ('us', 'US customary (lbf, ft, lb)')], default='metric', max_length=8)),
                ('emergency_number', models.CharField(default='112', max_length=20)),
                ('wind_stop_m_s', models.FloatField(default=11.0)),
            ],
            options={
                'verbose_name_plural': 'companies',
                'constraints': [models.CheckConstraint(condition=models.Q(('wind_stop_m_s__gt', 0), ('wind_stop_m_s__lte', 11.0)), name='crewlog_company_wind_stop_within_default', violation_error_message='A company may stop work in less wind than 11 m/s, never in more.'), models.CheckConstraint(condition=models.Q(('unit_system__in', ['metric', 'us'])), name='crewlog_company_known_units')],
            },
        ),
        migrations.CreateModel(
            name='Person',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('is_trainee', models.BooleanField(default=False)),
                ('left_on', models.DateField(blank=True, null=True)),
                ('company', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='people', to='crewlog.company')),
            ],
            options={
                'verbose_name_plural': 'people',
            },
        ),
        migrations.CreateModel(
            name='Membership',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(choices=[('owner', 'Owner'), ('crew_lead', 'Crew lead'), ('inspector', 'Inspector'), ('crew', 'Crew member'), ('auditor', 'Auditor')], max_length=12)),
                ('ends_on', models.DateField(blank=True, null=True)),
                ('company', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to='crewlog.company')),
                ('user', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='membership', to=settings.AUTH_USER_MODEL)),
                ('person', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='membership', to='crewlog.person')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('role__in', ['owner', 'crew_lead', 'inspector', 'crew', 'auditor'])), name='crewlog_membership_known_role'), models.CheckConstraint(condition=models.Q(models.Q(('role', 'auditor'), _negated=True), ('ends_on__isnull', False), _connector='OR'), name='crewlog_membership_auditor_access_lapses', violation_error_message="An auditor's access needs the day it ends.")],
            },
        ),
        migrations.CreateModel(
            name='Competence',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('skill', models.CharField(choices=[('cutter', 'Cutting under tension'), ('hauler', 'Hauling on the tackle'), ('bollard', 'Tending the bollard'), ('hitch', 'Tending the friction hitch'), ('lookout', 'Lookout and signaller'), ('line_tender', 'Tending side and restraint lines'), ('first_aid', 'First aid'), ('rescue', 'Rescue from height'), ('rigging_lead', 'Planning and leading a pull'), ('examine_gear', 'Examining gear')], max_length=16)),
                ('gear_class', models.CharField(blank=True, default='', max_length=24)),
                ('max_diameter_m', models.FloatField(blank=True, null=True)),
                ('evidence', models.CharField(max_length=200)),
                ('granted_on', models.DateField()),
                ('expires_on', models.DateField(blank=True, null=True)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='competences', to='crewlog.person')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('skill__in', ['cutter', 'hauler', 'bollard', 'hitch', 'lookout', 'line_tender', 'first_aid', 'rescue', 'rigging_lead', 'examine_gear'])), name='crewlog_competence_known_skill'), models.CheckConstraint(condition=models.Q(('evidence', ''), _negated=True), name='crewlog_competence_has_evidence', violation_error_message='Say what the competence rests on: a certificate, or who assessed it and when.'), models.UniqueConstraint(fields=('person', 'skill', 'gear_class'), name='crewlog_competence_once')],
            },
        ),
        migrations.CreateModel(
            name='PersonDetails',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=120)),
                ('phone', models.CharField(blank=True, default='', max_length=40)),
                ('emergency_contact', models.CharField(blank=True, default='', max_length=160)),
                ('health_notes', models.CharField(blank=True, default='', max_length=400)),
                ('salt', models.CharField(default=crewlog.models.people.new_salt, editable=False, max_length=32)),
                ('person', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='details', to='crewlog.person')),
            ],
            options={
                'verbose_name_plural': "people's details",
                'constraints': [models.CheckConstraint(condition=models.Q(('name', ''), _negated=True), name='crewlog_persondetails_has_name', violation_error_message='Give a name.')],
            },
        ),
        migrations.CreateModel(
            name='Record',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sequence', models.PositiveBigIntegerField()),
                ('kind', models.CharField(max_length=48)),
                ('happened_at', models.DateTimeField()),
                ('entered_at', models.DateTimeField()),
                ('device_time', models.DateTimeField(null=True)),
                ('device_offset_min', models.SmallIntegerField(null=True)),
                ('from_paper', models.BooleanField(default=False)),
                ('names', models.TextField(default='[]')),
                ('body', models.TextField()),
                ('previous_hash', models.CharField(max_length=64)),
                ('hash', models.CharField(max_length=64)),
                ('company', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='records', to='crewlog.company')),
                ('corrects', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='corrections', to='crewlog.record')),
                ('entered_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.person')),
                ('on_behalf_of', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.person')),
            ],
            options={
                'ordering': ['company', 'sequence'],
                'indexes': [models.Index(fields=['company', 'kind', '-sequence'], name='crewlog_record_by_kind')],
                'constraints': [models.UniqueConstraint(fields=('company', 'sequence'), name='crewlog_record_one_per_place'), models.UniqueConstraint(fields=('company', 'previous_hash'), name='crewlog_record_no_fork')],
            },
        ),
    ]
