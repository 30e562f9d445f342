"""What each record is about. The rows for records that are there are made after migrate (crewlog.evidence.subjects)."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("crewlog", "0001_first")]

    operations = [
        migrations.CreateModel(
            name="RecordSubject",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("kind", models.CharField(max_length=64)),
                ("key", models.CharField(max_length=36)),
                (
                    "record",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="subjects", to="crewlog.record"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("kind", "key", "record"), name="crewlog_recordsubject_once")
                ],
            },
        ),
    ]
