"""All tables of the app. A database that the migrations it replaces have made is taken as it is."""

import crewlog.models.company
import crewlog.models.people
import django.db.models.deletion
import django.utils.timezone
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    replaces = [('crewlog', '0001_initial'), ('crewlog', '0002_company_address'), ('crewlog', '0003_calendar_feeds'), ('crewlog', '0004_retention'), ('crewlog', '0007_sent_forms'), ('crewlog', '0009_mail'), ('crewlog', '0010_sign_in'), ('crewlog', '0012_training'), ('crewlog', '0013_trainee_of_skills'), ('crewlog', '0014_decimal_mark')]

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
                ('session_epoch', models.PositiveIntegerField(default=0)),
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
                ('address', models.TextField(blank=True, default='', max_length=300)),
                ('time_zone', models.CharField(default='Europe/London', max_length=64, validators=[crewlog.models.company.check_time_zone])),
                ('unit_system', models.CharField(choices=[('metric', 'Metric (kN, m, kg)'), ('us', 'US customary (lbf, ft, lb)')], default='metric', max_length=8)),
                ('decimal_mark', models.CharField(choices=[('point', 'A point: 12.5'), ('comma', 'A comma: 12,5')], default='point', max_length=5)),
                ('emergency_number', models.CharField(default='112', max_length=20)),
                ('wind_stop_m_s', models.FloatField(default=11.0)),
                ('second_step_owners', models.BooleanField(default=False, verbose_name='Owners need a second step to sign in')),
                ('second_step_inspectors', models.BooleanField(default=False, verbose_name='Inspectors need a second step to sign in')),
                ('shared_idle_min', models.PositiveSmallIntegerField(default=20, verbose_name='Minutes until a shared device signs out')),
            ],
            options={
                'verbose_name_plural': 'companies',
                'constraints': [models.CheckConstraint(condition=models.Q(('wind_stop_m_s__gt', 0), ('wind_stop_m_s__lte', 11.0)), name='crewlog_company_wind_stop_within_default', violation_error_message='A company may stop work in less wind than 11 m/s, never in more.'), models.CheckConstraint(condition=models.Q(('shared_idle_min__gte', 5), ('shared_idle_min__lte', 240)), name='crewlog_company_idle_minutes_sensible', violation_error_message='A shared device signs out after 5 to 240 minutes.'), models.CheckConstraint(condition=models.Q(('unit_system__in', ['metric', 'us'])), name='crewlog_company_known_units'), models.CheckConstraint(condition=models.Q(('decimal_mark__in', ['point', 'comma'])), name='crewlog_company_known_decimal_mark')],
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
        migrations.CreateModel(
            name='SignInLimit',
            fields=[
                ('key', models.CharField(max_length=64, primary_key=True, serialize=False)),
                ('empty_at', models.DateTimeField(db_index=True)),
            ],
        ),
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
            name='DigestWish',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('membership', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='digest_wish', to='crewlog.membership')),
            ],
            options={
                'verbose_name_plural': 'digest wishes',
            },
        ),
        migrations.CreateModel(
            name='CalendarFeed',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('token_sha256', models.CharField(max_length=64, unique=True)),
                ('made_at', models.DateTimeField(auto_now_add=True)),
                ('membership', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='calendar', to='crewlog.membership')),
            ],
        ),
        migrations.CreateModel(
            name='Learning',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('skill', models.CharField(choices=[('cutter', 'Cutting under tension'), ('hauler', 'Hauling on the tackle'), ('bollard', 'Tending the bollard'), ('hitch', 'Tending the friction hitch'), ('lookout', 'Lookout and signaller'), ('line_tender', 'Tending side and restraint lines'), ('first_aid', 'First aid'), ('rescue', 'Rescue from height'), ('rigging_lead', 'Planning and leading a pull'), ('examine_gear', 'Examining gear')], max_length=16)),
                ('since', models.DateField()),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='learning', to='crewlog.person')),
            ],
            options={
                'ordering': ['skill'],
                'constraints': [models.CheckConstraint(condition=models.Q(('skill__in', ['cutter', 'hauler', 'bollard', 'hitch', 'lookout', 'line_tender', 'first_aid', 'rescue', 'rigging_lead', 'examine_gear'])), name='crewlog_learning_known_skill'), models.UniqueConstraint(fields=('person', 'skill'), name='crewlog_learning_once')],
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
            name='Assessment',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('assessed_on', models.DateField()),
                ('job', models.CharField(max_length=120)),
                ('points', models.JSONField(default=list)),
                ('competence', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='assessment', to='crewlog.competence')),
                ('assessor', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='assessments_made', to='crewlog.person')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('job', ''), _negated=True), name='crewlog_assessment_names_job', violation_error_message='Say at which job it was seen.')],
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
            name='ExaminerDetails',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('qualifications', models.CharField(max_length=300)),
                ('address', models.TextField(max_length=300)),
                ('employment', models.CharField(choices=[('company', 'Employed by this company'), ('self', 'Self-employed'), ('other', 'Employed by another firm')], default='company', max_length=8)),
                ('employer_name', models.CharField(blank=True, default='', max_length=120)),
                ('employer_address', models.TextField(blank=True, default='', max_length=300)),
                ('details', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='examiner', to='crewlog.persondetails')),
            ],
            options={
                'verbose_name_plural': "examiners' details",
                'constraints': [models.CheckConstraint(condition=models.Q(models.Q(('qualifications', ''), _negated=True), models.Q(('address', ''), _negated=True)), name='crewlog_examinerdetails_complete', violation_error_message="A report names the examiner's qualifications and address."), models.CheckConstraint(condition=models.Q(('employment__in', ['company', 'self']), models.Q(('employment', 'other'), models.Q(('employer_name', ''), _negated=True), models.Q(('employer_address', ''), _negated=True)), _connector='OR'), name='crewlog_examinerdetails_employer_named', violation_error_message='Give the name and address of the firm.')],
            },
        ),
        migrations.CreateModel(
            name='QueuedMail',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=32)),
                ('key', models.CharField(max_length=96, unique=True)),
                ('to', models.EmailField(max_length=254)),
                ('subject', models.CharField(max_length=200)),
                ('body', models.TextField()),
                ('made_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('next_try', models.DateTimeField(db_index=True, default=django.utils.timezone.now, null=True)),
                ('sent_at', models.DateTimeField(null=True)),
                ('last_error', models.CharField(blank=True, default='', max_length=300)),
                ('user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='queued_mails', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('next_try__isnull', False), ('body', ''), _connector='OR'), name='crewlog_queuedmail_done_keeps_no_text', violation_error_message='A mail that is done keeps no text.'), models.CheckConstraint(condition=models.Q(('sent_at__isnull', True), ('next_try__isnull', True), _connector='OR'), name='crewlog_queuedmail_sent_waits_no_more', violation_error_message='A mail that went out is not tried again.')],
            },
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
                'constraints': [models.UniqueConstraint(fields=('company', 'kind'), name='crewlog_retention_kind_once'), models.CheckConstraint(condition=models.Q(('months__gte', models.F('minimum_months')), ('months__lte', 1200)), name='crewlog_retention_not_below_minimum', violation_error_message='A period may be longer than the least the default asks for, never shorter.'), models.CheckConstraint(condition=models.Q(models.Q(('basis', ''), _negated=True), models.Q(('how_obtained', ''), _negated=True)), name='crewlog_retention_has_basis', violation_error_message='Name the law or the reason, and how you know it.')],
            },
        ),
        migrations.CreateModel(
            name='SentForm',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=64)),
                ('digest', models.CharField(max_length=64)),
                ('location', models.TextField(default='')),
                ('created_at', models.DateTimeField(auto_now_add=True, db_index=True)),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('user', 'key', 'digest'), name='crewlog_sentform_once')],
            },
        ),
        migrations.CreateModel(
            name='TrainingSession',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('skill', models.CharField(choices=[('cutter', 'Cutting under tension'), ('hauler', 'Hauling on the tackle'), ('bollard', 'Tending the bollard'), ('hitch', 'Tending the friction hitch'), ('lookout', 'Lookout and signaller'), ('line_tender', 'Tending side and restraint lines'), ('first_aid', 'First aid'), ('rescue', 'Rescue from height'), ('rigging_lead', 'Planning and leading a pull'), ('examine_gear', 'Examining gear')], max_length=16)),
                ('gear_class', models.CharField(blank=True, default='', max_length=24)),
                ('held_on', models.DateField()),
                ('place', models.CharField(max_length=120)),
                ('points', models.JSONField(default=list)),
                ('alone', models.PositiveSmallIntegerField(default=0)),
                ('with_help', models.PositiveSmallIntegerField(default=0)),
                ('not_yet', models.PositiveSmallIntegerField(default=0)),
                ('granted', models.BooleanField(default=False)),
                ('assessor', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='sessions_assessed', to='crewlog.person')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='training_sessions', to='crewlog.person')),
            ],
            options={
                'ordering': ['-held_on', '-id'],
                'constraints': [models.CheckConstraint(condition=models.Q(('skill__in', ['cutter', 'hauler', 'bollard', 'hitch', 'lookout', 'line_tender', 'first_aid', 'rescue', 'rigging_lead', 'examine_gear'])), name='crewlog_session_known_skill'), models.CheckConstraint(condition=models.Q(('place', ''), _negated=True), name='crewlog_session_names_place', violation_error_message='Say at which job it was seen.'), models.CheckConstraint(condition=models.Q(('granted', False), models.Q(('alone__gte', 1), ('not_yet', 0), ('with_help', 0)), _connector='OR'), name='crewlog_session_grants_only_alone', violation_error_message='Only a session with every point shown alone grants a qualification.')],
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
                'constraints': [models.CheckConstraint(condition=models.Q(('about__in', ['item', 'job', 'person'])), name='crewlog_hold_known_subject'), models.CheckConstraint(condition=models.Q(models.Q(('because', ''), _negated=True), models.Q(('subject', ''), _negated=True)), name='crewlog_hold_has_reason', violation_error_message='Say what the hold is for.')],
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
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('because', ''), _negated=True), name='crewlog_hold_lift_has_reason', violation_error_message='Say why the hold ends.')],
            },
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
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('because', ''), _negated=True), name='crewlog_paper_purge_has_reason', violation_error_message='Say why the paper is let go.')],
            },
        ),
        migrations.CreateModel(
            name='MailStop',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(max_length=32)),
                ('membership', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='mail_stops', to='crewlog.membership')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('membership', 'kind'), name='crewlog_mailstop_once')],
            },
        ),
        migrations.CreateModel(
            name='DigestSent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('membership', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='digests_sent', to='crewlog.membership')),
            ],
            options={
                'verbose_name_plural': 'digests sent',
                'constraints': [models.UniqueConstraint(fields=('membership', 'day'), name='crewlog_digest_once_a_day')],
            },
        ),
    ]
