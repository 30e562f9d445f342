"""Photographs and documents of gear, uploads that wait, and reports of thorough examination."""

import uuid

import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models

import crewlog.files.columns


class Migration(migrations.Migration):
    dependencies = [
        ("crewlog", "0002_company_address"),
        ("gear", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name='ExaminationReport',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('number', models.CharField(max_length=24)),
                ('issued_on', models.DateField()),
                ('premises', models.TextField()),
                ('facts', models.TextField()),
                ('facts_sha256', models.CharField(max_length=64)),
                ('chain_head', models.CharField(max_length=64)),
                ('pdf', models.BinaryField()),
                ('authenticated_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.person')),
                ('company', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='examination_reports', to='crewlog.company')),
                ('signed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='crewlog.person')),
            ],
            options={
                'ordering': ['-record_id'],
                'constraints': [
                    models.UniqueConstraint(fields=('company', 'number'), name='gear_examinationreport_number_once'),
                ],
            },
        ),
        migrations.CreateModel(
            name='PendingUpload',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('created_at', models.DateTimeField(default=django.utils.timezone.now)),
                ('kind', models.CharField(choices=[('photograph', 'Photograph'), ('document', 'Document')], max_length=10)),
                ('sha256', crewlog.files.columns.FileHashField(max_length=64)),
                ('width_px', models.PositiveIntegerField(blank=True, null=True)),
                ('height_px', models.PositiveIntegerField(blank=True, null=True)),
                ('name_given', models.CharField(blank=True, default='', max_length=120)),
                ('member', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='pending_uploads', to='crewlog.membership')),
            ],
            options={
                'indexes': [models.Index(fields=['created_at'], name='gear_pendingupload_by_age')],
            },
        ),
        migrations.CreateModel(
            name='ReportedInspection',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('inspection', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reported', to='gear.inspection')),
                ('report', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reported', to='gear.examinationreport')),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('report', 'inspection'), name='gear_reportedinspection_once')],
            },
        ),
        migrations.CreateModel(
            name='StoredFile',
            fields=[
                ('record', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, primary_key=True, related_name='%(class)s', serialize=False, to='crewlog.record')),
                ('point', models.CharField(blank=True, default='', max_length=40)),
                ('kind', models.CharField(choices=[('photograph', 'Photograph'), ('document', 'Document')], max_length=10)),
                ('sha256', crewlog.files.columns.FileHashField(max_length=64)),
                ('size', models.PositiveIntegerField()),
                ('content_type', models.CharField(max_length=40)),
                ('width_px', models.PositiveIntegerField(blank=True, null=True)),
                ('height_px', models.PositiveIntegerField(blank=True, null=True)),
                ('name_given', models.CharField(blank=True, default='', max_length=120)),
                ('caption', models.CharField(blank=True, default='', max_length=200)),
                ('event', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='files', to='gear.gearevent')),
                ('inspection', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='files', to='gear.inspection')),
                ('item', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='files', to='gear.gearitem')),
            ],
            options={
                'ordering': ['-record_id'],
                'constraints': [
                    models.CheckConstraint(condition=models.Q(models.Q(('content_type', 'image/jpeg'), ('height_px__gt', 0), ('height_px__isnull', False), ('kind', 'photograph'), ('width_px__gt', 0), ('width_px__isnull', False)), models.Q(('content_type', 'application/pdf'), ('height_px__isnull', True), ('kind', 'document'), ('width_px__isnull', True)), _connector='OR'), name='gear_storedfile_type_as_its_kind', violation_error_message='A photograph is a JPEG with its size, a document a PDF.'),
                    models.CheckConstraint(condition=models.Q(('size__gt', 0), models.Q(('sha256', ''), _negated=True)), name='gear_storedfile_has_bytes', violation_error_message='A file has content.'),
                    models.CheckConstraint(condition=models.Q(('inspection__isnull', True), ('event__isnull', True), _connector='OR'), name='gear_storedfile_of_one_record', violation_error_message='A file belongs to one inspection or one event.'),
                    models.CheckConstraint(condition=models.Q(('point', ''), ('inspection__isnull', False), _connector='OR'), name='gear_storedfile_point_of_inspection', violation_error_message='A point belongs to an inspection.'),
                ],
            },
        ),
    ]
