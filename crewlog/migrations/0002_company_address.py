"""The company's address, and what a report says of an examiner."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name='company',
            name='address',
            field=models.TextField(blank=True, default='', max_length=300),
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
    ]
